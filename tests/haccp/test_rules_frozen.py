"""Frost: parasites and the freezer, where a careless reading judges otherwise.

Sources: Regulation (EC) 853/2004 Annex III, Section VIII (−20 °C 24 h, −35 °C 15 h, 60 °C 1 min); FDA Food
Code 3-402.11 (−4 °F 168 h; −31 °F until solid, then −4 °F 24 h); DH guidelines 1989 (−5 °C in 90 min).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest

from haccp.case import Case
from haccp.heat import BagHeat
from haccp.record import CoreCheck, Delivery, Finish, Freezing, MediumLog, Outcome, Stay, Step
from haccp.rules.freeze import check_freezer, check_frozen_in_time
from haccp.rules.parasite import check_parasites
from tests.haccp.kitchen_log import METHOD, at, bag, batch, drawn_case, reading, rules

MEETS, REVIEW, UNPROVEN, FAILS = Outcome
NOTHING = BagHeat(None, None, None, None, ())
COD = Delivery("L1", "cod", at(-900), frozenset({"raw", "chilled", "fish"}))


def fish(
    *freezings: Freezing,
    regime: str = "UK",
    words: Iterable[str] = ("fish",),
    lots: tuple[Delivery, ...] = (COD,),
    celsius: float = 45.0,
    minutes: float = 60.0,
    **facts: object,
):
    """A bag of fish that was that hot in its middle for so long."""
    told = drawn_case([0, minutes], [celsius, celsius], regime=regime, attributes=words, **facts)
    method = replace(METHOD, attributes=frozenset(words), material="lean_fish", set_point_c=celsius)
    record = replace(told.record, method=method, deliveries=lots, freezings=freezings)
    return check_parasites(replace(told, record=record))


def paper(celsius: float, hours: float, **rest: object) -> Freezing:
    """A supplier's paper."""
    return Freezing("L1", statement="FZ 12", stated_c=celsius, stated_h=hours, **rest)


def test_a_cook_that_kills_them_needs_no_frost_and_one_that_does_not_needs_it():
    [hot] = fish(celsius=60.0, minutes=1.0)
    assert (hot.limit, hot.outcome) == ("UK-PARA-HEAT", MEETS)
    [cool] = fish(celsius=59.9)
    assert cool.outcome == UNPROVEN
    assert "lot L1" in cool.sentence


def test_one_day_does_for_one_law_and_a_week_is_asked_by_another():
    assert [each.outcome for each in fish(paper(-20.0, 24.0))] == [MEETS]
    served = ("fish", "less than thoroughly cooked")
    assert [each.outcome for each in fish(paper(-20.0, 24.0), regime="US-FDA", words=served)] == [FAILS]
    assert [each.outcome for each in fish(paper(-20.0, 168.0), regime="US-FDA", words=served)] == [MEETS]


def test_a_day_at_minus_twenty_counts_there_only_if_it_was_frozen_solid_colder():
    """3-402.11(A)(3) is not 3-402.11(A)(1) with a shorter time."""
    served = ("fish", "less than thoroughly cooked")
    [found] = fish(paper(-20.0, 24.0, solid_c=-35.0), regime="US-FDA", words=served)
    assert (found.limit, found.outcome) == ("USFDA-PARA-3", MEETS)
    [found] = fish(paper(-20.0, 24.0, solid_c=-34.0), regime="US-FDA", words=served)
    assert found.outcome == FAILS


def test_fish_that_is_cooked_through_is_not_asked_for_it_by_the_food_code():
    assert fish(regime="US-FDA") == []


def test_a_paper_without_its_reference_proves_nothing():
    [found] = fish(Freezing("L1", stated_c=-20.0, stated_h=24.0))
    assert found.outcome != MEETS


def test_every_lot_must_be_frozen_and_one_exempt_lot_frees_no_other():
    other = replace(COD, lot="L2")
    [found] = fish(paper(-20.0, 24.0), lots=(COD, other))
    assert found.outcome == UNPROVEN
    assert "lot L2" in found.sentence
    assert "lot L1" not in found.sentence
    free = replace(COD, lot="L2", words=COD.words | {"parasite exempt"})
    assert fish(lots=(free,)) == []
    assert [each.outcome for each in fish(lots=(COD, free))] == [UNPROVEN]


def test_between_readings_it_counts_only_as_long_as_all_are_cold_enough():
    cold = [reading(60.0 * hour, -20.5) for hour in range(0, 25, 8)]
    assert [each.outcome for each in fish(Freezing("L1", readings=tuple(cold)))] == [MEETS]
    risen = [*cold[:2], reading(960, -19.0), *cold[3:]]
    assert [each.outcome for each in fish(Freezing("L1", readings=tuple(risen)))] == [FAILS]
    within = [reading(60.0 * hour, -20.1) for hour in range(0, 25, 8)]  # the probe may be 0.2 out
    assert [each.outcome for each in fish(Freezing("L1", readings=tuple(within)))] == [FAILS]


def test_a_bag_that_its_method_will_make_hot_enough_is_left_alone_until_it_is_out():
    waiting = drawn_case([0, 1], [5.0, 5.0], attributes=("fish",))
    method = replace(METHOD, attributes=frozenset({"fish"}), material="lean_fish", set_point_c=65.0)
    record = replace(waiting.record, method=method, deliveries=(COD,))
    still = replace(waiting, record=record, bag=bag(cook=(), chill=(), store=()), heat=NOTHING)
    assert check_parasites(still) == []
    cool = replace(record, method=replace(method, set_point_c=50.0))
    assert [each.outcome for each in check_parasites(replace(still, record=cool))] == [UNPROVEN]
    gone = replace(still, bag=replace(still.bag, finishes=(Finish("served", at(5)),)))
    assert [each.outcome for each in check_parasites(gone)] == [UNPROVEN]


def test_meat_has_no_finding():
    lamb = drawn_case([0, 60], [45.0, 45.0], attributes=("whole muscle",))
    assert check_parasites(lamb) == []


# -- the freezer --------------------------------------------------------------------------------------------


def frozen(readings, cores=(), words=("whole muscle", "cook-freeze"), seen=3000.0, freezer=True) -> Case:
    """A bag that went into a freezer at minute 250."""
    log = MediumLog("freezer", "Freezer 1", "fridge_air", tuple(readings), freezer=freezer)
    method = replace(METHOD, attributes=frozenset(words), chill_medium=None)
    one = bag(store=(Stay("freezer", at(250)),), core_checks=tuple(cores), chill=())
    record = batch(one, method=method, logs=(log,), seen=seen)
    return Case(record=record, ruleset=rules("UK"), bag=one, heat=NOTHING)


def core(minutes: float, celsius: float) -> CoreCheck:
    return CoreCheck(reading(minutes, celsius), Step.CHILL)


def test_a_fridge_is_no_freezer_and_readings_before_the_bag_came_do_not_count():
    assert check_freezer(frozen([reading(300, 2.0)], freezer=False)) == []
    assert check_freezer(frozen([reading(200, -10.0)])) == []
    [found] = check_freezer(frozen([reading(200, -10.0), reading(400, -18.5)]))
    assert found.outcome == MEETS


def test_a_warm_freezer_is_reviewed_and_not_failed():
    [found] = check_freezer(frozen([reading(400, -15.0)]))
    assert (found.outcome, found.measured) == (REVIEW, "−15.0 °C")


@pytest.mark.parametrize(
    ("cores", "seen", "outcome"),
    [
        ((), 300.0, UNPROVEN),  # still time
        ((), 3000.0, UNPROVEN),  # nobody measured: neither a pass nor a fail
        ((core(339, -5.3),), 3000.0, MEETS),
        ((core(340, -5.1),), 3000.0, UNPROVEN),  # within the probe's tolerance
        ((core(341, -5.5),), 3000.0, UNPROVEN),  # cold a minute late proves nothing of a minute before
        ((core(341, -4.0),), 3000.0, FAILS),
        ((core(300, -4.0), core(341, -6.0)), 3000.0, UNPROVEN),
    ],
)
def test_only_a_reading_in_time_proves_that_it_froze_in_time(cores, seen, outcome):
    [found] = check_frozen_in_time(frozen([], cores, seen=seen))
    assert found.outcome == outcome
