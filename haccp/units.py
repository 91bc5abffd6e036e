"""Units: the one registry, and the only place that knows °F, lb, oz, inch and degrees salometer.

What a cook types is read here and becomes °C, g or mm; what is shown goes out here.
Arithmetic is in fractions, so that 140 °F is 60 °C and not 59.99999999999994.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache
from typing import Any, Literal

import pint

from haccp.errors import UnitError

Rounding = Literal["nearest", "down", "up"]

_NAMES = {
    "degC": ("c", "°c", "degc", "deg c", "degrees c", "celsius", "degrees", "deg", "°"),
    "degF": ("f", "°f", "degf", "deg f", "degrees f", "fahrenheit"),
    "g": ("g", "gr", "gram", "grams", "gramme", "grammes"),
    "kg": ("kg", "kilo", "kilos", "kilogram", "kilograms"),
    "lb": ("lb", "lbs", "pound", "pounds"),
    "oz": ("oz", "ounce", "ounces"),
    "mm": ("mm", "millimetre", "millimetres"),
    "cm": ("cm", "centimetre", "centimetres"),
    "inch": ("in", "inch", "inches", '"'),
}
_SYMBOLS = {"degC": "°C", "degF": "°F", "inch": "in"}
_KINDS = {
    "temperature": (("degC", "degF"), "60.0"),
    "mass": (("g", "kg", "lb", "oz"), "250 g"),
    "length": (("mm", "cm", "inch"), "25 mm"),
}
# A unit without a scale of its own ("degrees") means the one that the field asks for.
_BARE = ("degrees", "deg", "°")
_TYPED = re.compile(r"([+-]?)(\d+(?:[.,]\d+)?|[.,]\d+)\s*(.*)", re.ASCII | re.DOTALL)
_MOST_DIGITS = 9


@cache
def registry() -> Any:
    """The one registry, exact (fractions), with degrees salometer defined."""
    units: Any = pint.UnitRegistry(non_int_type=Fraction, autoconvert_offset_to_baseunit=True)
    # Salometer: 100 degrees are brine saturated at 60 °F, 26.395 % w/w. Source: salometer-note.
    units.define("degree_salometer = 0.26395 * percent")
    return units


def convert(value: Fraction | int | str, from_unit: str, to_unit: str) -> Fraction:
    """`value` in `from_unit` expressed in `to_unit`, exactly."""
    quantity = registry().Quantity(Fraction(value), from_unit).to(to_unit)
    return Fraction(quantity.magnitude)


def _tidy(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text.replace("″", '"')).replace("−", "-").replace("–", "-")
    return " ".join(plain.split())


def _number(sign: str, digits: str, example: str) -> Fraction:
    whole, _, decimals = digits.replace(",", ".").partition(".")
    if len(whole) + len(decimals) > _MOST_DIGITS:
        raise UnitError(f"“{sign}{digits}” has too many digits. Type it like {example}.")
    if "," in digits and len(decimals) == 3 and whole.strip("0"):
        raise UnitError(
            f"“{sign}{digits}” can be read two ways. Type {whole}{decimals} or {whole}.{decimals}."
        )
    return Fraction(f"{sign}{whole or '0'}.{decimals or '0'}")


def _parse(text: str, kind: str, unit: str, into: str) -> Fraction:
    units, example = _KINDS[kind]
    if unit not in units:
        raise UnitError(f"A {kind} is asked for in one of {', '.join(units)}, not in “{unit}”.")
    tidy = _tidy(text)
    if not tidy:
        raise UnitError(f"Nothing was typed. Type the {kind}, like {example}.")
    match = _TYPED.fullmatch(tidy)
    if match is None:
        raise UnitError(f"“{tidy}” is not a {kind}. Type one number, like {example}.")
    sign, digits, named = match.groups()
    number = _number(sign, digits, example)
    name = named.rstrip(".").casefold()
    if name and name not in _BARE:
        unit = next((each for each in units if name in _NAMES[each]), "")
    elif name and kind != "temperature":
        unit = ""
    if not unit:
        choices = " or ".join(_SYMBOLS.get(each, each) for each in units)
        raise UnitError(f"“{tidy}” was not understood. Type one number in {choices}, like {example}.")
    return convert(number, unit, into)


def parse_temperature(text: str, unit: str = "degC") -> float:
    """What was typed as a temperature, in °C.

    Parameters: `text`, such as ``60``, ``60,0``, ``60.0 °C`` or ``140F``; `unit`, the
    unit meant when none is typed, "degC" or "degF". Raises :class:`UnitError` saying
    what to type; below absolute zero counts as a typing error.
    """
    celsius = _parse(text, "temperature", unit, "degC")
    if celsius < Fraction("-273.15"):
        raise UnitError(f"“{_tidy(text)}” is colder than anything can be. Type it again.")
    return float(celsius)


def parse_mass(text: str, unit: str = "g") -> float:
    """What was typed as a mass, in g; above zero.

    `unit` is meant when none is typed: "g", "kg", "lb" or "oz". Two units in one
    ("2 lb 3 oz") are refused with advice. Raises :class:`UnitError`.
    """
    return _positive(text, "mass", unit, "g")


def parse_length(text: str, unit: str = "mm") -> float:
    """What was typed as a length, in mm; above zero.

    `unit` is meant when none is typed: "mm", "cm" or "inch". Raises :class:`UnitError`.
    """
    return _positive(text, "length", unit, "mm")


def _positive(text: str, kind: str, unit: str, into: str) -> float:
    value = _parse(text, kind, unit, into)
    if value <= 0:
        raise UnitError(f"A {kind} is more than nothing. Type it like {_KINDS[kind][1]}.")
    return float(value)


def to_fahrenheit(celsius: float) -> float:
    """°F from °C. What was typed in °F comes back exactly: 135 °F kept as °C gives 135.0."""
    return float(_snapped(convert(_exact(celsius), "degC", "degF")))


def to_celsius(fahrenheit: float) -> float:
    """°C from °F, correct to the last digit that a float holds: 140 °F gives 60.0."""
    return float(convert(_exact(fahrenheit), "degF", "degC"))


def salometer_from_percent(percent: float) -> float:
    """Degrees salometer of a brine of `percent` % w/w, from water to saturation. Source: salometer-note."""
    degrees = convert(_exact(percent), "percent", "degree_salometer")
    if not 0 <= degrees <= 100:
        raise UnitError(f"A salometer reads brines of 0 to 26.395 %, not {percent} %. Check the strength.")
    return float(degrees)


def percent_from_salometer(degrees: float) -> float:
    """% w/w of a brine of so many degrees salometer, 0 to 100. Source: salometer-note."""
    if not 0 <= degrees <= 100:
        raise UnitError(f"A salometer reads 0 to 100 degrees, not {degrees}. Read it again.")
    return float(convert(_exact(degrees), "degree_salometer", "percent"))


def _exact(value: float) -> Fraction:
    try:
        # The shortest decimal that gives this float is what was meant, not its binary tail.
        return Fraction(repr(float(value)))
    except (ValueError, OverflowError):
        raise UnitError("That is not a number.") from None


def _snapped(value: Fraction) -> Fraction:
    # A float in °C holds some 15 digits, so a typed °F returns with a tail of 1e-14; off with it,
    # or a reading equal to its limit would fall short of it.
    return round(value, 9)


def _format(value: Fraction, digits: int, rounding: Rounding) -> str:
    mode = {"nearest": ROUND_HALF_UP, "down": ROUND_FLOOR, "up": ROUND_CEILING}[rounding]
    # Scaled first and rounded once, so that no digit is lost in a division.
    scaled = value * 10**digits
    ticks = (Decimal(scaled.numerator) / Decimal(scaled.denominator)).quantize(Decimal(1), mode)
    text = f"{ticks.scaleb(-digits):.{digits}f}"
    return text.removeprefix("-") if ticks == 0 else text.replace("-", "−")


def format_temperature(
    celsius: float, unit: str = "degC", digits: int = 1, rounding: Rounding = "nearest"
) -> str:
    """A temperature as it is shown: ``60.0 °C`` or ``140.0 °F``.

    `rounding` "down" keeps a measured value under its limit from being shown as equal
    to it, "up" the other way round.
    """
    if unit not in _KINDS["temperature"][0]:
        raise UnitError(f"A temperature is shown in degC or degF, not in “{unit}”.")
    shown = _snapped(convert(_exact(celsius), "degC", unit))
    return f"{_format(shown, digits, rounding)} {_SYMBOLS[unit]}"


def format_mass(grams: float) -> str:
    """A mass as it is shown: ``250 g``, ``1.25 kg``."""
    if round(_exact(grams)) < 1000:
        return f"{_format(_exact(grams), 0, 'nearest')} g"
    return f"{_format(_exact(grams) / 1000, 2, 'nearest')} kg"


def format_length(millimetres: float, digits: int = 0) -> str:
    """A length as it is shown: ``25 mm``."""
    return f"{_format(_exact(millimetres), digits, 'nearest')} mm"


@dataclass(frozen=True)
class Suggestion:
    """What may have been meant: the temperature [°C] and why, in words."""

    celsius: float
    reason: str


def suggestions(
    celsius: float, expected_low: float, expected_high: float, unit: str = "degC"
) -> list[Suggestion]:
    """What a temperature outside the expected range may have been meant to be.

    Parameters: `celsius`, as understood [°C]; the expected range [°C]; `unit`, the unit
    in which it was typed. Tried: the other unit, a lost or moved decimal point, a lost
    minus sign. Inside the range nothing is suggested.
    """
    if not (math.isfinite(celsius) and expected_low <= expected_high):
        raise UnitError("A temperature and the range expected of it are numbers, low before high.")
    if expected_low <= celsius <= expected_high:
        return []
    typed = to_fahrenheit(celsius) if unit == "degF" else celsius

    def read_as(value: float) -> float:
        return to_celsius(value) if unit == "degF" else value

    tried = [
        Suggestion(typed, "typed in °C") if unit == "degF" else Suggestion(to_celsius(typed), "typed in °F"),
        Suggestion(read_as(typed / 10), "the decimal point is missing"),
        Suggestion(read_as(typed / 100), "the decimal point is missing"),
        Suggestion(read_as(typed * 10), "the decimal point slipped"),
        Suggestion(
            read_as(-typed), "the minus sign is missing" if typed > 0 else "the minus sign is too much"
        ),
    ]
    return [each for each in tried if expected_low <= each.celsius <= expected_high]


def suspect(celsius: float, expected_low: float, expected_high: float, unit: str = "degC") -> str | None:
    """The question to ask about a typed temperature, or None if it is as expected.

    Parameters as for :func:`suggestions`. A value outside the range for which nothing
    is suggested is questioned too: nothing odd is swallowed, nothing is changed.
    """
    meant = suggestions(celsius, expected_low, expected_high, unit)
    if not meant and expected_low <= celsius <= expected_high:
        return None
    low, high = (format_temperature(each, unit) for each in (expected_low, expected_high))
    opening = f"{format_temperature(celsius, unit)} is outside the {low} to {high} expected here."
    if not meant:
        return f"{opening} Read it again: is it right?"
    choices = " or ".join(f"{format_temperature(each.celsius, unit)} ({each.reason})" for each in meant)
    return f"{opening} Did you mean {choices}?"
