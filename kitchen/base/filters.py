"""Template filters that every page may use: moments and figures with their units."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template

from haccp import units
from kitchen.base import moments

register = template.Library()


@register.filter
def clock(moment: datetime | None, site: Any) -> str:
    """24 h time in the site's zone, with the date when it is not today."""
    return moments.clock(moment, site.timezone, moments.local(moments.now(), site.timezone).date())


@register.filter
def moment(value: datetime | None, site: Any) -> str:
    """Date and 24 h time in the site's zone."""
    return moments.clock(value, site.timezone)


@register.filter
def day(value: date | None) -> str:
    """A calendar day in full: Tue 24 Nov 2026."""
    return f"{value:%a} {value.day} {value:%b %Y}" if value else "–"


@register.filter
def temperature(celsius: Decimal | float | None, site: Any) -> str:
    """A temperature with its unit, as the site has chosen."""
    return "–" if celsius is None else units.format_temperature(float(celsius), site.temperature_unit)


@register.filter
def figure(value: Decimal | float | None, unit: str = "") -> str:
    """A figure without idle zeros, with its unit behind a thin space."""
    if value is None:
        return "–"
    text = f"{Decimal(str(value)).normalize():f}"
    return f"{text}\u202f{unit}" if unit else text
