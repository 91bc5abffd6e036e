"""Units at the edge.

Conversions: exact definitions (international yard and pound agreement of 1959; °F by definition).
"""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haccp.errors import UnitError
from haccp.units import (
    convert,
    format_length,
    format_mass,
    format_temperature,
    parse_length,
    parse_mass,
    parse_temperature,
    to_celsius,
    to_fahrenheit,
)


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [
        ("60", 60.0),
        ("60,0", 60.0),
        ("60.0 °C", 60.0),
        (" 60.0C ", 60.0),
        ("60 c.", 60.0),
        ("60.5 degrees", 60.5),
        ("60°", 60.0),
        ("140F", 60.0),
        ("140 °F", 60.0),
        ("131.0 f", 55.0),
        ("-18", -18.0),
        ("−18,5", -18.5),
        ("–2", -2.0),
        ("+3", 3.0),
        (".5", 0.5),
        ("0,5", 0.5),
        ("６０．５", 60.5),
        ("60.0\u00a0℃", 60.0),
        ("60.", 60.0),
        ("0", 0.0),
    ],
)
def test_it_reads_what_a_cook_types(typed, celsius):
    assert parse_temperature(typed) == celsius


def test_a_site_in_fahrenheit_types_bare_numbers_in_fahrenheit():
    assert parse_temperature("140", unit="degF") == 60.0
    assert parse_temperature("140°", unit="degF") == 60.0
    assert parse_temperature("60 C", unit="degF") == 60.0


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "  ",
        "warm",
        "60.0.1",
        "6O",
        "nan",
        "inf",
        "1e3",
        "60 61",
        "60/61",
        "60 K",
        "--5",
        "٦٠",
        "-300",
        "°C",
    ],
)
def test_it_refuses_the_rest_and_says_what_to_type(typed):
    with pytest.raises(UnitError, match=r"[Tt]ype"):
        parse_temperature(typed)


@pytest.mark.parametrize(
    ("typed", "grams"),
    [
        ("250", 250),
        ("250 g", 250),
        ("1.2 kg", 1200),
        ("1.200 kg", 1200),
        ("0,250 kg", 250),
        ("2,5kg", 2500),
        ("1 lb", 453.59237),
        ("1 oz", 28.349523125),
    ],
)
def test_masses(typed, grams):
    assert parse_mass(typed) == grams


@pytest.mark.parametrize("typed", ["60,000", "60 kg", "1" * 12, "60 ∞"])
def test_it_refuses_the_doubtful(typed):
    with pytest.raises(UnitError, match="Type"):
        parse_temperature(typed)


@pytest.mark.parametrize("typed", ["2 lb 3 oz", "1,200 kg", "0", "-5 g", "5 mm", "5°", ""])
def test_masses_that_are_refused(typed):
    with pytest.raises(UnitError, match=r"[Tt]ype"):
        parse_mass(typed)


def test_a_comma_before_three_digits_is_asked_about():
    with pytest.raises(UnitError, match=r"two ways\. Type 1200 or 1\.200"):
        parse_mass("1,200 kg")


@pytest.mark.parametrize(
    ("typed", "mm"), [("25", 25), ("2.5 cm", 25), ("1 in", 25.4), ('1"', 25.4), ("1″", 25.4)]
)
def test_lengths(typed, mm):
    assert parse_length(typed) == mm


def test_a_bare_number_is_in_the_unit_asked_for():
    assert parse_mass("1.5", unit="kg") == 1500
    assert parse_length("1", unit="inch") == 25.4
    with pytest.raises(UnitError, match="asked for"):
        parse_mass("1", unit="stone")


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [(32, 0.0), (41, 5.0), (135, Fraction(515, 9)), (140, 60.0), (212, 100.0), (-40, -40.0)],
)
def test_fahrenheit_is_exact(fahrenheit, celsius):
    assert convert(fahrenheit, "degF", "degC") == celsius
    assert to_fahrenheit(to_celsius(fahrenheit)) == fahrenheit


@settings(deadline=None, max_examples=100)
@given(st.integers(-400, 4000))
def test_tenths_survive_the_way_there_and_back(tenths):
    assert to_fahrenheit(to_celsius(tenths / 10)) == tenths / 10
    assert parse_temperature(format_temperature(tenths / 10)) == tenths / 10
    shown = format_temperature(to_celsius(tenths / 10), "degF", rounding="down")
    assert parse_temperature(shown) == to_celsius(tenths / 10)


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_no_number_is_refused(value):
    with pytest.raises(UnitError):
        to_fahrenheit(value)
    with pytest.raises(UnitError):
        format_temperature(value)


@pytest.mark.parametrize(
    ("celsius", "unit", "digits", "rounding", "shown"),
    [
        (60.0, "degC", 1, "nearest", "60.0 °C"),
        (60.0, "degF", 1, "nearest", "140.0 °F"),
        (59.96, "degC", 1, "nearest", "60.0 °C"),
        (59.96, "degC", 1, "down", "59.9 °C"),
        (5.01, "degC", 1, "up", "5.1 °C"),
        (60.25, "degC", 1, "nearest", "60.3 °C"),
        (-18.0, "degC", 0, "nearest", "−18 °C"),
        (-0.04, "degC", 1, "nearest", "0.0 °C"),
    ],
)
def test_how_temperatures_are_shown(celsius, unit, digits, rounding, shown):
    assert format_temperature(celsius, unit, digits, rounding) == shown


def test_how_masses_and_lengths_are_shown():
    assert [format_mass(250), format_mass(999.6), format_mass(1250)] == ["250 g", "1.00 kg", "1.25 kg"]
    assert [format_length(25), format_length(25.4, 1)] == ["25 mm", "25.4 mm"]
    with pytest.raises(UnitError):
        format_temperature(60, "K")
