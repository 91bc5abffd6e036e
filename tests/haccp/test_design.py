"""haccp.design against published tables by thickness, the whole solver and random kitchens.

Tables: D. E. Baldwin, guide and review (2012); how they were read and reproduced is said in
tests/data/README.md and tests/haccp/test_bath_times.py. The tolerances are those of their rounding.
"""

from collections import defaultdict
from datetime import date

import numpy as np
import pytest

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.design import (
    Chiller,
    EquivalentMinutes,
    HoldRows,
    KeptBath,
    StageLimit,
    bath_minutes,
    chill_minutes,
    come_up_minutes,
    largest_thickness,
    reason_against,
    targets_of,
    wall_card,
)
from haccp.errors import BodyError, RangeError
from haccp.lethality import lethal_minutes, organism
from haccp.limits import ruleset
from haccp.materials import medium
from haccp.ranges import Range
from haccp.steady import Piece
from tests.haccp.tables import rows

MEAT = [
    EquivalentMinutes.of(organism(f"{each}_meat"), log)
    for each, log in (("listeria", 6), ("salmonella", 6.5), ("e_coli", 5))
]
TARGETS = {
    "beef, pork, lamb": MEAT,
    "poultry": [EquivalentMinutes.of(organism("listeria_poultry"), 6)],
    "lean fish": [EquivalentMinutes.of(organism("listeria_lean_fish"), 6)],
    "fatty fish": [EquivalentMinutes.of(organism("listeria_fatty_fish"), 6)],
    "meat (review, conservative table)": [EquivalentMinutes.of(organism("listeria_reference"), 6)],
}
SHARES = {"beef, pork, lamb": (0.82, 1.09), "meat (review, conservative table)": (0.985, 1.015)}
UK = HoldRows("core list", ((60.0, 2700.0), (65.0, 600.0), (70.0, 120.0), (75.0, 30.0), (80.0, 6.0)))


MODEL = ("beta", "start_c", "alpha_m2_s", "h_w_m2k", "k_w_mk")


def exact(value):
    return Range(value, value, value)


def published(kind):
    """Rows of the tables, together where only thickness and set point differ."""
    groups = defaultdict(list)
    for row in rows("bath_times_by_thickness.csv", kind=kind):
        groups[(row["food"], *(float(row[each]) for each in MODEL))].append(row)
    return groups.items()


def bag(beta, start, alpha, k):
    return Piece(Shape.SLAB, exact(alpha), exact(k), exact(start), shape_number=beta)


def test_published_bath_times_by_thickness():
    """Every one of 479 rows: meat, poultry, fish and the conservative table of the review."""
    checked = 0
    for (food, beta, start, alpha, h, k), group in published("pasteurise"):
        thickness = sorted({float(row["thickness_mm"]) for row in group})
        baths = sorted({float(row["bath_c"]) for row in group})
        found = bath_minutes(
            bag(beta, start, alpha, k), KeptBath(exact(h), 0.0), thickness, baths, TARGETS[food]
        )
        for row in group:
            minutes = found[thickness.index(float(row["thickness_mm"])), baths.index(float(row["bath_c"]))]
            low, high = SHARES.get(food, (0.80, 1.03))
            if food == "poultry" and row["bath_c"] == "55":
                low, high = 0.85, 1.03
            assert low <= minutes / float(row["published_min"]) <= high, row
            checked += 1
    assert checked == 479


@pytest.mark.parametrize("kind", ["heat to bath - 0.5 C", "cool in ice water to 5 C"])
def test_published_times_to_a_temperature(kind):
    """15 % from 10 mm up; from memory, confirmed by own finite volumes. Cooling starts at 80 °C."""
    for (_food, beta, start, alpha, h, k), group in published(kind):
        for row in group:
            thickness = float(row["thickness_mm"])
            if thickness < 10.0:
                continue
            piece, bath = bag(beta, start, alpha, k), float(row["bath_c"])
            if kind.startswith("heat"):
                stage = StageLimit("near the bath", None, bath - 0.5, 1.0)
                found = come_up_minutes(piece, KeptBath(exact(h), 0.0), [thickness], bath, stage)[0]
            else:
                chiller = Chiller("ice water", exact(h), exact(bath))
                found = chill_minutes(
                    piece, chiller, [thickness], exact(start), StageLimit("5 °C", None, 5.0, 1.0)
                )[0]
            assert found == pytest.approx(float(row["published_min"]), rel=0.15), row


def known(shape=Shape.SLAB, **more):
    own = {"length_mm": 120.0, "width_mm": 80.0}
    sizes = {key: own[key] for key, _ in zip(own, shape.directions[1:], strict=False)}
    return Piece(
        shape,
        Range(1.11e-7, 1.3e-7, 1.56e-7),
        Range(0.39, 0.48, 0.56),
        Range(2.0, 4.0, 6.0),
        2.0,
        **sizes,
        **more,
    )


BATH = KeptBath(Range(95.0, 120.0, 155.0), 0.5)


@pytest.mark.parametrize("shape", [Shape.SLAB, Shape.CYLINDER, Shape.BRICK])
def test_any_bag_in_any_bath_that_keeps_its_band_has_met_the_target(shape):
    """Random bodies inside the limits, random baths inside the band, straight from the whole solver."""
    rng = np.random.default_rng(2)
    piece, listeria = known(shape), EquivalentMinutes.of(organism("listeria_meat"), 6)
    for thickness in (15.0, 40.0):
        hold = float(bath_minutes(piece, BATH, [thickness], [62.0], [UK])[0, 0])
        minutes = float(bath_minutes(piece, BATH, [thickness], [62.0], [listeria])[0, 0])
        for _ in range(6):
            sizes = [thickness, piece.length_mm, piece.width_mm][: len(shape.directions)]
            body = Body(
                shape,
                tuple((each + rng.uniform(-2.0, 2.0)) / 2000.0 for each in sizes),
                rng.uniform(1.11e-7, 1.56e-7),
                rng.uniform(0.39, 0.56),
            )
            at = np.unique(
                np.append(np.arange(0.0, 60.0 * max(hold, minutes), 30.0), [60.0 * hold, 60.0 * minutes])
            )
            stay = Exposure(at, 62.0 + rng.uniform(-0.5, 0.5, at.size), rng.uniform(95.0, 155.0))
            core = core_curve(body, [stay], rng.uniform(2.0, 6.0)).core_c
            assert np.interp(60.0 * hold - 2700.0, at, core) >= 60.0
            kept = at <= 60.0 * minutes
            earned = lethal_minutes(at[kept], core[kept], reference_c=55.0, z_c=9.22)
            assert earned >= 6.0 * 12.66


def test_the_slowest_bag_needs_all_of_it():
    """The bound is attained: the slowest bag in the lowest bath is there at that moment and not before."""
    minutes = float(bath_minutes(known(), BATH, [30.0], [62.0], [UK])[0, 0])
    at = np.linspace(0.0, minutes * 60.0, 800)
    slow = Body(Shape.SLAB, (0.016,), 1.11e-7, 0.56)
    core = core_curve(slow, [Exposure(at, np.full(800, 61.5), 95.0)], 2.0).core_c
    assert np.interp(minutes * 60.0 - 2700.0, at, core) == pytest.approx(60.0, abs=0.001)
    listeria = EquivalentMinutes.of(organism("listeria_meat"), 6)
    minutes = float(bath_minutes(known(), BATH, [30.0], [57.0], [listeria])[0, 0])
    at = np.linspace(0.0, minutes * 60.0, 3000)
    core = core_curve(slow, [Exposure(at, np.full(3000, 56.5), 95.0)], 2.0).core_c
    assert lethal_minutes(at, core, reference_c=55.0, z_c=9.22) == pytest.approx(6.0 * 12.66, rel=0.005)


def test_a_set_point_at_the_limit_never_gets_there():
    """Row of 60 °C, band 0.5 K: just under, at and just over 60.5 °C; the hotter rows are out of reach."""
    found = bath_minutes(known(), BATH, [25.0], [60.4, 60.5, 60.6, 62.0], [UK])[0]
    assert np.isinf(found[:2]).all()
    assert found[2] > found[3] > 45.0
    assert "Set the bath higher" in reason_against(UK, 60.0)
    assert reason_against(UK, 60.1) is None
    long_life = EquivalentMinutes.of(organism("botulinum_cold_z9"), 6)
    assert "80 °C" in reason_against(long_life, 79.5)
    assert reason_against(long_life, 81.0) is None
    assert np.isinf(bath_minutes(known(), BATH, [25.0], [80.0], [long_life])[0, 0])
    assert reason_against(MEAT[0], 50.0) is None
    assert np.isinf(bath_minutes(known(), BATH, [25.0], [6.2], MEAT[:1])[0, 0])


def test_the_heat_map_rises_with_thickness_and_falls_with_the_bath():
    found = bath_minutes(known(), BATH, np.arange(10.0, 61.0, 5.0), np.arange(56.0, 71.0), MEAT)
    assert found.shape == (11, 15)
    assert (np.diff(found, axis=0) > 0.0).all()
    assert (np.diff(found, axis=1) < 0.0).all()
    # A hotter row of the table takes over where it is quicker.
    hot = bath_minutes(known(), BATH, [10.0], [80.0], [UK])[0, 0]
    assert hot < bath_minutes(known(), BATH, [10.0], [80.0], [HoldRows("one row", UK.rows[:1])])[0, 0]


def test_targets_and_stages_of_a_ruleset():
    rules = ruleset("UK", date(2026, 6, 1))
    targets = targets_of(rules, {"whole muscle", "chilled", "cook-chill"})
    assert (60.0, 2700.0) in next(each for each in targets if each.name == "uk-core").rows
    chill = StageLimit.of(rules.limit("UK-CCH-COOL-1"))
    assert (chill.from_c, chill.to_c, chill.minutes) == (None, 3.0, 90.0)
    up = StageLimit.of(ruleset("US-USDA", date(2026, 6, 1)).limit("USDA-COOK-COMEUP"))
    assert (up.from_c, up.to_c) == (pytest.approx(10.0), pytest.approx(130.0 / 1.8 - 32.0 / 1.8))
    assert up.minutes == 360.0
    with pytest.raises(RangeError):
        StageLimit.of(rules.limit("UK-CHILL-8"))


SLURRY = Chiller.of(medium("ice_slurry"))
UP = StageLimit("come-up", 10.0, 130.0 / 1.8 - 32.0 / 1.8, 360.0)
STAGES = (StageLimit("57 to 21 °C", 57.0, 21.0, 120.0), StageLimit("to 3 °C", None, 3.0, 90.0))


def test_a_wall_card():
    card = wall_card(
        known(), BATH, [20.0, 40.0, 60.0, 80.0], 60.6, [UK], come_up=[UP], chiller=SLURRY, chill=STAGES
    )
    assert [row.thickness_mm for row in card] == [20.0, 40.0, 60.0, 80.0]
    times = [row.bath_min for row in card]
    assert times == sorted(times)
    assert all(isinstance(each, int) for each in times)
    assert card[0].against == ()
    assert card[-1].against[-1] == "to 3 °C"
    assert card[0].chill_min["57 to 21 °C"] < card[0].chill_min["to 3 °C"]
    hopeless = wall_card(known(), BATH, [20.0], 60.5, [UK], chiller=SLURRY, chill=STAGES[1:])
    assert (hopeless[0].bath_min, hopeless[0].against[0]) == (None, "cook")
    with pytest.raises(RangeError, match="chilled in"):
        wall_card(known(), BATH, [20.0], 62.0, [UK], chill=STAGES)


def test_the_largest_thickness_a_chill_can_take():
    """Cook-chill, 90 min to 3 °C: slurry takes more than a blast chiller, a fridge next to nothing."""
    core = Range(60.0, 60.5, 61.0)
    most = {}
    for key, celsius in (
        ("ice_slurry", None),
        ("blast_chiller", Range(-5.0, -2.0, 0.0)),
        ("fridge_air", Range(1.0, 2.0, 2.5)),
    ):
        chiller = Chiller.of(medium(key), celsius)

        def keeps(mm, chiller=chiller):
            return chill_minutes(known(), chiller, mm, core, STAGES[1]) <= STAGES[1].minutes

        most[key] = largest_thickness(keeps, 3.0, 150.0)
        if most[key] is not None:
            assert keeps(np.array([most[key]]))[0]
            assert not keeps(np.array([most[key] + 0.11]))[0]
    assert most["ice_slurry"] > most["blast_chiller"] > 3.0
    assert most["fridge_air"] is None
    assert largest_thickness(lambda mm: mm > 0.0, 5.0, 50.0) == 50.0
    with pytest.raises(RangeError):
        largest_thickness(lambda mm: mm > 0.0, 50.0, 5.0)


def test_the_come_up_limits_the_thickness():
    """Six hours between 10 and 54.4 °C (USDA cooking guideline): a thick piece in a low bath is too slow."""

    def keeps(mm):
        return come_up_minutes(known(), BATH, mm, 56.0, UP) <= UP.minutes

    most = largest_thickness(keeps, 10.0, 150.0)
    assert 50.0 < most < 90.0
    assert (
        largest_thickness(lambda mm: come_up_minutes(known(), BATH, mm, 62.0, UP) <= UP.minutes, 10.0, 150.0)
        > most
    )


def test_nonsense_is_refused():
    for call in (
        lambda: bath_minutes(known(), BATH, [20.0], [62.0], []),
        lambda: bath_minutes(known(), BATH, [20.0], [float("nan")], [UK]),
        lambda: bath_minutes(known(), BATH, [20.0], [101.0], [UK]),
        lambda: KeptBath(BATH.heat_transfer, -0.1),
        lambda: Chiller.of(medium("fridge_air")),
    ):
        with pytest.raises(RangeError):
            call()
    with pytest.raises(BodyError):
        bath_minutes(known(), BATH, [2000.0], [62.0], [UK])
