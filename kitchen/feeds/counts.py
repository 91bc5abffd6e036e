"""Times that are counted: since a start, since 1970, or in the days of a spreadsheet."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from kitchen.feeds.shapes import Answers, Choice, Question, chosen

SECONDS = {"ms": Decimal("0.001"), "s": Decimal(1), "min": Decimal(60), "h": Decimal(3600)}
_NAMES = {"ms": "milliseconds", "s": "seconds", "min": "minutes", "h": "hours"}
_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001  times of a row are naive until its offset is known
_SHEET_EPOCH = datetime(1899, 12, 30)  # noqa: DTZ001
LONGEST_S = Decimal(10 * 366 * 86_400)


def ask_count(
    name: str, first: Decimal, last: Decimal, answers: Answers
) -> tuple[str | None, Question | None]:
    """What the numbers of the time column count, or the question."""
    choices = [
        Choice(
            each, f"{_NAMES[each]} since the start", f"the last row is {last} {_NAMES[each]} after the start"
        )
        for each in SECONDS
    ]
    for unit, label in (
        ("unix", "seconds since 1970 (UTC)"),
        ("sheet", "days of a spreadsheet (local time)"),
    ):
        found = since_epoch(unit, first)
        if found:
            choices.append(Choice(unit, label, f"the first row is {found:%d %B %Y %H:%M:%S}"))
    question = Question("time_unit", f"Say what the numbers in “{name}” count.", tuple(choices))
    answer = chosen(answers, question)
    return answer, None if answer else question


def since_epoch(unit: str, value: Decimal) -> datetime | None:
    """The moment of a count since 1970 (s or ms) or of days of a spreadsheet, from 2000 to 2099."""
    if unit == "unix":
        seconds = value / 1000 if value > Decimal(10) ** 11 else value
        found = _EPOCH + span(seconds) if seconds < 5 * 10**9 else None
    else:
        # A day's fraction is stored as a binary number: the nearest millisecond is what was meant.
        found = _SHEET_EPOCH + span((value * 86_400).quantize(Decimal("0.001"))) if value < 80_000 else None
    return found if found and 2000 <= found.year <= 2099 else None


def span(seconds: Decimal) -> timedelta:
    return timedelta(microseconds=int((seconds * 1_000_000).to_integral_value()))
