"""For how long a place had bags of a batch in it, and which of its readings tell of that time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

# Readings of a place count from this long before the first bag went in to this long after the last one
# left it: what a bath or fridge did later says nothing of the batch, and must not reopen a signed one.
BEFORE = timedelta(hours=24)
AFTER = timedelta(minutes=15)

Span = tuple[datetime, datetime | None]
Spans = dict[int, Span]


def spans_of(stays: Iterable[tuple[int, datetime, datetime | None]]) -> Spans:
    """From the first bag in to the last one out, for each place; None while one is still there."""
    spans: Spans = {}
    for place, start, end in stays:
        first, last = spans.get(place, (start, end))
        spans[place] = min(first, start), None if last is None or end is None else max(last, end)
    return spans


def within(rows: list[Any], span: Span) -> list[Any]:
    """The readings that say something of a span, in order."""
    start, end = span
    return [each for each in rows if start - BEFORE <= each.at and (end is None or each.at <= end + AFTER)]
