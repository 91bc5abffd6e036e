"""The picture of one bag: bath, core, hold, chill, limits. One picture for page and paper.

Pure: it takes what the assessment found and lays it out. Ink only: the curves are told apart by
weight and dash, the hold by hatching, so that a copy in black and white is whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from haccp.record import BagCurve
from kitchen.base import axes
from kitchen.base.chart_frame import CURVES, Flag, Sheet, Words, draw_axes, draw_head, draw_key
from kitchen.base.drawing import hatch, number, points_path, runs, spread, text_width, thin
from kitchen.base.picture import Pen, Picture


@dataclass(frozen=True)
class LimitLine:
    """A critical limit as a level line; the label stands in the margin."""

    celsius: float
    label: str


@dataclass(frozen=True)
class Hold:
    """A proven hold; hatched below `celsius`, the temperature that it counts from."""

    from_at: datetime
    until_at: datetime
    celsius: float | None = None
    label: str = ""


@dataclass(frozen=True)
class Stage:
    """One stage of a chill: from `upper_c` to `lower_c` between these two moments.

    With both temperatures it is drawn as a frame that the core has to leave through its floor.
    """

    from_at: datetime
    until_at: datetime
    label: str
    upper_c: float | None = None
    lower_c: float | None = None


@dataclass(frozen=True)
class Spot:
    """One measured temperature: a reading of the medium, or a core check."""

    at: datetime
    celsius: float


def core_chart(
    curve: BagCurve,
    *,
    width: float = 960,
    height: float = 420,
    timezone: str,
    limits: Sequence[LimitLine] = (),
    holds: Sequence[Hold] = (),
    stages: Sequence[Stage] = (),
    bag_in: datetime | None = None,
    bag_out: datetime | None = None,
    readings: Sequence[Spot] = (),
    checks: Sequence[Spot] = (),
    gaps: Sequence[tuple[datetime, datetime]] = (),
    now: datetime | None = None,
    unit: str = "degC",
    size: float = 15,
    words: Words | None = None,
) -> Picture:
    """Lay the picture out.

    Moments are aware datetimes, temperatures °C; they are drawn in `timezone` and `unit`. Between the
    two moments of each of `gaps`, and where a figure of the curve is not a number, the curves stay
    blank. `size` is the height of the letters in the units of `width` and `height`. A curve without
    a point gives the empty plot; without any moment at all there is nothing to draw: ValueError.
    """
    words = words or Words()
    zone = ZoneInfo(timezone)
    times = [curve.epoch + timedelta(seconds=each) for each in curve.at_s]
    flags = _flags(holds, stages, {words.bag_in: bag_in, words.bag_out: bag_out, words.now: now}, zone, words)
    moments = [*times, *(m for flag in flags for m in (flag.from_at, flag.until_at))]
    if not moments:
        raise ValueError("A chart needs a curve, or at least one moment to draw.")
    start = min(moments)
    end = max(max(moments), start + timedelta(minutes=1))

    margin = max((text_width(each.label, size) + 1.8 * size for each in limits), default=1.7 * size)
    sheet = Sheet(unit, start, end, 4 * size, width - margin, Pen(size))
    head = draw_key(sheet, width, words)
    sheet.top = draw_head(sheet, flags, head, width, height - size * 3.3) + size * 0.6
    sheet.bottom = height - size * 3.3
    values = [v for name in CURVES for v in getattr(curve, f"{name}_c") if v == v]
    values += [each.celsius for each in (*limits, *readings, *checks)]
    figures = [sheet.figure(v) for v in values] or [sheet.figure(0), sheet.figure(60)]
    room = int((sheet.bottom - sheet.top) / (size * 2.4))
    marks = axes.figure_ticks(min(figures), max(figures), most=max(3, room))
    # From a round figure below to a little above the highest: no empty band at the top.
    sheet.low, sheet.step = marks[0], marks[1] - marks[0]
    sheet.high = min(marks[-1], max(figures) + 0.04 * (marks[-1] - marks[0]))
    sheet.marks = [mark for mark in marks if mark <= sheet.high]

    draw_axes(sheet, zone, width, timezone)
    for hold in holds:
        top = sheet.top if hold.celsius is None else max(sheet.top, sheet.y(hold.celsius))
        sheet.pen.draw(hatch(sheet.x(hold.from_at), top, sheet.x(hold.until_at), sheet.bottom), 0.8, dark=0.7)
    for stage in stages:
        if stage.upper_c is not None and stage.lower_c is not None:
            x1, x2 = sheet.x(stage.from_at), sheet.x(stage.until_at)
            y1, y2 = sheet.y(stage.upper_c), sheet.y(stage.lower_c)
            sheet.pen.draw(f"M{number(x1)} {number(y1)}H{number(x2)}V{number(y2)}H{number(x1)}Z", 1, "2 2")
    _limits(sheet, limits)
    for name, (weight, dash) in CURVES.items():
        points = _points(sheet, times, getattr(curve, f"{name}_c"), gaps)
        sheet.pen.draw("".join(points_path(thin(run)) for run in runs(points)), weight, dash)
    for spot in readings:
        sheet.pen.upright(sheet.x(spot.at), sheet.y(spot.celsius) - 4, sheet.y(spot.celsius) + 4, 1.1)
    for spot in checks:
        x, y = number(sheet.x(spot.at)), number(sheet.y(spot.celsius))
        sheet.pen.draw(f"M{x} {y}m-9 0h18m-9 -9v18M{x} {y}m-5 0a5 5 0 1 0 10 0a5 5 0 1 0 -10 0", 1.4)
    return sheet.pen.picture(width, height, words.title, "; ".join(flag.label for flag in flags))


def _flags(
    holds: Sequence[Hold],
    stages: Sequence[Stage],
    moments: dict[str, datetime | None],
    zone: ZoneInfo,
    words: Words,
) -> list[Flag]:
    """What the head of the chart names, in the order of time."""

    def clock(at: datetime) -> str:
        return f"{at.astimezone(zone):%H:%M}"

    flags = [
        Flag(h.from_at, h.until_at, f"{h.label or words.hold} {clock(h.from_at)}–{clock(h.until_at)}")
        for h in holds
    ]
    flags += [Flag(each.from_at, each.until_at, each.label) for each in stages]
    flags += [Flag(at, at, f"{word} {clock(at)}") for word, at in moments.items() if at is not None]
    return sorted(flags, key=lambda flag: (flag.from_at, flag.until_at))


def _limits(sheet: Sheet, limits: Sequence[LimitLine]) -> None:
    """Level lines, their labels in the margin, each joined to its line where it had to move."""
    pen, size = sheet.pen, sheet.pen.size
    wanted = [sheet.y(each.celsius) for each in limits]
    places = spread(wanted, size * 1.25, sheet.top, sheet.bottom)
    for limit, y, place in zip(limits, wanted, places, strict=True):
        pen.level(sheet.left, sheet.right, y, 1.1, "12 3 2 3")
        leader = f"M{number(sheet.right)} {number(y)}h4L{number(sheet.right + size)} {number(place)}h4"
        pen.draw(leader, 0.8)
        pen.say(sheet.right + size + 6, place, limit.label, middle=True)


def _points(
    sheet: Sheet,
    times: Sequence[datetime],
    values: Sequence[float],
    gaps: Sequence[tuple[datetime, datetime]],
) -> list[tuple[float, float]]:
    """A curve in the plot, with a blank point wherever it must not be joined."""
    blank = (float("nan"), float("nan"))
    points: list[tuple[float, float]] = []
    before: datetime | None = None
    for at, value in zip(times, values, strict=True):
        inside = any(begin < at < end for begin, end in gaps)
        if before is not None and any(before <= begin and end <= at for begin, end in gaps):
            points.append(blank)
        points.append(blank if inside else (sheet.x(at), sheet.y(value)))
        before = at
    return points
