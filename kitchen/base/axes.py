"""Ticks for a time axis and a temperature axis. Pure: no Django, no drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

_MINUTE_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 180, 240, 360, 720, 1440, 2880, 10080, 20160, 40320)


@dataclass(frozen=True)
class TimeTick:
    """A moment on the axis: its 24 h label, and whether a new day begins at it."""

    at: datetime
    label: str
    midnight: bool


def step_for(span: float, most: int) -> float:
    """The smallest of 1, 2 and 5 times a power of ten that cuts `span` into at most `most` parts."""
    rough = span / max(most, 1)
    power = 10.0 ** math.floor(math.log10(rough)) if rough > 0 else 1.0
    return next(step for factor in (1, 2, 5, 10) if (step := factor * power) >= rough * (1 - 1e-9))


def figure_ticks(low: float, high: float, most: int = 7, least_step: float = 0.1) -> list[float]:
    """Round figures that enclose `low` and `high`, evenly apart."""
    if high - low < least_step:
        low, high = low - least_step, high + least_step
    step = max(step_for(high - low, most), least_step)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [round(number * step, 6) for number in range(first, last + 1)]


def figure_label(value: float, step: float) -> str:
    """A tick's label with as many decimals as its step has, and a true minus sign."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) if step < 1 else 0
    return f"{value:.{decimals}f}".replace("-", "−")


def _wall_moments(wall: datetime, zone: ZoneInfo) -> list[datetime]:
    """The moments at which the zone's clocks show `wall`: none, one, or two when they go back."""
    moments = {wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)}
    return sorted(each for each in moments if each.astimezone(zone).replace(tzinfo=None) == wall)


def time_ticks(start: datetime, end: datetime, zone: ZoneInfo, most: int = 8) -> list[TimeTick]:
    """Round clock times of the zone between two moments, at most about `most` of them.

    The steps follow the clock on the kitchen's wall, so that they stay round across a clock change.
    """
    minutes = (end - start).total_seconds() / 60
    step = next((each for each in _MINUTE_STEPS if minutes / each <= most), _MINUTE_STEPS[-1])
    wall = start.astimezone(zone).replace(tzinfo=None)
    midnight = wall.replace(hour=0, minute=0, second=0, microsecond=0)
    wall = midnight + timedelta(minutes=step) * ((wall - midnight) // timedelta(minutes=step))
    ticks = []
    # A clock change can put the wall's end an hour before or after the moment's.
    while wall <= end.astimezone(zone).replace(tzinfo=None) + timedelta(hours=2):
        for moment in _wall_moments(wall, zone):
            if start <= moment <= end:
                ticks.append(TimeTick(moment, f"{wall:%H:%M}", wall.hour == wall.minute == 0))
        wall += timedelta(minutes=step)
    return sorted(ticks, key=lambda tick: tick.at)
