"""A method before it is signed, and whether its promise holds for a bag that is made to it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haccp.assess import assess
from haccp.plan import PROBE_TOLERANCE_K, Plan, check_method, minutes_needed
from haccp.record import Outcome, Stay
from tests.haccp.kitchen_log import BATH, FRIDGE, METHOD, SLURRY, at, bag, batch, of, outcomes, rules, series

THIN = replace(METHOD, thickness_max_mm=25.0, bath_min=300.0)


def checked(method=THIN, regime: str = "UK", **changes: object):
    """The findings on a method of slabs measured to 1 mm in a bath that keeps within half a degree."""
    given = {"shape": "slab", "thickness_tolerance_mm": 1.0, "band_k": 0.5} | changes
    return check_method(method, rules(regime), **given)


def test_a_sound_method_meets_everything_and_says_the_minutes_it_needs():
    found = checked()
    assert {each.outcome for each in found} == {Outcome.MEETS}
    [cook] = of(found, "plan.cook")
    plan = Plan(THIN, rules(), "slab", 1.0, 0.5)
    assert cook.required_value == pytest.approx(minutes_needed(plan))
    assert "in the bath until 60 °C for 45 min" in cook.sentence


@pytest.mark.parametrize("set_point", [58.0, 60.0, 60.9, 61.0])
def test_a_set_point_that_is_not_above_the_limit_by_band_and_probe_is_refused(set_point):
    """60 °C is the lowest row; the band is 0.5 and the probe 0.5: 61.0 °C is still not above it."""
    assert PROBE_TOLERANCE_K == 0.5
    [one] = of(checked(replace(THIN, set_point_c=set_point)), "plan.set_point")
    assert one.outcome == Outcome.FAILS
    assert "Set it above 61.0 °C" in one.sentence


def test_a_set_point_above_the_limit_by_band_and_probe_is_not_refused():
    assert of(checked(replace(THIN, set_point_c=61.2)), "plan.set_point") == []


def test_the_time_in_the_bath_is_enough_to_the_minute():
    needed = of(checked(), "plan.cook")[0].required_value
    assert outcomes(checked(replace(THIN, bath_min=needed - 0.1)), "plan.cook") == [Outcome.FAILS]
    assert outcomes(checked(replace(THIN, bath_min=needed + 0.1)), "plan.cook") == [Outcome.MEETS]


@pytest.mark.parametrize("shape", ["slab", "cylinder", "sphere"])
def test_the_worst_bag_that_the_method_allows_meets_the_limit_in_the_minutes_that_it_asks_for(shape):
    """The promise of the wall card, kept by the assessment of a bag at every edge of its method."""
    method = replace(THIN, set_point_c=63.0)
    needed = of(checked(method, shape=shape), "plan.cook")[0].required_value + 1.0
    count = int(needed // 10) + 2
    lowest = series([(10.0 * n, 62.5) for n in range(count)], PROBE_TOLERANCE_K)
    steady_bath = replace(BATH, readings=lowest, greatest_fall_k_per_min=1e-6, greatest_rise_k_per_min=1e-6)
    worst = bag(
        shape=shape,
        thickness_mm=25.0,
        start_c=1.0,
        cook=(Stay("bath", at(0), at(needed)),),
        chill=(),
        store=(),
    )
    found = assess(batch(worst, seen=needed + 1, method=method, logs=(steady_bath, SLURRY, FRIDGE)), rules())
    assert outcomes(found, "cook.hold") == [Outcome.MEETS]


def test_minutes_rise_with_thickness():
    plan = Plan(THIN, rules(), "slab", 1.0, 0.5)
    minutes = [minutes_needed(plan, each) for each in (10.0, 20.0, 40.0, 60.0)]
    assert None not in minutes
    assert minutes == sorted(minutes)


def test_poultry_that_is_bound_needs_the_longer_of_its_two_tables():
    facts = replace(
        THIN, attributes=frozenset({"poultry", "bound", "cook-chill"}), set_point_c=78.0, material="poultry"
    )
    found = of(checked(facts, "US-FDA"), "plan.cook")
    assert {each.limit for each in found} == {"USFDA-COOK-POULTRY-165F", "USFDA-COOK-COMMIN-145F"}
    plan = Plan(facts, rules("US-FDA"), "slab", 1.0, 0.5)
    assert minutes_needed(plan) == pytest.approx(max(each.required_value for each in found))


def test_poultry_at_62_degrees_is_refused_under_the_food_code_and_not_in_the_united_kingdom():
    facts = replace(
        THIN,
        attributes=frozenset({"poultry", "cook-chill"}),
        set_point_c=62.0,
        material="poultry",
        bath_min=600,
    )
    assert outcomes(checked(facts, "US-FDA"), "plan.set_point") == [Outcome.FAILS]
    assert outcomes(checked(facts, "UK"), "plan.cook") == [Outcome.MEETS]


def test_a_chill_that_can_never_be_in_time_is_refused_and_one_that_may_not_be_is_reviewed():
    assert outcomes(checked(replace(THIN, thickness_max_mm=100.0, bath_min=3000)), "plan.chill") == [
        Outcome.FAILS
    ]
    slow = checked(replace(THIN, thickness_max_mm=45.0, bath_min=3000))
    assert outcomes(slow, "plan.chill") == [Outcome.TO_REVIEW]
    assert outcomes(checked(replace(THIN, chill_medium=None)), "plan.chill") == [Outcome.FAILS]


@pytest.mark.parametrize(("regime", "days"), [("UK", 5), ("US-FDA", 7)])
def test_the_days_kept_are_no_more_than_the_strictest_row(regime, days):
    at_limit = replace(THIN, life_days=days, set_point_c=63.0)
    assert outcomes(checked(at_limit, regime), "plan.life") == [Outcome.MEETS]
    over = replace(at_limit, life_days=days + 1)
    assert outcomes(checked(over, regime), "plan.life") == [Outcome.FAILS]


def test_a_thick_roll_is_warned_of_its_come_up():
    thick = replace(THIN, thickness_max_mm=150.0, bath_min=6000.0)
    assert Outcome.TO_REVIEW in outcomes(checked(thick), "plan.come_up")
    assert of(checked(), "plan.come_up") == []


@pytest.mark.parametrize(
    "changes", [{"shape": "doughnut"}, {"thickness_tolerance_mm": 60.0}, {"bath": "lava"}], ids=str
)
def test_a_method_with_nonsense_is_unproven_and_never_an_exception(changes):
    assert Outcome.UNPROVEN in {each.outcome for each in checked(**changes)}


def test_food_for_which_nothing_is_printed_is_unproven():
    found = checked(replace(THIN, attributes=frozenset({"mushroom"})), "US-FDA")
    assert outcomes(found, "plan.cook") == [Outcome.UNPROVEN]
