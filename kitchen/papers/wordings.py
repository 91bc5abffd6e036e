"""How a paper writes moments, temperatures and bags: the year too, and the offset from UTC."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from haccp import units
from kitchen.base import moments
from kitchen.people.models import Site
from kitchen.review.showing import numbers_in_words

NOT_RECORDED = "not recorded"


class Wordings:
    """The words of one site: its time zone, its unit of temperature."""

    def __init__(self, site: Site) -> None:
        self.site = site

    def clock(self, moment: datetime | None) -> str:
        """Day and 24 h time, as in the tables: Mon 16 Nov 08:05."""
        return moments.clock(moment, self.site.timezone) if moment else NOT_RECORDED

    def full(self, moment: datetime) -> str:
        """With year and zone, as under a signature: Mon 16 Nov 2026 08:05 GMT (UTC+00:00)."""
        here = moments.local(moment, self.site.timezone)
        offset = f"{here:%z}"
        return f"{here:%a} {here.day} {here:%b %Y %H:%M} {here.tzname()} (UTC{offset[:3]}:{offset[3:5]})"

    @staticmethod
    def day(value: date | None) -> str:
        """A calendar day: Tue 24 Nov 2026."""
        return f"{value:%a} {value.day} {value:%b %Y}" if value else NOT_RECORDED

    def temperature(self, celsius: Decimal | float | None) -> str:
        """A temperature with its unit."""
        if celsius is None:
            return NOT_RECORDED
        return units.format_temperature(float(celsius), self.site.temperature_unit)

    def difference(self, kelvin: float) -> str:
        """A difference of temperatures with its unit: a tolerance, a band."""
        if self.site.temperature_unit == "degF":
            return f"{kelvin * 1.8:g} °F"
        return f"{kelvin:g} °C"

    def spread(self, figures: Sequence[float]) -> str:
        """From the lowest to the highest of some temperatures."""
        if not figures:
            return NOT_RECORDED
        low, high = self.temperature(min(figures)), self.temperature(max(figures))
        return low if low == high else f"{low} to {high}"


def length(millimetres: Decimal | float | None) -> str:
    """A length: 25 mm, 27.5 mm."""
    return NOT_RECORDED if millimetres is None else f"{float(millimetres):g} mm"


def mass(grams: Decimal | int | None) -> str:
    """A mass."""
    return NOT_RECORDED if grams is None else units.format_mass(float(grams))


def counted(count: int, one: str, many: str = "") -> str:
    """*1 reading*, *3 readings*."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def together(rows: Iterable[tuple[int, Any]], words: Callable[[Any], Any]) -> list[tuple[str, Any]]:
    """Bags of which the same is to be said, in order: (their name, what is said)."""
    found: dict[Any, list[int]] = {}
    for number, row in rows:
        numbers = found.setdefault(words(row), [])
        if number not in numbers:
            numbers.append(number)
    return [(numbers_in_words(numbers), said) for said, numbers in found.items()]
