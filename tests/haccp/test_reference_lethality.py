"""Published D, z and equivalents that are no table of ours: what they imply, and that ours do not fall short.

Sources stand in each row of tests/data/d_z_values.csv, lethality_more.csv and usda_rows.csv.
"""

import math

import pytest

from haccp.holdtables import hold_needed, hold_table
from haccp.lethality import equivalent_hold_minutes, lethal_rate, organism, organisms
from haccp.targets import target
from tests.haccp.tables import rows

MORE = "lethality_more.csv"


def z_of(low_c: float, long_min: float, high_c: float, short_min: float) -> float:
    """The z [K] that two published pairs imply."""
    return (high_c - low_c) / math.log10(long_min / short_min)


@pytest.mark.parametrize("key", [key for key in organisms() if key != "e_coli_burger"])
def test_every_organism_of_ours_is_a_published_row(key):
    """D at its reference and z, as printed; the reference process of burgers is 2 min / 6 (own division)."""
    kind = organism(key)
    found = [
        row
        for row in rows("d_z_values.csv")
        if row["z_c"] and row["d_min"] and float(row["t_ref_c"]) == kind.reference_c
        and float(row["z_c"]) in (kind.z_c, kind.z_above_c)
        and float(row["d_min"]) == pytest.approx(kind.d_min, rel=1e-3)
    ]  # fmt: skip
    assert found
    assert any(row["provenance"] == kind.provenance or row["log_target"] for row in found)


@pytest.mark.parametrize(
    ("food", "pairs", "printed_z", "within"),
    [
        ("lean ground beef", ((51.7, 81.3), (62.8, 0.6)), 5.2, 0.05),
        ("chicken broth", ((55, 4.87 * 10 ** (3 / 6.65)), (58, 4.87)), 6.65, 0.01),
        ("green shell mussel", ((56, 48.09), (62, 1.85)), 4.25, 0.05),
        ("ground beef, no pyrophosphate", ((55, 21.6), (62.5, 1.6)), 6.5, 0.28),
        ("ground turkey, no pyrophosphate", ((55, 17.5), (62.5, 1.3)), 6.5, 0.28),
        ("lean ground turkey", ((55, 11.51), (65, 0.29)), 6.5, 0.3),
        ("meat emulsion", ((63, 5.4), (66, 2.3)), 8.0, 0.2),
        ("cold-smoked salmon", ((58, 14.1), (66, 0.3)), 5.2, 0.5),
    ],
)
def test_published_pairs_imply_the_printed_z(food, pairs, printed_z, within):
    """Two ends only, where the paper fitted all its points; C. perfringens is printed as 6.22 to 6.77."""
    (low_c, long_min), (high_c, short_min) = pairs
    assert z_of(low_c, long_min, high_c, short_min) == pytest.approx(printed_z, abs=within)


def test_liquid_egg_and_milk_rows_imply_their_z():
    """9 CFR 590.570: 3.5 and 6.2 min a step of 2 °F apart; 21 CFR 131.3: 145 °F 30 min and 161 °F 15 s."""
    step = 2 / 1.8
    two = {}
    for row in rows(MORE, table="US_EGG"):
        two.setdefault(row["food"], []).append((float(row["temp_f"]), float(row["minutes"])))
    pairs = [sorted(each) for each in two.values() if len(each) == 2]
    assert len(pairs) == 8
    for (low_f, long_min), (high_f, short_min) in pairs:
        assert (high_f - low_f, long_min, short_min) == (2.0, 6.2, 3.5)
        assert z_of(0.0, long_min, step, short_min) == pytest.approx(4.47, abs=0.01)
    assert z_of(63, 30, 72, 0.25) == pytest.approx(4.33, abs=0.005)
    milk = {
        row["temp_f"]: float(row["minutes"]) for row in rows(MORE, food="raw milk, colostrum, dairy products")
    }
    assert milk == {"161.6": 0.25, "145.4": 30.0}


def test_fish_guidance_is_z_7_5_printed_to_one_digit():
    """Rows from memory; the short times are printed to one digit, so 0.16 min over the whole column."""
    for row in rows(MORE, table="FDA_A3"):
        model = equivalent_hold_minutes(2, float(row["temp_c"]), reference_c=70, z_c=7.5)
        assert abs(model - float(row["minutes"])) <= 0.16


def test_measured_spores_ask_no_less_than_is_known_of_the_table():
    """Fernández and Peck (1997, 1999, page seen): without lysozyme the table for long life agrees at 85 and
    90 °C and asks 129 min where 230 were needed at 80 °C; with lysozyme 33.5 min at 90 °C. Notes say so."""
    table = hold_table("uk-long-life")
    plain = {float(row["temp_c"]): float(row["minutes"]) for row in rows(MORE, table="NPCB_MEASURED")}
    lysozyme = {float(row["temp_c"]): float(row["minutes"]) for row in rows(MORE, table="NPCB_MEASURED_LYS")}
    for celsius in (85.0, 90.0):
        assert hold_needed(table, celsius) / 60 == pytest.approx(plain[celsius])
    assert hold_needed(table, 80.0) / 60 < plain[80.0]
    assert hold_needed(hold_table("eu-long-life"), 80.0) / 60 > plain[80.0]
    assert all(lysozyme[each] >= plain[each] for each in (80.0, 85.0, 90.0))
    assert "Lysozyme" in table.note
    assert "Lysozyme" in organism("botulinum_cold_z9").note


def test_the_measured_fish_lies_between_lean_and_fatty():
    """Ben Embarek and Huss (1993, page seen): D60 1.95 to 4.48 min in vacuum-packed cod and salmon."""
    measured = [float(r["d_min"]) for r in rows("d_z_values.csv") if "cod and salmon" in r["food"]]
    assert min(measured) < organism("listeria_lean_fish").d_min < max(measured)
    assert organism("listeria_fatty_fish").d_min > max(measured)


@pytest.mark.parametrize(
    ("key", "celsius", "minutes"),
    [
        ("botulinum_cold_z9", 80, 129.15),
        ("botulinum_cold_z9", 85, 35.94),
        ("botulinum_cold_z7", 80, 268.27),
        ("botulinum_cold_z7", 85, 51.79),
        ("botulinum_cold_z7", 95, 3.16),
        ("botulinum_cold_z7", 100, 1.00),
        ("listeria_reference", 75, 25.9 / 60),
        ("listeria_reference", 80, 5.57 / 60),
        ("e_coli_burger", 75, 17.6 / 60),
    ],
)
def test_steady_equivalents(key, celsius, minutes):
    """Own computation, printed to the last digit shown."""
    kind = organism(key)
    found = equivalent_hold_minutes(
        6 * kind.d_min, celsius, reference_c=kind.reference_c, z_c=kind.z_c, z_above_c=kind.z_above_c
    )
    assert found == pytest.approx(minutes, rel=2e-3)


def test_a_rate_below_the_canning_reference():
    """L(110 °C) = 0.0774 with 121.11 °C and z 10 (own computation)."""
    assert lethal_rate(110, reference_c=121.11, z_c=10) == pytest.approx(0.0774, abs=5e-5)


@pytest.mark.parametrize(
    "row",
    [r for r in rows("usda_rows.csv") if r["id"].startswith("USDA-COOK-MEAT")],
    ids=lambda row: row["id"],
)
def test_the_usda_tables_gathered_twice_agree(row):
    """The same columns were written down apart, in rounded °C; the id carries the row in °F."""
    table = hold_table("us-meat-65" if "MEAT65" in row["id"] else "us-meat-7")
    fahrenheit = float(row["id"].rsplit("-", 1)[1].removesuffix("F"))
    seconds = float(row["hold"]) * {"min": 60.0, "s": 1.0}[row["hold_unit"]]
    assert hold_needed(table, (fahrenheit - 32) / 1.8 + 1e-9) == pytest.approx(seconds, rel=1e-6)
    assert float(row["value"]) == pytest.approx((fahrenheit - 32) / 1.8, abs=0.1)


@pytest.mark.parametrize(
    "row", [r for r in rows("usda_rows.csv") if "POULTRY70" in r["id"]], ids=lambda row: row["id"]
)
def test_the_poultry_rows_gathered_twice_agree_with_one_species(row):
    """“High-fat (12 percent) row”, in whole units: the chicken or the turkey figure to one printed unit. The
    last, 0 s at 165 °F, is from memory and stands in neither table; ours go on asking their last time."""
    fahrenheit = float(row["id"].rsplit("-", 1)[1].removesuffix("F"))
    unit = {"min": 60.0, "s": 1.0}[row["hold_unit"]]
    tables = [hold_table(f"us-{each}-12") for each in ("chicken", "turkey")]
    asked = [hold_needed(table, (fahrenheit - 32) / 1.8 + 1e-9) for table in tables]
    if fahrenheit == 165.0:
        assert min(asked) > float(row["hold"]) == 0.0
    else:
        assert min(abs(float(row["hold"]) * unit - each) for each in asked) <= unit


def test_the_usda_reductions_are_our_targets():
    wanted = {row["id"]: float(row["value"]) for row in rows("usda_rows.csv", unit="log10")}
    assert target("us-salmonella-meat").log10 == wanted["USDA-COOK-LOG-MEAT"]
    assert target("us-salmonella-poultry").log10 == wanted["USDA-COOK-LOG-POULTRY"]
    assert target("e-coli-meat").log10 == wanted["USDA-COOK-LOG-PATTY"]
    # “Pasteurised” is at least 5 log of Salmonella or Listeria: every target of those two is more.
    assert wanted["USDA-PASTEURISED-5LOG"] <= min(
        target(key).log10 for key in ("us-salmonella-meat", "uk-listeria")
    )


def test_parasites_are_dead_long_before_a_table_is_met():
    """Anisakis 60 °C 1 min (EFSA 2010); Trichinella rows of 9 CFR: each is shorter than a table of ours."""
    [fish] = rows(MORE, table="EU_FISH")
    assert hold_needed(hold_table("uk-core"), float(fish["temp_c"])) >= 60.0 * float(fish["minutes"])
    for row in (each for each in rows("usda_rows.csv") if "TRICH" in each["id"]):
        fahrenheit = float(row["id"].rsplit("-", 1)[1].removesuffix("F"))
        seconds = float(row["hold"] or 0) * {"min": 60.0, "s": 1.0, "": 0.0}[row["hold_unit"]]
        assert hold_needed(hold_table("us-meat-65"), (fahrenheit - 32) / 1.8 + 1e-9) >= seconds
