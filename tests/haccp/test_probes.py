"""Probe checks and boiling points.

Boiling points in tests/data/brine.csv were computed with two general-purpose steam-table
programs, which agree to 0.001 °C. Saturation temperatures: verification table 36 of the
industrial formulation for water and steam (from memory).
"""

import pytest

from haccp.errors import RangeError
from haccp.probes import boiling_point_c, judge_check, pressure_pa, saturation_c
from tests.haccp.tables import rows


@pytest.mark.parametrize("row", rows("brine.csv", kind="boiling point"), ids=lambda row: row["x"])
def test_boiling_point_at_altitude(row):
    assert boiling_point_c(float(row["x"])) == pytest.approx(float(row["value"]), abs=0.002)


@pytest.mark.parametrize("row", rows("brine.csv", kind="boiling point"), ids=lambda row: row["x"])
def test_pressure_at_altitude(row):
    """The notes of the rows print the pressure in hPa to one decimal."""
    printed = float(row["note"].split(" hPa")[0])
    assert pressure_pa(float(row["x"])) / 100 == pytest.approx(printed, abs=0.051)


@pytest.mark.parametrize(("mpa", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_saturation_verification_values(mpa, kelvin):
    assert saturation_c(mpa * 1e6) + 273.15 == pytest.approx(kelvin, abs=6e-7)


@pytest.mark.parametrize(("altitude", "celsius", "apart"), [(2000, 93.4, 0.1), (4000, 87.3, 0.7)])
def test_a_simpler_law_on_a_public_page_is_near(altitude, celsius, apart):
    """A page with a simpler vapour-pressure law (page seen)."""
    assert boiling_point_c(altitude) == pytest.approx(celsius, abs=apart)


@pytest.mark.parametrize(
    ("reading", "meets"),
    [(-1.01, False), (-1.0, True), (0.0, True), (1.0, True), (1.01, False)],
)
def test_ice_check_at_its_edges(reading, meets):
    """The edges are given by the test: limits come from the ruleset."""
    found = judge_check("ice", reading, 2000.0, low_c=-1.0, high_c=1.0)
    assert found.meets is meets
    assert found.error_k == reading
    assert (found.low_c, found.high_c) == (-1.0, 1.0)


@pytest.mark.parametrize(
    ("altitude", "reading", "meets"),
    [
        (0, 98.99, False),
        (0, 99.0, True),
        (0, 101.0, True),
        (0, 101.01, False),
        (1000, 96.6, True),
        (1000, 100.0, False),
        (2000, 93.3, True),
        (2000, 99.0, False),
    ],
)
def test_boiling_check_moves_with_altitude(altitude, reading, meets):
    assert judge_check("boiling", reading, altitude, low_c=99.0, high_c=101.0).meets is meets


@pytest.mark.parametrize("altitude", [-501, 5001, float("nan"), float("inf")])
def test_an_altitude_without_a_kitchen_is_refused(altitude):
    with pytest.raises(RangeError, match="metres"):
        boiling_point_c(altitude)


@pytest.mark.parametrize("pressure", [0.0, -1.0, 1e9, float("nan")])
def test_a_pressure_without_a_boiling_point_is_refused(pressure):
    with pytest.raises(RangeError):
        saturation_c(pressure)


def test_bad_checks_are_refused():
    with pytest.raises(RangeError, match="ice or boiling"):
        judge_check("soup", 0.0, low_c=-1.0, high_c=1.0)
    with pytest.raises(RangeError, match="what the probe read"):
        judge_check("ice", float("nan"), low_c=-1.0, high_c=1.0)
    with pytest.raises(RangeError, match="lower limit"):
        judge_check("ice", 0.0, low_c=1.0, high_c=-1.0)
