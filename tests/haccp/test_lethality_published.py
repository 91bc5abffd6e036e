"""Equivalent holds against published tables; sources stand in tests/data/lethality_tables.csv."""

import pytest

from haccp.lethality import equivalent_hold_minutes, lethal_rate, organism
from tests.haccp.tables import rows

TABLE = "lethality_tables.csv"


def hold(key, celsius):
    kind = organism(key)
    return equivalent_hold_minutes(
        kind.d_min * kind.log_target,
        celsius,
        reference_c=kind.reference_c,
        z_c=kind.z_c,
        z_above_c=kind.z_above_c,
    )


@pytest.mark.parametrize("row", rows(TABLE, table="UK_CORE"), ids=lambda row: row["temp_c"])
def test_uk_core_equivalents_are_z_7_5_rounded_up(row):
    """Printed times are rounded up: never under the model, and by 15 % at most (75 °C: 25.9 s as 30 s)."""
    printed, found = float(row["minutes"]), hold("listeria_reference", float(row["temp_c"]))
    assert 0.85 * printed <= found <= printed * (1 + 1e-9)


@pytest.mark.parametrize("row", rows(TABLE, table="UK_BURGER"), ids=lambda row: row["temp_c"])
def test_uk_burger_equivalents_are_z_6(row):
    assert hold("e_coli_burger", float(row["temp_c"])) == pytest.approx(float(row["minutes"]), rel=0.03)


@pytest.mark.parametrize("row", rows(TABLE, table="UK_NPCB_CFA"), ids=lambda row: row["temp_c"])
def test_uk_long_life_equivalents_are_z_9_below_and_10_above(row):
    """3.5 %: the table prints whole minutes below 90 °C and one decimal above."""
    assert hold("botulinum_cold_z9", float(row["temp_c"])) == pytest.approx(float(row["minutes"]), rel=0.035)


@pytest.mark.parametrize("row", rows(TABLE, table="FDA_A4"), ids=lambda row: row["temp_c"])
def test_us_fish_guidance_is_z_7_below_and_10_above(row):
    """The rows are from memory; 3.5 % covers one printed digit."""
    assert hold("botulinum_cold_z7", float(row["temp_c"])) == pytest.approx(float(row["minutes"]), rel=0.035)


@pytest.mark.parametrize("row", rows(TABLE, table="ECFF_NPCB"), ids=lambda row: row["temp_c"])
def test_european_long_life_rows_are_z_7_below(row):
    """From memory; printed to whole minutes, 95 °C as 3 for 3.16."""
    assert hold("botulinum_cold_z7", float(row["temp_c"])) == pytest.approx(float(row["minutes"]), rel=0.055)


@pytest.mark.parametrize(
    "row",
    [row for row in rows(TABLE, table="FSIS_A_MEAT", log_target="6.5") if float(row["minutes"]) > 0],
    ids=lambda row: row["temp_f"],
)
def test_us_roast_table_to_one_printed_unit(row):
    """One minute up to 145 °F, one second above it; the model is an own fit to this column."""
    fahrenheit = float(row["temp_f"])
    unit = 1.0 if fahrenheit <= 145 else 1 / 60
    assert abs(hold("salmonella_beef", (fahrenheit - 32) / 1.8) - float(row["minutes"])) <= unit + 1e-4


def test_the_us_roast_table_has_28_rows_with_a_time():
    timed = [row for row in rows(TABLE, table="FSIS_A_MEAT", log_target="6.5") if float(row["minutes"]) > 0]
    assert len(timed) == 28


@pytest.mark.parametrize(("celsius", "rate"), [(101.1, 0.01), (111.1, 0.1), (131.1, 10), (141.1, 100)])
def test_rates_of_the_canning_course_notes(celsius, rate):
    """University course notes on thermal processing (page seen): reference 121.1 °C, z 10."""
    assert lethal_rate(celsius, reference_c=121.1, z_c=10) == pytest.approx(rate, rel=1e-9)


@pytest.mark.parametrize(
    ("celsius", "z", "minutes"),
    [
        (55, 7.5, "200.0"),
        (57, 7.5, "108.23"),
        (60, 7.5, "43.09"),
        (63, 7.5, "17.15"),
        (65, 7.5, "9.283"),
        (72, 7.5, "1.082"),
        (60, 6, "92.83"),
        (65, 6, "13.63"),
    ],
)
def test_steady_equivalents_of_two_minutes_at_70(celsius, z, minutes):
    """Own computation; half a unit of the last printed digit."""
    half = 0.5 * 10.0 ** -len(minutes.partition(".")[2])
    assert abs(equivalent_hold_minutes(2, celsius, reference_c=70, z_c=z) - float(minutes)) <= half
