"""Where a bag was when: stays laid end to end, and what the log leaves open said as a doubt."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from haccp.assess import assess
from haccp.case import words_of
from haccp.cooling import first_at_or_below
from haccp.course import Leg, between_readings, course_of, gone_at, missed, trusted_series
from haccp.heat import bag_heat, bag_heats, drawn
from haccp.materials import medium
from haccp.record import Finish, Outcome, Stay, Step
from tests.haccp.kitchen_log import (
    BATH,
    FRIDGE,
    METHOD,
    SLURRY,
    START,
    at,
    bag,
    batch,
    of,
    outcomes,
    rules,
    series,
)

LONG = timedelta(hours=3)


def legs(one, seen: float = 600.0, after: timedelta = LONG):
    """The legs of a bag's course in minutes, with their step and log."""
    course = course_of(batch(one, seen=seen), one, after)
    assert course is not None
    return [(leg.start_s / 60, leg.end_s / 60, leg.step, leg.log and leg.log.key) for leg in course.legs]


def test_stays_are_laid_end_to_end_with_the_kitchens_air_between():
    assert legs(bag()) == [
        (0, 240, Step.COOK, "bath"),
        (240, 245, Step.CHILL, None),
        (245, 330, Step.CHILL, "slurry"),
        (330, 332, Step.CHILL, None),
        (332, 420, Step.STORE, "fridge"),  # followed for three hours after the bath
    ]


def test_a_course_ends_when_it_is_looked_at_or_when_the_bag_is_gone():
    assert legs(bag(), seen=100)[-1] == (0, 100, Step.COOK, "bath")
    served = bag(finishes=(Finish("served", at(335)),))
    assert legs(served)[-1] == (332, 335, Step.STORE, "fridge")
    assert gone_at(served) == at(335)


def test_a_bag_that_never_was_in_a_bath_has_no_course():
    assert course_of(batch(), bag(cook=()), LONG) is None


def test_a_missing_way_out_of_the_bath_is_a_doubt_and_not_a_guess():
    open_ended = bag(cook=(Stay("bath", at(0)),))
    course = course_of(batch(open_ended), open_ended, LONG)
    assert course.out_at == at(245)
    [doubt] = course.doubts
    assert doubt.step == Step.COOK
    assert "Nobody logged when bag 1 left the bath" in doubt.sentence


def test_a_bag_logged_in_two_places_is_a_doubt():
    twice = bag(chill=(Stay("slurry", at(235), at(330)),))
    assert any("two places" in each.sentence for each in course_of(batch(twice), twice, LONG).doubts)


def test_a_reading_is_missed_when_half_an_interval_has_gone_by_without_it():
    log = replace(BATH, readings=series([(0, 63.0), (22.5, 63.0), (45.1, 63.0)]), interval_min=15.0)
    assert missed(log, START, 0.0, 45.0 * 60) == [(22.5 * 60, 45.1 * 60)]
    assert missed(replace(log, interval_min=None), START, 0.0, 45.0 * 60) == []
    assert missed(replace(log, readings=()), START, 0.0, 60.0) == [(0.0, 60.0)]


def test_the_proven_curve_lies_under_the_best_and_a_worse_probe_lowers_it():
    readings = [(10.0 * n, 63.0) for n in range(25)]
    baths = [replace(BATH, readings=series(readings, edge)) for edge in (0.0, 0.5)]
    heats = [bag_heat(batch(logs=(bath, SLURRY, FRIDGE)), bag(), LONG) for bath in baths]
    fine, coarse = (each.curves for each in heats)
    assert (fine.low_c <= fine.best_c + 1e-9).all()
    assert (fine.best_c <= fine.high_c + 1e-9).all()
    at_end = np.searchsorted(fine.times_s, 200 * 60)
    assert coarse.low_c[at_end] < fine.low_c[at_end] - 0.3


def test_a_doubtful_chill_leaves_the_cook_proven():
    air = replace(SLURRY, readings=(), medium="blast_chiller")
    heat = bag_heat(batch(logs=(BATH, air, FRIDGE)), bag(), LONG)
    assert heat.proves(Step.COOK)
    assert not heat.proves(Step.CHILL)


def test_a_size_that_was_not_measured_is_taken_as_endless_which_is_slower():
    whole = bag(shape="brick", length_mm=60.0, width_mm=50.0)
    part = replace(whole, width_mm=None)
    record = batch(whole, part)
    brick, slab = (bag_heat(record, each, LONG).curves for each in (whole, part))
    middle = np.searchsorted(brick.times_s, 40 * 60)
    assert slab.best_c[middle] < brick.best_c[middle] - 1.0


def test_alike_bags_are_computed_once_and_a_doubtful_one_keeps_its_own_name():
    record = batch(bag(), bag(code="2"), bag(code="3", doubts=frozenset({"floating"})))
    heats = bag_heats(record, LONG)
    assert heats["1"] is heats["2"]
    assert heats["3"].void
    assert "bag 3" in heats["3"].doubts[0].sentence
    assert drawn(heats["3"]) is not None


def test_what_a_method_implies_triggers_limits_too():
    assert words_of(METHOD) == {"whole muscle", "cook-chill", "sealed", "chilled"}
    hot = replace(METHOD, attributes=frozenset({"fish"}), chill_medium=None)
    assert words_of(hot) == {"fish", "sealed"}


def test_a_forecast_is_there_only_while_the_bag_is_in_a_medium_that_was_read():
    running = bag(cook=(Stay("bath", at(0)),), chill=(), store=(), core_checks=())
    assert bag_heat(batch(running, seen=60), running, LONG).forecast is not None
    blind = replace(BATH, readings=())
    heat = bag_heat(batch(running, seen=60, logs=(blind, SLURRY, FRIDGE)), running, LONG)
    assert heat.forecast is None


# -- a slurry that was read, and one that was not (own computation; melting ice is at 0 °C) ----------------

ICE = medium("ice_slurry")


def slurry_read(every_min: float | None, celsius: float = 0.5, **changes: object):
    """The log of a slurry that was read so often while the bag was in it, from 245 to 335 min."""
    count = 0 if every_min is None else int(90.0 / every_min) + 1
    readings = series([(245 + every_min * n, celsius + 0.1 * (n % 2)) for n in range(count)])
    return replace(SLURRY, readings=readings, **changes)


def proven_minutes(slurry) -> float | None:
    """Minutes in the slurry after which a slab of 25 mm is provenly at 3 °C."""
    thin = bag(thickness_mm=25.0, chill=(Stay("slurry", at(245), at(335)),), store=(), core_checks=())
    heat = bag_heat(batch(thin, logs=(BATH, slurry, FRIDGE)), thin, LONG)
    end_s = first_at_or_below(heat.curves.times_s, heat.curves.high_c, 3.0, 240 * 60.0)
    return None if end_s is None or not heat.proves(Step.CHILL) else end_s / 60.0 - 245.0


def test_a_slurry_that_nobody_read_proves_nothing_and_one_read_at_start_and_every_half_hour_does():
    assert proven_minutes(slurry_read(None)) is None
    # Known at every moment to be no warmer than melting ice and the probe's 0.2: nothing can prove more.
    best_possible = proven_minutes(slurry_read(1.0, celsius=0.9))
    assert best_possible is not None
    assert proven_minutes(slurry_read(30.0)) <= best_possible + 1.0


def test_the_rates_of_the_medium_alone_would_not_prove_that_chill():
    """Beside the rule for ice: the same readings with a break between each two, and further apart."""
    breaks = tuple(at(250 + 30.0 * n) for n in range(3))
    assert proven_minutes(slurry_read(30.0, breaks=breaks)) is None
    assert proven_minutes(slurry_read(ICE.held_s / 60.0 + 1.0)) is None


@pytest.mark.parametrize(
    ("first", "second", "most"),
    [
        (0.4, 0.5, 1.2),  # melting ice at both ends: its upper end and the probe's 0.2
        (0.4, 1.2, 1.4),  # within the tolerance of it: no colder than the reading itself may have been
        (-0.2, 0.5, 1.2),
        (0.4, 1.3, None),  # the ice may have been gone
        (-0.3, 0.5, None),  # colder than melting ice: another medium
    ],
)
def test_ice_at_both_ends_was_there_in_between(first, second, most):
    log = replace(SLURRY, readings=series([(0, first), (30, second)]))
    leg = Leg(0.0, 1800.0, Step.CHILL, log)
    upper = between_readings(leg, log, trusted_series(log, START), START).upper[1]
    if most is None:
        assert upper.max() > 3.0  # own estimate of how fast a tub warms up
    else:
        assert upper.max() == pytest.approx(most)
    assert upper[0] == pytest.approx(first + 0.2)


def test_ice_is_held_only_between_the_readings():
    log = replace(SLURRY, readings=series([(10, 0.4), (30, 0.5)]))
    times, upper = between_readings(
        Leg(0.0, 3600.0, Step.CHILL, log), log, trusted_series(log, START), START
    ).upper
    outside = (times < 590.0) | (times > 1810.0)
    assert upper[outside].max() > 4.0
    assert upper[~outside].max() == pytest.approx(1.2)


def test_an_unread_chill_is_unproven_with_its_best_estimate_and_says_what_to_read():
    for kind, likely in (("ice_slurry", True), ("blast_chiller", False)):
        unread = replace(SLURRY, readings=(), medium=kind)
        found = assess(batch(bag(core_checks=()), logs=(BATH, unread, FRIDGE)), rules())
        [stage] = of(found, "chill.stage")
        assert stage.outcome == Outcome.UNPROVEN
        assert (stage.best is not None) == likely
        assert "Nobody read Slurry tub" in stage.sentence
        assert "ead Slurry tub now" in stage.remedy
        assert outcomes(found, "cook.hold") == [Outcome.MEETS]
