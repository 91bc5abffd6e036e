"""Figures in words: temperatures, times and moments as a finding says them.

A figure is rounded to the side that does not flatter it: what must be high is rounded
down, what must be low is rounded up, and what is missing is rounded up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from haccp.errors import DataError
from haccp.units import Rounding, format_temperature

_DIFFERENCE_F_PER_K = 1.8


def temperature(celsius: float, unit: str = "degC", rounding: Rounding = "nearest") -> str:
    """A temperature [°C] in the unit of a limit, to one decimal."""
    return format_temperature(celsius, unit if unit == "degF" else "degC", 1, rounding)


def difference(kelvin: float, unit: str = "degC") -> str:
    """A difference of temperature [K] in the unit of a limit, rounded up to one decimal."""
    scale, symbol = (_DIFFERENCE_F_PER_K, "°F") if unit == "degF" else (1.0, "°C")
    # A rest of a millionth is an error of floats, not a difference.
    return f"{math.ceil(abs(kelvin) * scale * 10.0 - 1e-6) / 10.0:.1f} {symbol}"


def span(seconds: float, rounding: Rounding = "down") -> str:
    """A time [s]: ``6 s``, ``9 min 30 s``, ``41 min``, ``2 h 05 min``.

    Under ten minutes seconds are said, above whole minutes; `rounding` says to which side.
    """
    whole_s = _whole(max(seconds, 0.0), rounding)
    if whole_s < 60:
        return f"{whole_s} s"
    if whole_s < 600:
        minutes, rest = divmod(whole_s, 60)
        return f"{minutes} min {rest} s" if rest else f"{minutes} min"
    minutes = _whole(seconds / 60.0, rounding)
    if minutes < 120:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {rest:02d} min" if rest else f"{hours} h"
    days, over = divmod(hours, 24)
    return f"{days} days {over} h" if over else f"{days} days"


def _whole(value: float, rounding: Rounding) -> int:
    # A rest of a millionth is an error of floats and must not cost a whole minute.
    if rounding == "down":
        return math.floor(value + 1e-6)
    return math.ceil(value - 1e-6) if rounding == "up" else round(value)


@dataclass(frozen=True)
class Clock:
    """The wall clock of a site; `day` is the batch's day, on which a time needs no date."""

    zone: ZoneInfo
    day: date

    @classmethod
    def at(cls, timezone: str, day: date) -> Clock:
        """The clock of a time zone; raises :class:`DataError` for one that is not known."""
        try:
            return cls(ZoneInfo(timezone), day)
        except (ZoneInfoNotFoundError, ValueError):
            raise DataError(f"There is no time zone “{timezone}”; correct the site.") from None

    def local_day(self, moment: datetime) -> date:
        """The day at the site."""
        return moment.astimezone(self.zone).date()

    def time(self, moment: datetime) -> str:
        """Local time, 24 h, with the date where it is not the batch's day."""
        local = moment.astimezone(self.zone)
        clock = local.strftime("%H:%M")
        return clock if local.date() == self.day else f"{clock} on {self.date(local.date())}"

    def time_up(self, moment: datetime) -> str:
        """Local time of a moment until which something must last: rounded up to the minute."""
        over = moment.second or moment.microsecond
        whole = moment.replace(second=0, microsecond=0)
        return self.time(whole + timedelta(minutes=1) if over else whole)

    @staticmethod
    def date(day: date) -> str:
        """A date in words: ``3 March 2026``."""
        return f"{day.day} {day.strftime('%B %Y')}"


def listed(items: list[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def plural(count: int, one: str, many: str | None = None) -> str:
    """``1 reading``, ``2 readings``."""
    return f"{count} {one if count == 1 else many or one + 's'}"
