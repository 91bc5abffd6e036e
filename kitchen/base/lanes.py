"""The Bench's picture: what is where, and until when. Time runs left to right, now stands still.

Pure: it takes lanes and gives strokes, labels and links for ``templates/base/lanes.svg``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from kitchen.base import axes
from kitchen.base.drawing import between, hatch, height_at, number, rows, text_width
from kitchen.base.picture import Pen, Picture

NOW_AT = 1 / 3  # of the width: twice as much is seen of what comes as of what was
ROW = 62  # one bar with its words above it; 48 px high on an upright tablet
BAR = 22
BEND = 9


@dataclass(frozen=True)
class Bar:
    """A bag, or bags that go together, in one bath, chill or shelf.

    `hold_from` and `hold_until` bound the proven hold (or the chill's or the shelf's time); without
    them the bar stays dotted. `end` is when it left, None while it is there.
    """

    label: str
    start: datetime
    url: str
    hold_from: datetime | None = None
    hold_until: datetime | None = None
    end: datetime | None = None
    outcome: str = ""


@dataclass(frozen=True)
class Excursion:
    """A bath out of its band, below it or above."""

    from_at: datetime
    until_at: datetime
    below: bool = True


@dataclass(frozen=True)
class Lane:
    """One bath, chill or shelf in use: its bars, its readings, those missing, and its excursions."""

    name: str
    bars: tuple[Bar, ...] = ()
    ticks: tuple[datetime, ...] = ()
    missing: tuple[datetime, ...] = ()
    excursions: tuple[Excursion, ...] = ()
    url: str = ""


@dataclass(frozen=True)
class Link:
    """What can be touched: a place in the picture, where it leads, and its words for the ear."""

    url: str
    x: str
    y: str
    width: str
    height: str
    words: str


@dataclass(frozen=True)
class LanesPicture(Picture):
    """The picture with its links, and what moves the line of now between two loads."""

    links: tuple[Link, ...] = ()
    now_x: str = "0"
    now_d: str = ""
    now_iso: str = ""
    per_minute: str = "0"
    bottom: str = "0"


@dataclass(frozen=True)
class _Across:
    """The time axis."""

    now: datetime
    span: timedelta
    width: float

    def x(self, at: datetime) -> float:
        return self.width * (NOW_AT + (at - self.now) / self.span)

    def clipped(self, at: datetime) -> float:
        return min(max(self.x(at), 0.0), self.width)


def lanes_picture(
    lanes: Sequence[Lane],
    *,
    now: datetime,
    timezone: str,
    span: timedelta = timedelta(hours=6),
    width: float = 960,
    size: float = 18,
    title: str = "What is where, until when",
    now_word: str = "now",
) -> LanesPicture:
    """Lay the lanes out around `now`; all moments aware, the clock in `timezone`."""
    zone, across, pen = ZoneInfo(timezone), _Across(now, span, width), Pen(size)
    _clock(pen, across, zone, now_word)
    y, links = size * 2.2, []
    for lane in lanes:
        pen.say(0, y + size * 0.9, lane.name, bold=True)
        if lane.url:
            links.append(_link(lane.url, 0, y - 15, text_width(lane.name, size) + 10, 48, lane.name))
        y += size * 1.4
        depth = 1
        shown = [
            bar
            for bar in lane.bars
            if (bar.end is None or across.x(bar.end) > 0) and across.x(bar.start) < width
        ]
        packed = rows([_extent(bar, across, zone, size) for bar in shown], gap=size * 0.8)
        for bar, row in zip(shown, packed, strict=True):
            links.append(_bar(pen, bar, across, zone, y + row * ROW))
            depth = max(depth, row + 1)
        y += depth * ROW if shown else size * 0.5
        _edge(pen, lane, across, y)
        y += size * 1.3
    plain = pen.picture(
        width, y, title, "; ".join(_words(b, zone) for lane in lanes for b in lane.bars), "lanes"
    )
    return LanesPicture(
        **{name: getattr(plain, name) for name in Picture.__dataclass_fields__},
        links=tuple(links),
        now_x=number(across.x(now)),
        now_d=_now_line(pen, across.x(now), y - size),
        now_iso=now.isoformat(),
        per_minute=f"{width / (span.total_seconds() / 60):.4f}",
        bottom=number(y - size),
    )


def _now_line(pen: Pen, x: float, bottom: float) -> str:
    """The line of now, broken where words stand in its way: they are read, it is only seen."""
    clear, holes = pen.size * 0.6, []
    for label in pen.labels:
        width = text_width(label.words, pen.size) * (1.06 if label.bold else 1)
        left = float(label.x) - {"middle": width / 2, "end": width}.get(label.anchor, 0.0)
        if left - clear < x < left + width + clear:
            holes.append((float(label.y) - pen.size * 0.9, float(label.y) + pen.size * 0.3))
    d, y = "", pen.size * 1.45
    for top, foot in sorted(holes):
        if top > y:
            d += f"M{number(x)} {number(y)}V{number(top)}"
        y = max(y, foot)
    return f"{d}M{number(x)} {number(y)}V{number(bottom)}"


def _time(at: datetime, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%H:%M}"


def _words(bar: Bar, zone: ZoneInfo) -> str:
    until = f", {_time(bar.hold_until, zone)}" if bar.hold_until else ""
    outcome = f", {bar.outcome}" if bar.outcome else ""
    return f"{bar.label}{until}{outcome}"


def _link(url: str, x: float, y: float, width: float, height: float, words: str) -> Link:
    return Link(url, number(x), number(y), number(width), number(height), words)


def _clock(pen: Pen, across: _Across, zone: ZoneInfo, now_word: str) -> None:
    """Clock times along the top; those that the word for now would cover are left out."""
    size = pen.size
    label = f"{now_word} {_time(across.now, zone)}"
    here, half = across.x(across.now), text_width(label, size) / 2
    pen.say(here, size, label, "middle", bold=True)
    start = across.now - across.span * NOW_AT
    for tick in axes.time_ticks(start, start + across.span, zone, int(across.width / (size * 5))):
        x, reach = across.x(tick.at), text_width(tick.label, size) / 2
        if x - reach < 0 or x + reach > across.width:
            continue
        pen.upright(x, size * 1.4, size * 1.8, 1, dark=0.6)
        if abs(x - here) > half + reach + size * 0.5:
            pen.say(x, size, tick.label, "middle")


def _extent(bar: Bar, across: _Across, zone: ZoneInfo, size: float) -> tuple[float, float]:
    """How far a bar reaches with its words and the clock time behind its notch."""
    left = across.clipped(bar.start)
    right = across.clipped(_last(bar, across.now))
    if bar.hold_until:
        right = max(right, across.clipped(bar.hold_until)) + 6 + text_width("00:00", size) * 1.06
    return left, max(right, left + 24 + text_width(bar.label, size))


def _last(bar: Bar, now: datetime) -> datetime:
    """Where a bar's outline ends: when it left, or as far as is known."""
    return bar.end or max(now, bar.hold_until or now)


def _bar(pen: Pen, bar: Bar, across: _Across, zone: ZoneInfo, y: float) -> Link:
    """One bar with its words above; hatched until the hold counts, solid while it does."""
    size = pen.size
    top, bottom = y + size * 1.35, y + size * 1.35 + BAR
    left, right = across.clipped(bar.start), across.clipped(_last(bar, across.now))
    words_at = min(left, across.width - 24 - text_width(bar.label, size))
    _mark(pen, bar.outcome, words_at, y + size * 0.35)
    pen.say(words_at + (22 if bar.outcome else 0), y + size * 0.98, bar.label)

    hold_from = across.clipped(min(bar.hold_from or _last(bar, across.now), _last(bar, across.now)))
    pen.draw(hatch(left, top, hold_from, bottom, 6), 1)
    if bar.hold_from and bar.hold_until:
        stop = across.clipped(min(bar.hold_until, bar.end or bar.hold_until))
        if stop > hold_from:
            pen.draw(
                f"M{number(hold_from)} {number(top)}H{number(stop)}V{number(bottom)}H{number(hold_from)}Z",
                1,
                filled=True,
            )
    # The outline is open where the bar runs out of the picture, dotted where nothing is proven.
    ends = "" if across.x(bar.start) < 0 else f"M{number(left)} {number(top)}V{number(bottom)}"
    if across.x(_last(bar, across.now)) <= across.width and bar.end:
        ends += f"M{number(right)} {number(top)}V{number(bottom)}"
    d = f"M{number(left)} {number(top)}H{number(right)}M{number(left)} {number(bottom)}H{number(right)}{ends}"
    pen.draw(d, 1.6, "" if bar.hold_from else "2 3")
    if bar.hold_until and 0 <= across.x(bar.hold_until) <= across.width:
        notch = across.x(bar.hold_until)
        pen.upright(notch, top - 7, bottom + 4, 3)
        behind = max(notch, right if bar.end else notch) + 6
        room = behind + text_width("00:00", size) <= across.width
        place, anchor = (behind, "start") if room else (notch - 6, "end")
        pen.say(place, top - 4 if not room else bottom - 4, _time(bar.hold_until, zone), anchor, bold=True)
    a, b = _extent(bar, across, zone, size)
    return _link(
        bar.url, max(0, a - 4), y - 2, max(48.0, min(b, across.width) - a + 8), ROW, _words(bar, zone)
    )


def _mark(pen: Pen, outcome: str, x: float, y: float) -> None:
    """The outcome's shape, as in ``templates/base/mark.html``."""
    square = f"M{number(x + 2)} {number(y)}h12v12h-12z"
    if outcome == "fails limits":
        pen.draw(square, 2, filled=True)
    elif outcome:
        pen.draw(square, 2, "" if outcome != "unproven" else "2 2")
        if outcome == "to review":
            pen.draw(f"M{number(x + 2)} {number(y)}h6v12h-6z", 1, filled=True)


def _edge(pen: Pen, lane: Lane, across: _Across, y: float) -> None:
    """The lane's edge up to now: a tick for each reading, a gap where one is missing, a bend out of band."""
    now = across.x(across.now)
    bends = sorted(lane.excursions, key=lambda each: each.from_at)
    points = [(0.0, 0.0)]
    for bend in bends:
        x1, x2 = across.clipped(bend.from_at), min(across.clipped(bend.until_at), now)
        if x2 > x1:
            away = BEND if bend.below else -BEND
            ramp = min(8.0, (x2 - x1) / 2)
            points += [(x1, 0.0), (x1 + ramp, away), (x2 - ramp, away), (x2, 0.0)]
    points.append((now, 0.0))
    holes = sorted(x for at in lane.missing if 0 <= (x := across.x(at)) <= now)
    for a, b in between(holes, 0.0, now, 12.0):
        part = [(a, height_at(points, a)), *(p for p in points if a < p[0] < b), (b, height_at(points, b))]
        pen.draw("M" + " ".join(f"{number(px)} {number(y + dy)}" for px, dy in part), 2.2)
    pen.level(now, across.width, y, 1, dark=0.5)
    for at in lane.ticks:
        if 0 <= (x := across.x(at)) <= across.width:
            foot = y + height_at(points, min(x, now))
            pen.upright(x, foot - 7, foot + 7, 1.6)
