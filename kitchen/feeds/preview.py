"""What a logger file holds, before it is imported: span, refusals, gaps, a small picture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from kitchen.base import axes, moments
from kitchen.base.picture import Picture
from kitchen.base.plot import Curve, Tick, plot
from kitchen.feeds.shapes import Channel, LoggedReading, Look, RefusedRow

MOST_GROUPS = 200


@dataclass(frozen=True)
class Refusals:
    """Lines that were refused for one reason, the first of them as it stands in the file."""

    reason: str
    lines: str
    count: int
    example: str


@dataclass(frozen=True)
class Preview:
    """Everything that the preview shows beside the file's own name."""

    count: int
    first: LoggedReading
    last: LoggedReading
    lowest: LoggedReading
    highest: LoggedReading
    step: str
    refusals: tuple[Refusals, ...]
    refused: int
    picture: Picture


def of(looked: Look, channel: Channel, site: Any) -> Preview:
    """The preview of one channel of a file."""
    readings = channel.readings
    steps = sorted(later.at - one.at for one, later in pairwise(readings))
    return Preview(
        count=len(readings),
        first=readings[0],
        last=readings[-1],
        lowest=min(readings, key=lambda each: each.celsius),
        highest=max(readings, key=lambda each: each.celsius),
        step=_spelt(steps[len(steps) // 2]) if steps else "–",
        refusals=tuple(_grouped(looked.refused))[:MOST_GROUPS],
        refused=len(looked.refused),
        picture=_picture(readings, looked.breaks, site),
    )


def _spelt(step: timedelta) -> str:
    """A short interval: seconds up to two minutes, else as the kitchen says it."""
    seconds = step.total_seconds()
    return f"{seconds:g} s" if seconds < 120 else moments.span(step)


def _grouped(refused: Iterable[RefusedRow]) -> Iterable[Refusals]:
    by_reason: dict[str, list[RefusedRow]] = {}
    for each in refused:
        by_reason.setdefault(each.reason, []).append(each)
    for reason, rows in by_reason.items():
        yield Refusals(reason, _spans([each.line for each in rows]), len(rows), rows[0].text)


def _spans(lines: list[int]) -> str:
    """Line numbers, neighbours joined: 3, 7–9."""
    spans: list[list[int]] = []
    for line in sorted(set(lines)):
        if spans and line == spans[-1][1] + 1:
            spans[-1][1] = line
        else:
            spans.append([line, line])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in spans)


def _picture(readings: tuple[LoggedReading, ...], breaks: tuple[datetime, ...], site: Any) -> Picture:
    """The readings as they stand in the file, never joined across a break."""
    start, end = readings[0].at, readings[-1].at

    def along(at: datetime) -> float:
        return (at - start).total_seconds()

    points: list[tuple[float, float]] = []
    waiting = sorted(breaks)
    for reading in readings:
        while waiting and reading.at >= waiting[0]:
            points.append((along(waiting.pop(0)), float("nan")))
        points.append((along(reading.at), float(reading.celsius)))
    ticks = [Tick(along(each.at), each.label) for each in axes.time_ticks(start, end, site.zone, most=8)]
    first, last = (moments.clock(each, site.timezone) for each in (start, end))
    desc = f"{len(readings)} readings from {first} to {last}"
    return plot([Curve(points)], ticks, title="Readings of the file", desc=desc, unit=site.temperature_unit)
