"""The frame of a bag's chart: its scales, its key, what its head names, its axes. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from kitchen.base import axes
from kitchen.base.drawing import number, rows, text_width
from kitchen.base.picture import Pen

DEGREES = {"degC": "°C", "degF": "°F"}
# Weight and dash of each curve, in the order of the key.
CURVES = {"best": (2.6, ""), "low": (1.5, "7 3.5"), "high": (1.3, "1.5 3.5"), "medium": (1.1, "")}


@dataclass(frozen=True)
class Words:
    """The chart's own words, so that a page can give them translated."""

    title: str = "Core curve"
    best: str = "core, best estimate"
    low: str = "core, proven lowest"
    high: str = "core, proven highest"
    medium: str = "bath or chill, as read"
    bag_in: str = "bag in"
    bag_out: str = "bag out"
    hold: str = "hold, proven"
    now: str = "now"


@dataclass(frozen=True)
class Flag:
    """A span or a moment that is named in the head of the chart."""

    from_at: datetime
    until_at: datetime
    label: str


@dataclass
class Sheet:
    """The plot while it is laid out: its edges, its two scales, and the pen."""

    unit: str
    start: datetime
    end: datetime
    left: float
    right: float
    pen: Pen
    top: float = 0.0
    bottom: float = 0.0
    low: float = 0.0
    high: float = 0.0
    step: float = 1.0
    marks: list[float] = field(default_factory=list)

    def x(self, at: datetime) -> float:
        share = (at - self.start) / (self.end - self.start)
        return self.left + (self.right - self.left) * share

    def figure(self, celsius: float) -> float:
        return celsius * 1.8 + 32 if self.unit == "degF" else celsius

    def place(self, figure: float) -> float:
        return self.bottom - (self.bottom - self.top) * (figure - self.low) / (self.high - self.low)

    def y(self, celsius: float) -> float:
        return self.place(self.figure(celsius))


def draw_key(sheet: Sheet, width: float, words: Words) -> float:
    """The samples of the curves above the plot; gives the depth that they take."""
    pen, size = sheet.pen, sheet.pen.size
    x, y = sheet.left, size * 0.8
    for name, (weight, dash) in CURVES.items():
        label = getattr(words, name)
        reach = 2.9 * size + text_width(label, size)
        if x > sheet.left and x + reach > width:
            x, y = sheet.left, y + 1.45 * size
        pen.level(x, x + 2.4 * size, y, weight, dash)
        pen.say(x + 2.8 * size, y, label, middle=True)
        x += reach + 0.8 * size
    return y + size * 0.9


def draw_head(sheet: Sheet, flags: Sequence[Flag], top: float, width: float, bottom: float) -> float:
    """Spans as dimension lines and moments as uprights, each with its words; gives the depth."""
    pen, size = sheet.pen, sheet.pen.size
    extents, middles = [], []
    for flag in flags:
        x1, x2, half = sheet.x(flag.from_at), sheet.x(flag.until_at), text_width(flag.label, size) / 2
        middle = min(max((x1 + x2) / 2, sheet.left + half), width - half)
        extents.append((min(x1, middle - half), max(x2, middle + half)))
        middles.append(middle)
    packed = rows(extents, gap=size * 0.7)
    for flag, row, middle in zip(flags, packed, middles, strict=True):
        x1, x2, y = sheet.x(flag.from_at), sheet.x(flag.until_at), top + (row + 1) * size * 1.6
        if flag.from_at == flag.until_at:
            pen.upright(x1, y, bottom, 0.9)
        else:
            a, b, y0 = number(x1), number(x2), number(y)
            pen.draw(f"M{a} {y0}H{b}M{a} {number(y - 4)}v8M{b} {number(y - 4)}v8", 1.2)
        pen.say(middle, y - size * 0.4, flag.label, "middle")
    return top + (max(packed, default=-1) + 1) * size * 1.6


def draw_axes(sheet: Sheet, zone: ZoneInfo, width: float, timezone: str) -> None:
    """Temperature at the left, the zone's clock below, the date where it changes."""
    pen, size = sheet.pen, sheet.pen.size
    for mark in sheet.marks:
        place = sheet.place(mark)
        pen.level(sheet.left, sheet.right, place, 0.6, dark=0.3)
        unit = f" {DEGREES[sheet.unit]}" if mark == sheet.marks[-1] else ""
        label = axes.figure_label(mark, sheet.step) + unit
        pen.say(sheet.left - size * 0.4, place, label, "end", middle=True)
    ticks = axes.time_ticks(sheet.start, sheet.end, zone, int((sheet.right - sheet.left) / (size * 4.4)))
    for tick in ticks:
        pen.upright(sheet.x(tick.at), sheet.bottom, sheet.bottom + (12 if tick.midnight else 6), 1.2)
        pen.say(sheet.x(tick.at), sheet.bottom + size * 1.55, tick.label, "middle")
    last = -width
    days = [sheet.start, *(tick.at for tick in ticks if tick.midnight and tick.at > sheet.start)]
    room = width - text_width(timezone, size) - size
    for at in days:
        here = at.astimezone(zone)
        label = f"{here:%a} {here.day} {here:%b}"
        reach = text_width(label, size)
        if sheet.x(at) > last and sheet.x(at) + reach < room:
            pen.say(sheet.x(at), sheet.bottom + size * 2.9, label, bold=True)
            last = sheet.x(at) + reach + size
    pen.say(width, sheet.bottom + size * 2.9, timezone, "end")
    pen.draw(f"M{number(sheet.left)} {number(sheet.top)}V{number(sheet.bottom)}H{number(sheet.right)}", 1.4)
