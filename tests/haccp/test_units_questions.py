"""Questions about typed temperatures; the examples are own choice, worked by hand."""

import math

import pytest

from haccp.errors import UnitError
from haccp.units import suggestions, suspect, to_celsius


@pytest.mark.parametrize(
    ("celsius", "unit", "meant"),
    [
        (600.0, "degC", [60.0]),
        (6000.0, "degC", [60.0]),
        (6.0, "degC", [60.0]),
        (140.0, "degC", [60.0]),
        (-60.0, "degC", [60.0]),
        (to_celsius(60), "degF", [60.0]),
        (to_celsius(1400), "degF", [60.0]),
        (45.0, "degC", []),
        (60.0, "degC", []),
    ],
)
def test_what_may_have_been_meant(celsius, unit, meant):
    found = [each.celsius for each in suggestions(celsius, 50.0, 90.0, unit)]
    assert found == pytest.approx(meant)


def test_the_question_names_what_was_typed_what_is_expected_and_what_is_meant():
    assert suspect(60.0, 50.0, 90.0) is None
    assert "600.0 °C" in suspect(600.0, 50.0, 90.0)
    assert "50.0 °C to 90.0 °C" in suspect(600.0, 50.0, 90.0)
    assert "Did you mean 60.0 °C (the decimal point is missing)?" in suspect(600.0, 50.0, 90.0)
    assert "60.0 °C (typed in °F)" in suspect(140.0, 50.0, 90.0)
    assert "−18.0 °C (the minus sign is missing)" in suspect(18.0, -25.0, -15.0)
    assert suspect(45.0, 50.0, 90.0).endswith("is it right?")
    assert "140.0 °F (typed in °C)" in suspect(to_celsius(60), 50.0, 90.0, "degF")


def test_a_question_needs_numbers():
    with pytest.raises(UnitError):
        suspect(math.nan, 50, 90)
