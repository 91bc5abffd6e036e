"""Nitrite with its basis, against the methods of a handbook for inspectors and the printed limits.

Rows of law with their sources: tests/data/brine.csv, kinds "law" and "conversion". Weights worked by hand
say so. The strength of 6.25 % is that of a curing salt that US handbooks reckon with (own choice here).
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from haccp.errors import BasisError, RangeError
from haccp.limits import ruleset
from haccp.nitrite import (
    ION_PER_SODIUM_NITRITE,
    CuringSalt,
    Expressed,
    Per,
    Stage,
    basis_of,
    compare,
    cure_for,
    cure_for_pumped,
    dry_salting,
    ingoing,
    ingoing_pumped,
    nitrite,
)
from tests.haccp.tables import rows

UK = ruleset("UK", date(2026, 3, 3))
FDA = ruleset("US-FDA", date(2026, 3, 3))
PINK = CuringSalt(nitrite_percent=6.25, salt_percent=93.75)
ON_MEAT = UK.limit("UK-CURE-NO2-MEAT")
LAW = rows("brine.csv", kind="law")


def target(mg_kg: float, per: Per) -> object:
    return nitrite(mg_kg, Expressed.SODIUM_NITRITE, per)


def limit_of(row):
    """A printed row as a limit, going in or left, as sodium nitrite or as ion, at most or at least."""
    expressed = "nitrite_ion" if "ion" in row["unit"].split() else "sodium_nitrite"
    left = "residual" in row["unit"] or "finished" in row["unit"]
    return replace(
        ON_MEAT,
        id=row["quantity"],
        quantity=f"{expressed}_{'residual' if left else 'ingoing'}",
        operator=">=" if "minimum" in row["quantity"] else "<=",
        value=Fraction(row["value"]),
    )


def test_the_factor_from_sodium_nitrite_to_the_ion():
    """Atomic masses of IUPAC; printed as 0.67 in guidance on the European limits."""
    [row] = rows("brine.csv", kind="conversion")
    assert float(ION_PER_SODIUM_NITRITE) == pytest.approx(float(row["value"]), abs=5e-5)
    assert round(float(ION_PER_SODIUM_NITRITE), 2) == 0.67
    ion = target(150, Per.MEAT).expressed_as(Expressed.ION)
    assert ion.mg_kg == pytest.approx(100.0, abs=0.05)
    back = nitrite(80, Expressed.ION, Per.MEAT).expressed_as(Expressed.SODIUM_NITRITE)
    assert back.mg_kg == pytest.approx(120.0, abs=0.05)
    assert ion.expressed_as(Expressed.SODIUM_NITRITE) == target(150, Per.MEAT)


def test_immersion_on_meat_and_brine():
    """Handbook method; 1000 g + 1000 g, 120 mg/kg: 0.240 g of nitrite, 3.84 g of the curing salt."""
    assert cure_for(target(120, Per.MEAT_AND_BRINE), PINK, 1000, 1000) == 3.84
    found = ingoing(PINK, 3.84, 1000, 1000)
    assert (found.amount, found.basis.per) == (120, Per.MEAT_AND_BRINE)
    assert float(PINK.nitrite_in(Fraction("3.84"))) == 0.24


def test_pumped_on_the_meat():
    """Handbook example: 20 % pump, 100 kg of brine, 120 mg/kg: 0.060 kg of sodium nitrite."""
    pure = CuringSalt(nitrite_percent=100, salt_percent=0)
    assert cure_for_pumped(target(120, Per.MEAT), pure, 100_000, 20) == 60.0
    found = ingoing_pumped(pure, 60, 100_000, 20)
    assert (found.amount, found.basis.per) == (120, Per.MEAT)


def test_one_brine_is_two_figures():
    """3.84 g in 1000 g of brine for 1000 g of meat: 120 on both, 240 on the meat if all went in (by hand)."""
    assert ingoing(PINK, 3.84, 1000, 1000).mg_kg == 120
    assert ingoing(PINK, 3.84, 1000).mg_kg == 240
    assert ingoing_pumped(PINK, 3.84, 1000, 10).mg_kg == 24


def test_the_strength_is_that_of_the_lot_in_hand():
    """The same weight of a curing salt of 0.6 %, as sold in parts of Europe (from memory), is a tenth."""
    weak = CuringSalt(nitrite_percent=0.6, salt_percent=99.4)
    assert ingoing(PINK, 2, 1000).mg_kg == 125
    assert ingoing(weak, 2, 1000).mg_kg == 12
    assert cure_for(target(120, Per.MEAT), weak, 1000) == 20


@pytest.mark.parametrize("row", LAW, ids=lambda row: row["quantity"])
def test_at_a_printed_limit_it_meets_and_a_breath_beyond_it_does_not(row):
    limit = limit_of(row)
    basis = basis_of(limit, Per.MEAT)
    edge = float(row["value"])
    at, over, under = (
        nitrite(each, basis.expressed, basis.per, basis.stage) for each in (edge, edge + 1e-9, edge - 1e-9)
    )
    assert compare(at, limit, Per.MEAT).meets
    least = limit.operator == ">="
    assert (compare(over, limit, Per.MEAT).meets, compare(under, limit, Per.MEAT).meets) == (least, not least)


@pytest.mark.parametrize(
    "row",
    [row for row in LAW if "left" not in basis_of(limit_of(row), Per.MEAT).stage],
    ids=lambda r: r["value"],
)
@pytest.mark.parametrize("step", [0.01, 0.1, 1])
def test_what_is_weighed_for_a_limit_never_passes_it(row, step):
    limit = limit_of(row)
    basis = basis_of(limit, Per.MEAT)
    wanted = nitrite(float(row["value"]), basis.expressed, Per.MEAT)
    grams = cure_for(wanted, PINK, 2345.6, step_g=step)
    found = ingoing(PINK, grams, 2345.6).expressed_as(basis.expressed)
    more = ingoing(PINK, grams + step, 2345.6).expressed_as(basis.expressed)
    assert found.amount <= wanted.amount < more.amount


def test_the_rows_of_law_that_are_loaded_are_those_of_the_gathering():
    printed = {row["quantity"]: row for row in LAW}
    uk = printed["UK/EU nitrite, meat products (before Oct 2025 in EU)"]
    assert float(uk["value"]) == float(ON_MEAT.amount.value)
    assert f"{float(UK.limit('UK-CURE-NO2-STERILE').amount.value):g} for sterilised" in uk["note"]
    bacon = printed["UK/EU Wiltshire bacon, dry cured bacon residual"]
    assert float(bacon["value"]) == float(UK.limit("UK-CURE-WILTS-BACON").amount.value)
    for key, words in (("UK-CURE-WILTS-HAM", "dry cured ham"), ("UK-CURE-TONGUE", "cured tongue")):
        assert f"{words} {float(UK.limit(key).amount.value):g}" in bacon["note"]
    fish = printed["US smoked cured sablefish, salmon, shad"]
    assert float(fish["value"]) == float(FDA.limit("USDA-CURE-172-NO2").amount.value)
    assert f"nitrate {float(FDA.limit('USDA-CURE-172-NO3').amount.value):g} ppm" in fish["note"]


def test_a_finding_says_on_what_it_is_reckoned():
    said = str(compare(ingoing(PINK, 2.4, 1000), ON_MEAT))
    assert said.startswith(
        "150 mg/kg as sodium nitrite, going in, on the raw meat: meets the limit of 150 mg/kg"
    )
    assert "does not meet" in str(compare(ingoing(PINK, 2.41, 1000), ON_MEAT))


@pytest.mark.parametrize(
    "found",
    [
        ingoing(PINK, 2, 1000).expressed_as(Expressed.ION),
        ingoing(PINK, 2, 1000, 1000),
        nitrite(20, Expressed.SODIUM_NITRITE, Per.PRODUCT, Stage.RESIDUAL),
    ],
    ids=["as ion", "on meat and brine", "left in the product"],
)
def test_another_basis_is_an_error_and_not_a_number(found):
    """Each of these is a small number beside 150 and would pass if the number alone were looked at."""
    assert found.amount < ON_MEAT.amount.value
    with pytest.raises(
        BasisError, match="UK-CURE-NO2-MEAT is reckoned as sodium nitrite, going in, on the raw"
    ):
        compare(found, ON_MEAT)


def test_a_residual_limit_wants_a_figure_of_what_is_left():
    ham = UK.limit("UK-CURE-WILTS-HAM")
    assert compare(nitrite(90, Expressed.SODIUM_NITRITE, Per.PRODUCT, Stage.RESIDUAL), ham).meets
    with pytest.raises(BasisError, match="left in the product"):
        compare(ingoing(PINK, 1, 1000), ham)


def test_a_row_that_does_not_say_its_mass_or_is_not_about_nitrite():
    with pytest.raises(BasisError, match="which mass"):
        basis_of(replace(ON_MEAT, id="ELSEWHERE"))
    for limit in (UK.limit("UK-CURE-NO3-RAW"), FDA.limit("USFDA-VARIANCE-CURE")):
        with pytest.raises(BasisError, match="no limit for nitrite"):
            basis_of(limit)


def test_a_target_on_another_mass_is_an_error():
    with pytest.raises(BasisError, match="on the raw meat and the brine"):
        cure_for(target(120, Per.MEAT), PINK, 1000, 1000)
    with pytest.raises(BasisError, match="on the raw meat;"):
        cure_for_pumped(target(120, Per.MEAT_AND_BRINE), PINK, 1000, 10)


def test_dry_salting():
    """1 kg, 2.5 % salt, 120 mg/kg: 1.92 g of curing salt bring 1.8 g of the 25 g of salt (by hand)."""
    found = dry_salting(1000, 2.5, PINK, target(120, Per.MEAT))
    assert (found.cure_g, found.salt_g) == (1.92, 23.2)
    assert found.nitrite is not None
    assert found.nitrite.mg_kg == 120
    assert found.salt_on_meat_percent == pytest.approx(2.5)
    plain = dry_salting(1000, 2.5)
    assert (plain.cure_g, plain.salt_g, plain.nitrite) == (0, 25, None)


def test_a_weak_curing_salt_can_bring_too_much_salt():
    """0.4 % nitrite: 30 g for 120 mg/kg on 1 kg bring 29.9 g of salt, more than 2 % (by hand)."""
    weak = CuringSalt(nitrite_percent=0.4, salt_percent=99.6)
    with pytest.raises(RangeError, match=r"29\.88 g of salt"):
        dry_salting(1000, 2, weak, target(120, Per.MEAT))
    assert dry_salting(1000, 3, weak, target(120, Per.MEAT)).salt_g == pytest.approx(0.12)


@pytest.mark.parametrize(
    "call",
    [
        lambda: CuringSalt(0, 99),
        lambda: CuringSalt(6.25, 95),
        lambda: CuringSalt(math.nan, 90),
        lambda: nitrite(-1, Expressed.ION, Per.MEAT),
        lambda: ingoing(PINK, 1, 0),
        lambda: ingoing(PINK, -1, 1000),
        lambda: ingoing(PINK, 5, 1000, 4),
        lambda: ingoing(PINK, 5, 1000, math.nan),
        lambda: ingoing_pumped(PINK, 5, 4, 10),
        lambda: ingoing_pumped(PINK, 5, 1000, 0),
        lambda: ingoing_pumped(PINK, 5, 1000, 101),
        lambda: cure_for(target(120, Per.MEAT), PINK, 1000, step_g=0),
        lambda: dry_salting(1000, 0),
        lambda: dry_salting(1000, 101),
        lambda: dry_salting(1000, 2, PINK),
    ],
)
def test_what_cannot_be_weighed_is_refused(call):
    with pytest.raises(RangeError):
        call()
