"""Brine strength, density, equilibrium and the shipped guidance.

Handbook rows with their sources: tests/data/brine.csv. Equilibrium and water-phase examples:
own computation by hand from the definitions, except where a source is named.
"""

import math

import pytest

from haccp.brine import (
    Reckoning,
    brining_guidance,
    density_kg_m3,
    equilibrium_water_phase_percent,
    grams_per_litre_brine,
    grams_per_litre_water,
    percent_from_grams_per_litre_water,
    percent_from_parts,
    percent_from_salometer,
    salometer_from_percent,
    salt_for_equilibrium,
    salt_for_water_phase,
    water_activity,
    water_phase_salt_percent,
)
from haccp.errors import DataError, RangeError, UnitError
from tests.haccp.tables import rows

AT_20_C = rows("brine.csv", kind="density", quantity="NaCl solution at 20 C")
MOLAR_MASS_KG = 0.058443  # sodium chloride, IUPAC atomic masses


@pytest.mark.parametrize("row", AT_20_C, ids=lambda row: row["x"])
def test_density_against_two_handbook_tables(row):
    """The equation is a fit to one of them: largest error 0.20 kg/m3."""
    assert density_kg_m3(float(row["x"])) == pytest.approx(float(row["value"]), abs=0.21)


@pytest.mark.parametrize("row", rows("brine.csv", kind="specific volume"), ids=lambda row: row["x"])
def test_density_against_volumes_it_was_not_fitted_to(row):
    """Rogers and Pitzer, J. Phys. Chem. Ref. Data 11:15 (1982), 20 °C, 1 bar."""
    salt = float(row["x"]) * MOLAR_MASS_KG
    density = density_kg_m3(percent_from_parts(salt * 1000, 1000))
    assert density == pytest.approx(1000 / float(row["value"]), abs=0.13)


@pytest.mark.parametrize(
    "row", [row for row in AT_20_C if "kg salt" in row["note"]], ids=lambda row: row["x"]
)
def test_salt_in_a_litre_of_brine(row):
    printed = float(row["note"].split(" kg salt")[0])
    assert grams_per_litre_brine(float(row["x"])) == pytest.approx(printed, abs=0.06)


@pytest.mark.parametrize(
    "row", rows("brine.csv", kind="salometer", unit="% w/w")[:10], ids=lambda row: row["x"]
)
def test_salometer_table(row):
    """A table of the salt industry, cut (not rounded) to three decimals."""
    assert percent_from_salometer(float(row["x"])) == pytest.approx(float(row["value"]), abs=0.001)
    assert salometer_from_percent(percent_from_salometer(float(row["x"]))) == float(row["x"])


def test_a_hundred_grams_to_the_litre_is_not_ten_percent():
    assert percent_from_grams_per_litre_water(100) == pytest.approx(9.0909, abs=5e-5)
    assert grams_per_litre_water(9.0909090909) == pytest.approx(100, abs=1e-6)
    assert grams_per_litre_water(10) == pytest.approx(111.11, abs=0.005)


def test_three_reckonings_of_an_equilibrium_brine():
    """1000 g meat, 1000 g water, 2 %: worked by hand, 40.0, 40.82 and 48.75 g."""
    assert salt_for_equilibrium(1000, 1000, 2, Reckoning.MEAT_AND_WATER) == pytest.approx(40.0)
    assert salt_for_equilibrium(1000, 1000, 2, Reckoning.EVERYTHING) == pytest.approx(40.82, abs=0.005)
    in_meat = salt_for_equilibrium(1000, 1000, 2, Reckoning.MEAT_AND_ITS_SALT, 72)
    assert in_meat == pytest.approx(48.75, abs=0.005)


def test_the_third_reckoning_ends_where_it_should():
    """With that salt the meat's water and the brine share one strength, and the meat holds 2 %."""
    salt = salt_for_equilibrium(1000, 1000, 2, Reckoning.MEAT_AND_ITS_SALT, 72)
    share_in_meat = salt * 720 / 1720
    assert share_in_meat / (1000 + share_in_meat) == pytest.approx(0.02)
    assert equilibrium_water_phase_percent(1000, 1000, 40, 72) == pytest.approx(2.273, abs=5e-4)
    assert equilibrium_water_phase_percent(1000, 1000, 0, 72) == 0.0


@pytest.mark.parametrize(
    ("salt", "moisture", "expected"),
    [(2.5, 68, 3.546), (2.466, 68, 3.5), (2.249, 62, 3.5), (2.720, 75, 3.5)],
)
def test_water_phase_salt(salt, moisture, expected):
    """Definition: Hilderbrand, Oregon State Extension Special Report 883; figures by hand."""
    assert water_phase_salt_percent(salt, moisture) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(
    ("row", "expected"),
    [*zip(rows("brine.csv", kind="wps", unit="% WPS"), (2.466, 2.103), strict=True)],
    ids=lambda each: each["value"] if isinstance(each, dict) else "",
)
def test_salt_for_a_water_phase(row, expected):
    """Minima for smoked fish in vacuum; at 68 % moisture by hand: 3.5 x 68/96.5 and 3 x 68/97."""
    salt = salt_for_water_phase(float(row["value"]), 68)
    assert salt == pytest.approx(expected, abs=5e-4)
    assert water_phase_salt_percent(salt, 68) == pytest.approx(float(row["value"]))
    with pytest.raises(RangeError):
        salt_for_water_phase(3.5, 99)


def test_drying_raises_the_water_phase_salt():
    """1000 g of fish with 680 g of water and 22 g of salt loses 80 g: 22/622 (by hand)."""
    assert water_phase_salt_percent(2200 / 920, 60_000 / 920) == pytest.approx(3.537, abs=5e-4)


@pytest.mark.parametrize(
    ("molal", "osmotic"), [(0.1, 0.9324), (0.5, 0.9209), (1, 0.9355), (2, 0.9833), (3, 1.0453)]
)
def test_water_activity_against_osmotic_coefficients(molal, osmotic):
    """ln aw = −2 m phi M; phi of sodium chloride at 25 °C: Robinson and Stokes (from memory)."""
    percent = 100 * molal * MOLAR_MASS_KG / (1 + molal * MOLAR_MASS_KG)
    expected = math.exp(-2 * molal * osmotic * 0.018015)
    assert water_activity(percent) == pytest.approx(expected, abs=0.002)


def test_water_activity_as_gathered():
    """Resnik and Chirife (from memory): 3.5 % gives 0.980, 10 % gives 0.9353."""
    [row] = rows("brine.csv", kind="wps", quantity="aw from WPS (NaCl only)")
    assert f"{water_activity(3.5):.3f}" == row["note"].rsplit(" ", 1)[1]
    assert water_activity(10) == pytest.approx(0.9353, abs=5e-5)


@pytest.mark.parametrize(("thickness", "minutes"), [(8, 30), (24.9, 30), (25, 30), (25.1, 60), (60, 60)])
def test_poultry_in_the_brine(thickness, minutes):
    """Common practice, no source: thin small pieces half an hour, thicker ones an hour, then rinsed."""
    found = brining_guidance("poultry", thickness)
    assert found.minutes == minutes
    assert "cold running water" in found.afterwards
    assert "inse" in found.afterwards
    assert found.provenance == "common practice, no source"


def test_other_foods_have_no_guidance():
    assert brining_guidance("beef", 25) is None
    with pytest.raises(DataError, match="poultry"):
        brining_guidance("yeti", 25)
    with pytest.raises(RangeError, match="mm"):
        brining_guidance("poultry", 0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: density_kg_m3(26.1),
        lambda: density_kg_m3(-0.1),
        lambda: density_kg_m3(float("nan")),
        lambda: percent_from_parts(-1, 1000),
        lambda: percent_from_parts(50, 0),
        lambda: percent_from_parts(500, 1000),
        lambda: grams_per_litre_water(30),
        lambda: water_phase_salt_percent(40, 70),
        lambda: water_phase_salt_percent(float("nan"), 70),
        lambda: salt_for_equilibrium(0, 1000, 2, Reckoning.EVERYTHING),
        lambda: salt_for_equilibrium(1000, 1000, 2, Reckoning.MEAT_AND_ITS_SALT),
        lambda: equilibrium_water_phase_percent(1000, 1000, -1, 72),
    ],
)
def test_what_cannot_be_weighed_is_refused(call):
    with pytest.raises(RangeError):
        call()


@pytest.mark.parametrize("degrees", [-1, 101, float("nan")])
def test_a_salometer_reads_nought_to_a_hundred(degrees):
    with pytest.raises(UnitError):
        percent_from_salometer(degrees)
    with pytest.raises(UnitError):
        salometer_from_percent(degrees)
