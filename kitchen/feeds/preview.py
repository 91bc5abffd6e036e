"""What a logger file holds, before it is imported: span, refusals, gaps, a small picture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from haccp import units
from kitchen.base import axes, moments
from kitchen.base.drawing import number, text_width, thin
from kitchen.base.picture import Pen, Picture
from kitchen.feeds.shapes import Channel, LoggedReading, Look, RefusedRow

WIDTH, HEIGHT, SIZE = 960.0, 260.0, 16.0
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
    fahrenheit = site.temperature_unit == "degF"
    figures = [units.to_fahrenheit(float(r.celsius)) if fahrenheit else float(r.celsius) for r in readings]
    start, end = readings[0].at, readings[-1].at
    span = (end - start).total_seconds() or 1.0
    marks = axes.figure_ticks(min(figures), max(figures), most=5)
    labels = [axes.figure_label(mark, marks[1] - marks[0]) for mark in marks]
    labels[-1] += " °F" if fahrenheit else " °C"
    left = max(text_width(label, SIZE) for label in labels) + SIZE
    right, top, bottom = WIDTH - SIZE, SIZE, HEIGHT - SIZE * 2

    def x(at: datetime) -> float:
        return left + (right - left) * (at - start).total_seconds() / span

    def y(figure: float) -> float:
        return bottom - (bottom - top) * (figure - marks[0]) / (marks[-1] - marks[0])

    pen = Pen(SIZE)
    for mark, label in zip(marks, labels, strict=True):
        pen.level(left, right, y(mark), 0.6, dark=0.3)
        pen.say(left - SIZE / 2, y(mark), label, "end", middle=True)
    for tick in axes.time_ticks(start, end, site.zone, most=8):
        pen.upright(x(tick.at), bottom, bottom + 6)
        pen.say(x(tick.at), bottom + SIZE * 1.6, tick.label, "middle")
    pen.draw(f"M{number(left)} {number(top)}V{number(bottom)}H{number(right)}", 1.4)
    stretches: list[list[tuple[float, float]]] = [[]]
    waiting = sorted(breaks)
    for reading, figure in zip(readings, figures, strict=True):
        while waiting and reading.at >= waiting[0]:
            waiting.pop(0)
            stretches.append([])
        stretches[-1].append((x(reading.at), y(figure)))
    for stretch in filter(None, stretches):
        points = [f"{number(a)} {number(b)}" for a, b in thin(stretch)]
        pen.draw(f"M{'L'.join(points)}" if len(points) > 1 else f"M{points[0]}h1", 2)
    first, last = (moments.clock(each, site.timezone) for each in (start, end))
    desc = f"{len(readings)} readings from {first} to {last}"
    return pen.picture(WIDTH, HEIGHT, "Readings of the file", desc)
