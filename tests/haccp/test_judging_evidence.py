"""What counts as evidence: the lowest of several readings, the whole of an outage, no cook made good later.

The rules come from outbreak reports, inspections and cooks' questions (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from haccp.assess import assess
from haccp.record import Assessment, BatchRecord, Finish, Outcome, Stay, Step
from haccp.rules.chill import check_stages
from haccp.rules.store import check_temperature
from tests.haccp.kitchen_log import (
    BATH,
    FRIDGE,
    METHOD,
    SLURRY,
    at,
    bag,
    batch,
    core,
    drawn_case,
    of,
    outcomes,
    reading,
    rules,
    series,
    steady,
)


def judged(record: BatchRecord) -> Assessment:
    """The record assessed under its regime."""
    return assess(record, rules(record.regime))


# -- several readings of one thing ---------------------------------------------------------------------


def unread_bath(*checks, regime: str = "US-FDA") -> BatchRecord:
    """A whole roast whose bath nobody read; only measured cores can prove its cook (158 °F, no hold)."""
    method = replace(METHOD, attributes=frozenset({"whole muscle"}), chill_medium=None)
    roast = bag(core_checks=checks, chill=(), store=())
    return batch(roast, regime=regime, method=method, logs=(replace(BATH, readings=()),), seen=241)


def test_a_measured_core_proves_a_row_of_no_hold():
    assert outcomes(judged(unread_bath(core(239, 71.0, Step.COOK))), "cook.measured") == [Outcome.MEETS]


@pytest.mark.parametrize("order", [(71.5, 66.0), (66.0, 71.5)])
def test_of_two_needles_in_one_bag_the_lower_counts(order):
    """71.5 and 66 °C within a minute: 158 °F (70 °C) is not proven, whichever was written down first."""
    checks = tuple(core(239 + 0.5 * n, celsius, Step.COOK) for n, celsius in enumerate(order))
    found = judged(unread_bath(*checks))
    assert Outcome.MEETS not in outcomes(found, "cook.measured")


def test_the_mean_of_two_needles_proves_nothing():
    """75 and 66 °C: their mean, 70.5 °C, would pass."""
    checks = (core(239, 75.0, Step.COOK), core(239.5, 66.0, Step.COOK))
    assert Outcome.MEETS not in outcomes(judged(unread_bath(*checks)), "cook.measured")


# -- outages -------------------------------------------------------------------------------------------


def stored(*values: tuple[float, float], guessed: tuple[float, float] | None = None, seen: float):
    """A bag in a fridge from 332 min on, with these readings of it."""
    readings = series(values)
    if guessed is not None:
        readings = tuple(sorted((*readings, reading(*guessed, trusted=False)), key=lambda each: each.at))
    return batch(logs=(BATH, SLURRY, replace(FRIDGE, readings=readings)), seen=seen)


def test_an_outage_lasts_from_the_last_trusted_reading_to_when_it_was_found():
    """Cold at 6 h, found warm at 26 h: nobody knows when it failed, so it failed at 6 h."""
    [found] = of(judged(stored((340, 2.0), (360, 2.1), (1560, 14.0), seen=1565)), "store.temperature")[:1]
    assert found.outcome != Outcome.MEETS
    assert found.since == at(360)


def test_what_somebody_guessed_does_not_shorten_an_outage():
    """An untrusted “it was fine at 24 h” is kept as said and is not a reading."""
    record = stored((340, 2.0), (360, 2.1), (1560, 14.0), guessed=(1440, 2.0), seen=1565)
    assert [each.since for each in of(judged(record), "store.temperature")][:1] == [at(360)]


def test_half_a_bath_log_of_a_failed_probe_proves_its_other_half_only():
    """Trusted to 50 min, then not: what came after is as if nobody had read the bath."""
    doubted = tuple(replace(each, trusted=each.at <= at(50)) for each in BATH.readings)
    found = judged(batch(logs=(replace(BATH, readings=doubted), SLURRY, FRIDGE)))
    assert Outcome.MEETS not in outcomes(found, "cook.hold")
    assert found.bags[0].outcome != Outcome.MEETS
    assert outcomes(found, "probe.failed") == [Outcome.TO_REVIEW]


# -- what heating again does not do ----------------------------------------------------------------------


def test_a_second_heating_does_not_supply_the_curve_of_the_first():
    """Into the bath, gone nobody knows when, in again for 4 h with every reading: still unproven."""
    stays = (Stay("bath", at(0)), Stay("bath", at(300), at(540)))
    logs = (replace(BATH, readings=steady(63.0, 540.0)), SLURRY, FRIDGE)
    found = judged(batch(bag(cook=stays, chill=(), store=(), core_checks=()), logs=logs, seen=545))
    assert Outcome.UNPROVEN in outcomes(found, "cook.evidence")
    assert Outcome.MEETS not in outcomes(found, "cook.hold")


def test_a_hot_second_cook_does_not_make_good_an_unproven_first():
    """82 °C at the second cook: the reheating meets its row, the cook stays unproven."""
    again = bag(
        cook=(Stay("bath", at(0)),),
        finishes=(Finish("second cook", at(500)),),
        core_checks=(core(325, 2.0), core(498, 82.0, Step.FINISH), core(503, 82.0, Step.FINISH)),
    )
    found = judged(batch(again))
    assert outcomes(found, "cook.evidence") == [Outcome.UNPROVEN]
    assert found.bags[0].outcome in (Outcome.UNPROVEN, Outcome.FAILS)


# -- rules and models ------------------------------------------------------------------------------------


def test_a_model_does_not_lift_a_failed_rule():
    """135 to 70 °F (57.2 to 21.1 °C) in 121 min: next to no growth, and a minute too slow all the same."""
    case = drawn_case(
        [0, 60, 181, 240],
        [57.3, 57.3, 21.2, 4.0],
        regime="US-FDA",
        attributes={"whole muscle", "cook-chill"},
        out_min=60,
    )
    assert outcomes(check_stages(case), "chill.stage", "USFDA-CCSV-COOL-1") == [Outcome.FAILS]


@pytest.mark.parametrize(("celsius", "meets"), [(5.0, True), (5.1, False)])
def test_a_store_limit_is_judged_in_its_unit_of_print(celsius, meets):
    """The Food Code prints 41 °F and 5 °C as one limit: 5.0 °C keeps it, 5.1 °C (41.2 °F) does not."""
    kept = replace(FRIDGE, readings=series([(340, celsius), (700, celsius)], 0.0))
    words = frozenset({"whole muscle", "cook-chill"})
    case = drawn_case([0, 240], [63, 63], regime="US-FDA", attributes=words, store=(Stay("fridge", at(332)),))
    case = replace(case, record=replace(case.record, logs=(kept,), seen_at=at(700)))
    every = [each.outcome for each in check_temperature(case)]
    assert every
    assert all(each == Outcome.MEETS for each in every) == meets
