"""Rescue: what is offered holds what it promises, and nothing is offered against a rule.

Each way out is followed to its end on the record and judged anew (own computation). What must not be
offered: heat against a toxin (FSIS, Cooking Guideline, 2021), a second cook against a missed chill
(common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime

import pytest

from haccp.assess import assess
from haccp.record import Finish, Outcome, Stay
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
    steady,
)

BARE = {"chill": (), "store": (), "core_checks": ()}


def minutes(moment: datetime) -> float:
    """Minutes after the first bag went in."""
    return (moment - START).total_seconds() / 60.0


def bath(celsius: float, until: float):
    """A bath at its set point, read every ten minutes."""
    return replace(BATH, readings=steady(celsius, until), set_point_c=celsius)


def in_a_low_bath(seen: float = 60.0, **changes: object):
    one = bag(cook=(Stay("bath", at(0)),), **(BARE | changes))
    return batch(one, seen=seen, logs=(bath(59.0, seen), SLURRY, FRIDGE))


def test_a_bath_that_is_too_low_is_to_be_raised_and_that_is_enough():
    [hold] = of(assess(in_a_low_bath(), rules()), "cook.hold")
    assert hold.remedy.startswith("Raise Bath A to 62.0 °C now and keep the bag in until ")
    until = math.ceil(minutes(hold.remedy_by))
    # Followed: 0.3 K a minute up to the lower edge of its band, and read as due.
    risen = [(60.0 + 15.0 * n, min(61.5, 59.0 + 4.5 * n)) for n in range(1, until // 15)]
    told = replace(bath(59.0, 60.0), readings=(*bath(59.0, 60.0).readings, *series([*risen, (until, 61.5)])))
    then = replace(in_a_low_bath(), seen_at=at(until), logs=(told, SLURRY, FRIDGE))
    assert outcomes(assess(then, rules()), "cook.hold") == [Outcome.MEETS]


def test_a_bath_that_will_do_is_left_as_it_is():
    fine = batch(bag(cook=(Stay("bath", at(0)),), **BARE), seen=60, logs=(bath(63.0, 60.0), SLURRY, FRIDGE))
    [hold] = of(assess(fine, rules()), "cook.hold")
    assert hold.remedy.startswith("Keep it in the bath until ")


def out_early(seen: float = 80.0, **changes: object):
    one = bag(cook=(Stay("bath", at(0), at(75)),), **(BARE | changes))
    return batch(one, seen=seen, logs=(bath(63.0, seen), SLURRY, FRIDGE))


def test_a_bag_that_came_out_too_early_goes_back_and_is_then_proven():
    [hold] = of(assess(out_early(), rules()), "cook.hold")
    assert hold.outcome == Outcome.FAILS
    assert hold.remedy_by == at(105)
    assert "Put it back into Bath A by 11:45 and keep it there until " in hold.remedy
    hour, minute = map(int, hold.remedy.split("until ")[1][:5].split(":"))
    until = minutes(START.replace(hour=hour, minute=minute))
    stays = (Stay("bath", at(0), at(75)), Stay("bath", at(105)))
    lowest = series([(n, 62.5) for n in range(90, int(until) + 1, 10)])
    told = replace(BATH, readings=(*bath(63.0, 80.0).readings, *lowest))
    record = batch(bag(cook=stays, **BARE), seen=until, logs=(told, SLURRY, FRIDGE))
    assert outcomes(assess(record, rules()), "cook.hold") == [Outcome.MEETS]


@pytest.mark.parametrize(
    ("seen", "changes"),
    [
        (101.0, {}),  # less than a hand's five minutes before half an hour is over
        (110.0, {"chill": (Stay("slurry", at(80), at(105)),)}),
    ],
)
def test_a_bag_that_came_out_too_early_long_ago_or_is_cold_already_is_discarded(seen, changes):
    [hold] = of(assess(out_early(seen, **changes), rules()), "cook.hold")
    assert hold.remedy.startswith("Discard it")
    assert hold.remedy_by is None


def test_a_cook_that_was_not_read_asks_for_the_readings_first():
    rare = replace(BATH, readings=series([(80.0 * n, 61.5) for n in range(4)]))
    [hold] = of(assess(batch(logs=(rare, SLURRY, FRIDGE)), rules()), "cook.hold")
    assert hold.outcome == Outcome.UNPROVEN
    assert hold.remedy.startswith("Log readings of the bath that someone took; without them discard it")


def test_no_heat_is_offered_against_a_come_up_that_was_too_long():
    """160 mm in a bath at 61 °C: six hours and more until it is hot, so cooking on is no way out."""
    one = bag(thickness_mm=160.0, cook=(Stay("bath", at(0), at(700)),), **BARE)
    method = replace(METHOD, thickness_max_mm=170.0)
    record = batch(one, seen=705, logs=(bath(61.0, 700.0), SLURRY, FRIDGE), method=method)
    found = assess(record, rules())
    bad = [Outcome.FAILS, Outcome.UNPROVEN]
    assert outcomes(found, "growth.come_up")[0] in bad
    remedies = [each.remedy or "" for each in of(found, "cook.hold") if each.outcome in bad]
    assert remedies
    assert all(each.startswith("Discard it") for each in remedies)


def in_the_air(seen: float, thickness_mm: float = 20.0, **changes: object):
    """A bag in a blast chiller that is far too slow, read every five minutes."""
    air = replace(SLURRY, medium="blast_chiller", readings=steady(3.0, seen, 5.0, 245.0))
    stays = {"chill": (Stay("slurry", at(245)),), "store": (), "core_checks": ()}
    one = bag(thickness_mm=thickness_mm, **(stays | changes))
    return batch(one, seen=seen, logs=(BATH, air, FRIDGE))


def test_a_chill_that_is_too_slow_is_finished_in_ice_and_then_it_is_in_time():
    [stage] = of(assess(in_the_air(255), rules()), "chill.stage")
    assert stage.outcome == Outcome.UNPROVEN
    assert stage.remedy.startswith("Into an ice slurry by ")
    into = minutes(stage.remedy_by)
    assert 255 < into < 245 + 90
    ice = replace(SLURRY, key="ice", readings=series([(into + 10.0 * n, 0.5) for n in range(12)]))
    air = replace(SLURRY, medium="blast_chiller", readings=steady(3.0, into, 5.0, 245.0))
    stays = (Stay("slurry", at(245), at(into)), Stay("ice", at(into)))
    one = bag(thickness_mm=20.0, chill=stays, store=(), core_checks=())
    then = assess(batch(one, seen=into + 110, logs=(BATH, air, ice, FRIDGE)), rules())
    [stage_then] = of(then, "chill.stage")
    assert stage_then.outcome in (Outcome.MEETS, Outcome.UNPROVEN)
    assert (stage_then.outcome == Outcome.MEETS) == ("measure the core" not in stage.remedy)
    assert "too slow" not in stage_then.sentence


def test_a_chill_that_nothing_can_finish_is_served_in_time_or_missed():
    [stage] = of(assess(in_the_air(325, 40.0), rules()), "chill.stage")
    assert stage.remedy.startswith("Serve it by 15:35")
    assert stage.remedy_by == at(245 + 90)
    served = in_the_air(600, 40.0, finishes=(Finish("served", at(334)),))
    assert of(assess(served, rules()), "chill.stage") == []


def test_a_chill_that_was_missed_is_not_cooked_again():
    [stage] = of(assess(in_the_air(345, 40.0), rules()), "chill.stage")
    assert stage.outcome == Outcome.FAILS
    assert stage.remedy.startswith("Discard it")
    assert stage.remedy_by is None


def test_a_bag_that_waits_too_long_for_its_chill_is_served_instead():
    found = assess(batch(bag(**BARE), seen=275), rules())
    [begun] = of(found, "chill.begun")
    assert (begun.outcome, begun.remedy_by) == (Outcome.FAILS, at(240 + 30 + 90))
    assert begun.remedy.startswith("Serve it by 16:00")
    gone = batch(bag(**BARE, finishes=(Finish("served", at(359)),)), seen=600)
    assert of(assess(gone, rules()), "chill.begun") == []


def test_nothing_is_offered_for_a_bag_that_is_gone_or_in_order():
    assert all(each.remedy is None for each in assess(batch(), rules()).all_findings)
    gone = in_the_air(600, 40.0, finishes=(Finish("served", at(550)),))
    assert all(
        not (each.remedy or "").startswith(("Into", "Serve")) for each in assess(gone, rules()).all_findings
    )


def test_bags_that_are_alike_are_told_the_same():
    record = in_the_air(255)
    [one] = record.bags
    two = replace(record, bags=(one, replace(one, code="2")))
    first, second = (of(each.findings, "chill.stage")[0] for each in assess(two, rules()).bags)
    assert (first.remedy, first.remedy_by) == (second.remedy, second.remedy_by)
