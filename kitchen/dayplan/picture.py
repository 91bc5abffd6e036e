"""The day plan drawn: one lane per bath, time from left to right. The same on page and paper."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from kitchen.base import axes
from kitchen.base.drawing import hatch, number, rows, text_width
from kitchen.base.picture import Pen, Picture
from kitchen.dayplan.planning import Placed

BAR = 22.0
ROW = 64.0


def plan_picture(
    placed: Sequence[Placed], *, timezone: str, width: float = 960, size: float = 17, title: str
) -> Picture | None:
    """The racks of a day; None where there are none. The chill after a bath is hatched."""
    if not placed:
        return None
    zone, pen = ZoneInfo(timezone), Pen(size)
    start = min(each.rack.in_at for each in placed) - timedelta(minutes=30)
    end = max(each.rack.ready_at for each in placed) + timedelta(minutes=30)

    def x(at: datetime) -> float:
        return width * ((at - start) / (end - start))

    lanes: dict[str, list[Placed]] = defaultdict(list)
    for each in placed:
        lanes[each.bath.name].append(each)
    y = size * 2.2
    for name, racks in sorted(lanes.items()):
        pen.say(0, y + size * 0.9, name, bold=True)
        y += size * 1.4
        extents = [_extent(each, x, size) for each in racks]
        taken = rows(extents, gap=size * 0.8)
        for each, row in zip(racks, taken, strict=True):
            _bar(pen, each, x, y + row * ROW, zone, width)
        y += (max(taken) + 1) * ROW
        pen.level(0, width, y, 1.2)
        y += size * 0.9
    for tick in axes.time_ticks(start, end, zone, int(width / (size * 5))):
        at, reach = x(tick.at), text_width(tick.label, size) / 2
        if reach <= at <= width - reach:
            pen.upright(at, size * 1.4, size * 1.9, 1, dark=0.6)
            pen.say(at, size, tick.label, "middle")
    words = "; ".join(f"{each.bath.name}: {each.dish}, {_clock(each.rack.in_at, zone)}" for each in placed)
    return pen.picture(width, y, title, words)


def _clock(at: datetime, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%H:%M}"


def _label(each: Placed) -> str:
    return f"{each.rack.bags} × {each.dish}"


def _last(each: Placed) -> datetime:
    return each.rack.chilled_by or each.rack.out_at


def _extent(each: Placed, x: object, size: float) -> tuple[float, float]:
    left, right = x(each.rack.in_at), x(_last(each))  # type: ignore[operator]
    # Both clock times stand below the bar, the dish above it.
    return left, max(right, left + text_width(_label(each), size), left + text_width("00:00  00:00", size))


def _bar(pen: Pen, each: Placed, x: object, y: float, zone: ZoneInfo, width: float) -> None:
    size = pen.size
    left, middle, right = (x(at) for at in (each.rack.in_at, each.rack.out_at, _last(each)))  # type: ignore[operator]
    top, bottom = y + size * 0.5, y + size * 0.5 + BAR
    label = _label(each)
    pen.draw(f"M{number(left)} {number(top)}H{number(middle)}V{number(bottom)}H{number(left)}Z", 1.6)
    pen.draw(hatch(middle, top, right, bottom, 6), 1)
    pen.upright(middle, top - 4, bottom + 4, 3)
    inside = text_width(label, size) + 12 < middle - left
    pen.say(
        left + 6 if inside else min(left, width - text_width(label, size)),
        top + BAR * 0.72 if inside else top - 6,
        label,
    )
    pen.say(left, bottom + size, _clock(each.rack.in_at, zone))
    pen.say(
        max(middle, left + text_width("00:00 00:00", size)),
        bottom + size,
        _clock(each.rack.out_at, zone),
        "end",
        bold=True,
    )
