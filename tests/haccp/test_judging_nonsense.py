"""Nonsense in a record: an *unproven* finding or a refused value, no warning, no number out of nowhere.

Common practice, no source. Warnings are errors in every test of this project.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import timedelta

import pytest

from haccp.assess import assess
from haccp.record import Assessment, Outcome, Stay, Step
from haccp.sound import is_reading, set_right
from tests.haccp.kitchen_log import (
    BATH,
    FRIDGE,
    METHOD,
    PROBE_OK,
    SLURRY,
    at,
    bag,
    batch,
    core,
    of,
    outcomes,
    reading,
    rules,
    series,
    steady,
)

NAN, INF = math.nan, math.inf
NO_NUMBER = re.compile(r"\b(nan|inf|None|[+-]?infinity)\b")


def judged(record) -> Assessment:
    """The record assessed, with no word or number in it that says nothing."""
    found = assess(record, rules(record.regime))
    for each in found.all_findings:
        for text in (each.sentence, each.measured, each.required, each.margin, each.best, each.remedy):
            assert text is None or not NO_NUMBER.search(text), text
        for value in (each.measured_value, each.required_value):
            assert value is None or math.isfinite(value)
    for one in found.bags:
        if one.curve is not None:
            columns = (one.curve.medium_c, one.curve.best_c, one.curve.low_c, one.curve.high_c)
            assert all(math.isfinite(value) for column in columns for value in column)
    return found


BAGS = {
    "no thickness at all": {"thickness_mm": 0.0},
    "two metres thick": {"thickness_mm": 2000.0},
    "thinner than nothing": {"thickness_mm": -25.0},
    "thickness is no number": {"thickness_mm": NAN},
    "thickness without end": {"thickness_mm": INF},
    "tolerance is no number": {"thickness_tolerance_mm": NAN},
    "tolerance under nought": {"thickness_tolerance_mm": -1.0},
    "tolerance as thick as the bag": {"thickness_tolerance_mm": 30.0},
    "start is no number": {"start_c": NAN},
    "start hotter than any bag": {"start_c": 400.0},
    "start tolerance is no number": {"start_tolerance_k": NAN},
    "start tolerance under nought": {"start_tolerance_k": -1.0},
    "brick without width": {"shape": "brick", "length_mm": 80.0, "width_mm": 0.0},
    "no such shape": {"shape": "potato"},
}


@pytest.mark.parametrize("changes", BAGS.values(), ids=BAGS)
def test_a_bag_that_can_not_be_is_unproven(changes):
    found = judged(batch(bag(**changes)))
    assert outcomes(found, "cook.hold") == []
    assert Outcome.UNPROVEN in outcomes(found, "cook.evidence")
    assert found.outcome in (Outcome.UNPROVEN, Outcome.FAILS)


def test_a_length_that_is_no_number_counts_as_not_measured():
    """A cylinder without end heats slower, so what it proves holds; the record is unproven all the same."""
    found = judged(batch(bag(shape="finite cylinder", length_mm=NAN)))
    endless = judged(batch(bag(shape="finite cylinder")))
    assert found.bags[0].curve == endless.bags[0].curve
    assert found.outcome == Outcome.UNPROVEN
    [named] = of(found, "records.figure")
    assert named.bag == "1"


def test_a_record_in_order_is_left_alone():
    record = batch()
    assert set_right(record) == (record, ())
    assert set_right(record)[0] is record


def logs_with(readings, **changes):
    """The usual logs with other bath readings."""
    return (replace(BATH, readings=tuple(readings), **changes), SLURRY, FRIDGE)


BATHS = {
    "not a number": (*steady(63.0, 240.0)[:5], reading(60, NAN), *steady(63.0, 240.0, from_min=70.0)),
    "without end": (reading(0, INF), *steady(63.0, 240.0, from_min=10.0)),
    "tolerance is no number": (reading(0, 63.0, NAN), *steady(63.0, 240.0, from_min=10.0)),
    "tolerance under nought": (reading(0, 63.0, -0.2), *steady(63.0, 240.0, from_min=10.0)),
    "a sensor's 999": (reading(0, 63.0), reading(100, 999.0), reading(240, 63.0)),
    "a sensor's -127": (reading(0, 63.0), reading(100, -127.0), reading(240, 63.0)),
}


@pytest.mark.parametrize("readings", BATHS.values(), ids=BATHS)
def test_a_bath_reading_that_can_not_be_is_no_reading(readings):
    """It is named, it leaves the batch unproven, and the others prove just what they prove without it."""
    found = judged(batch(logs=logs_with(readings)))
    assert found.outcome in (Outcome.UNPROVEN, Outcome.FAILS)
    [named] = of(found, "records.figure")
    assert (named.outcome, named.bag) == (Outcome.UNPROVEN, None)
    assert "Bath A" in named.sentence
    assert len(named.entries) == 1
    without = judged(batch(logs=logs_with(each for each in readings if is_reading(each))))
    assert of(without, "records.figure") == []
    assert found.bags == without.bags


@pytest.mark.parametrize("celsius", [-20.0, -1.0, 101.0, 140.0, 250.0])
def test_a_water_bath_below_freezing_or_above_boiling_never_passes_a_cook(celsius):
    """Water is no water there (from memory: 0 to 100 °C at sea level)."""
    found = judged(batch(logs=logs_with(steady(celsius, 240.0), set_point_c=celsius)))
    assert Outcome.MEETS not in outcomes(found, "cook.hold")


@pytest.mark.parametrize(
    "changes",
    [
        {"set_point_c": NAN},
        {"band_k": NAN},
        {"band_k": -0.5},
        {"interval_min": NAN},
        {"interval_min": 0.0},
        {"interval_min": -15.0},
        {"greatest_fall_k_per_min": NAN},
        {"greatest_rise_k_per_min": -1.0},
        {"medium": "lava"},
    ],
    ids=str,
)
def test_a_bath_with_nonsense_about_itself_is_never_an_exception(changes):
    judged(batch(logs=logs_with(steady(63.0, 240.0), **changes)))
    running = batch(bag(cook=(Stay("bath", at(0)),), chill=(), store=(), core_checks=()), seen=60)
    judged(replace(running, logs=logs_with(steady(63.0, 60.0), **changes)))


def test_unsorted_readings_are_put_in_order_and_doubled_ones_count_once():
    straight = judged(batch(logs=logs_with(steady(63.0, 240.0))))
    mixed = [*steady(63.0, 240.0)[1::2], *steady(63.0, 240.0)[::2], *steady(63.0, 240.0)]
    assert judged(batch(logs=logs_with(mixed))).bags[0].curve == straight.bags[0].curve


def test_of_two_readings_of_one_moment_the_lowest_proves():
    """One probe says 63, the other 55 at every reading: their mean would pass, the lowest does not."""
    apart = [each for n in range(25) for each in (reading(10.0 * n, 65.4), reading(10.0 * n, 55.0))]
    found = judged(batch(logs=logs_with(apart)))
    assert outcomes(found, "cook.hold") != [Outcome.MEETS]
    assert found.bags[0].curve is not None
    assert max(found.bags[0].curve.low_c) < 56.0


def test_a_log_that_starts_after_the_bag_went_in_is_unproven():
    late = steady(63.0, 240.0, from_min=60.0)
    found = judged(batch(logs=logs_with(late)))
    assert outcomes(found, "cook.evidence") == [Outcome.UNPROVEN]
    assert of(found, "cook.hold") == []
    [why] = of(found, "cook.evidence")
    assert "60 min after" in why.sentence


def test_a_log_that_begins_after_all_is_over_is_unproven():
    found = judged(batch(logs=logs_with(steady(63.0, 600.0, from_min=400.0))))
    assert outcomes(found, "cook.hold") == []
    assert Outcome.UNPROVEN in outcomes(found, "cook.evidence")


def next_name(changes: dict) -> str:
    """The field that is changed: a set in a name would be told in another order by each process."""
    return next(iter(changes))


@pytest.mark.parametrize(
    "changes",
    [
        {"altitude_m": NAN},
        {"timezone": "Europe/Atlantis"},
        {"seen_at": at(-600)},
        {"method": replace(METHOD, bath_min=NAN)},
        {"method": replace(METHOD, bath_min=-10.0)},
        {"method": replace(METHOD, life_days=-3)},
        {"method": replace(METHOD, material="moon cheese")},
        {"method": replace(METHOD, set_point_c=NAN)},
        {"method": replace(METHOD, thickness_max_mm=NAN)},
        {"method": replace(METHOD, start_max_c=NAN)},
        {"probe_checks": (replace(PROBE_OK, celsius=NAN),)},
        {"probe_checks": (replace(PROBE_OK, medium="soup"),)},
    ],
    ids=next_name,
)
def test_a_record_with_nonsense_is_never_an_exception_and_never_meets_its_limits(changes):
    found = judged(batch(**changes))
    assert found.outcome != Outcome.MEETS


@pytest.mark.parametrize("celsius", [NAN, INF, 850.0, -127.0])
@pytest.mark.parametrize("step", [Step.COOK, Step.CHILL, Step.FINISH])
def test_a_core_reading_that_can_not_be_proves_nothing(celsius, step):
    checks = (replace(core(325, 2.0), step=step, reading=reading(325, celsius)),)
    found = judged(batch(bag(core_checks=checks)))
    assert Outcome.MEETS not in outcomes(found, "cook.measured")
    assert Outcome.MEETS not in outcomes(found, "finish.reheat")


@pytest.mark.parametrize("celsius", [NAN, 850.0, -127.0])
def test_a_fridge_reading_that_can_not_be_does_not_pass_the_store(celsius):
    fridge = replace(FRIDGE, readings=series([(340, 2.0), (500, celsius), (600, 2.0)]))
    found = judged(batch(logs=(BATH, SLURRY, fridge)))
    assert found.outcome != Outcome.MEETS


def test_stays_that_can_not_be_are_unproven():
    for stays in (
        (Stay("bath", at(240), at(0)),),
        (Stay("bath", at(0), at(240)), Stay("bath", at(120), at(200))),
        (Stay("nowhere", at(0), at(240)),),
    ):
        found = judged(batch(bag(cook=stays)))
        assert outcomes(found, "cook.hold") == []
        assert Outcome.UNPROVEN in outcomes(found, "cook.evidence")


def test_a_bag_that_leaves_before_it_came_is_not_followed_into_the_past():
    found = judged(batch(bag(cook=(Stay("bath", at(0), at(0) - timedelta(days=400)),))))
    assert Outcome.MEETS not in outcomes(found, "cook.hold")
