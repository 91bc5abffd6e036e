"""A whole batch: the same answer each time, the worst finding governs, nonsense never raises."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from haccp.assess import ENGINE, assess
from haccp.record import LateEntry, MediumLog, Outcome, ProbeCheck, Stay, worst
from tests.haccp.kitchen_log import (
    BATH,
    FRIDGE,
    SLURRY,
    START,
    at,
    bag,
    batch,
    of,
    outcomes,
    reading,
    rules,
    series,
)


def test_an_untouched_batch_meets_its_limits_and_says_so_with_figures():
    found = assess(batch(), rules())
    assert found.outcome == Outcome.MEETS
    assert {each.outcome for each in found.all_findings} == {Outcome.MEETS}
    [one] = found.bags
    assert one.hold_limit == "UK-COOK-FSA-60"
    assert one.hold_c == 60.0
    assert one.hold_until - one.hold_from >= timedelta(minutes=45)
    assert found.ruleset_digest == rules().digest
    assert found.engine == ENGINE
    [hold] = of(found, "cook.hold")
    assert hold.measured_value > hold.required_value == 45.0
    assert hold.best is not None
    assert hold.basis


def test_the_same_record_and_ruleset_give_the_same_answer():
    record = batch(bag(), bag(code="2", thickness_mm=35.0))
    assert assess(record, rules()) == assess(record, rules())


def test_the_worst_finding_governs_the_bag_and_the_worst_bag_the_batch():
    order = [Outcome.MEETS, Outcome.TO_REVIEW, Outcome.UNPROVEN, Outcome.FAILS]
    assert [worst(order[: n + 1]) for n in range(4)] == order
    assert worst([]) == Outcome.UNPROVEN
    assert assess(replace(batch(), bags=()), rules()).outcome == Outcome.UNPROVEN


def test_alike_bags_share_a_curve_and_differ_only_in_name():
    found = assess(batch(bag(), bag(code="2")), rules())
    one, two = found.bags
    assert one.curve == two.curve
    assert {each.bag for each in two.findings} == {"2"}
    assert all("bag 1" not in each.sentence for each in two.findings)


def test_a_curve_is_ready_to_be_drawn_and_its_bounds_lie_in_order():
    [one] = assess(batch(), rules()).bags
    curve = one.curve
    assert curve is not None
    columns = (curve.at_s, curve.medium_c, curve.best_c, curve.low_c, curve.high_c)
    assert len({len(each) for each in columns}) == 1
    assert all(
        low <= best <= high for low, best, high in zip(curve.low_c, curve.best_c, curve.high_c, strict=True)
    )
    assert curve.epoch == START
    assert curve.at_s[-1] == 330 * 60  # the end of the chill


def test_a_bag_in_the_bath_says_until_when_and_keeping_it_in_till_then_is_enough():
    """The forecast holds its word: cooked on to that moment in a bath within its band, the limit is met."""
    running = bag(cook=(Stay("bath", at(0)),), chill=(), store=(), core_checks=())
    early = replace(BATH, readings=tuple(each for each in BATH.readings if each.at <= at(60)))
    now = batch(running, seen=60, logs=(early, SLURRY, FRIDGE))
    [one] = assess(now, rules()).bags
    [hold] = of(one.findings, "cook.hold")
    assert hold.outcome == Outcome.UNPROVEN
    assert hold.remedy_by == one.hold_until
    assert hold.remedy_by > at(60)
    done = (one.hold_until - START).total_seconds() / 60.0
    worst_bath = [(60.0 + n, 62.5) for n in range(1, math.ceil(done) - 59)]
    later = replace(early, readings=early.readings + series(worst_bath))
    then = batch(running, seen=math.ceil(done), logs=(later, SLURRY, FRIDGE))
    assert outcomes(assess(then, rules()), "cook.hold") == [Outcome.MEETS]


def test_a_bath_that_is_too_cool_says_that_waiting_will_not_help():
    cool = replace(BATH, readings=series([(0, 59.0), (30, 59.1), (60, 59.0)]), set_point_c=59.0)
    running = bag(cook=(Stay("bath", at(0)),), chill=(), store=(), core_checks=())
    [hold] = of(assess(batch(running, seen=60, logs=(cool, SLURRY, FRIDGE)), rules()), "cook.hold")
    assert hold.outcome == Outcome.UNPROVEN
    assert "As the bath stands it will not be met." in hold.sentence
    assert hold.remedy.startswith("Raise Bath A to 62.0 °C now")


def test_a_sag_of_the_bath_is_found_with_since_when_how_deep_and_how_long():
    sag = [(n * 10.0, 63.0 + 0.1 * (n % 2)) for n in range(25)]
    sag[6], sag[7], sag[8] = (60.0, 61.0), (70.0, 59.5), (80.0, 61.5)
    found = assess(batch(logs=(replace(BATH, readings=series(sag)), SLURRY, FRIDGE)), rules())
    [one] = of(found, "bath.band")
    assert one.outcome == Outcome.TO_REVIEW
    assert one.since == at(50)  # the last good reading before it
    assert one.measured == "59.5 °C"
    assert "3.5 °C from its set point" in one.sentence
    assert "40 min at most" in one.sentence


@pytest.mark.parametrize(
    ("reads", "outcome"), [(62.5, []), (62.4, [Outcome.TO_REVIEW]), (63.6, [Outcome.TO_REVIEW])]
)
def test_the_edge_of_the_band_is_in_the_band(reads, outcome):
    values = [(n * 10.0, 63.0 + 0.1 * (n % 2)) for n in range(25)]
    values[10] = (100.0, reads)
    found = assess(batch(logs=(replace(BATH, readings=series(values)), SLURRY, FRIDGE)), rules())
    assert outcomes(found, "bath.band") == outcome


def test_a_late_entry_is_listed_and_one_of_another_day_is_reviewed():
    soon = LateEntry("Bag 1 into the slurry", at(245), at(300), "e1")
    later = LateEntry("Bath A read 63.0 °C", at(60), at(60 + 24 * 60), "e2")
    found = assess(batch(late_entries=(soon, later)), rules())
    assert outcomes(found, "records.late") == [Outcome.TO_REVIEW, Outcome.MEETS]
    assert (
        of(found, "records.late")[1].sentence
        == "Bag 1 into the slurry, at 14:05: entered 55 min later, at 15:00."
    )


def test_a_probe_is_checked_within_a_month_to_the_day():
    """Food Standards Scotland, monthly probe check: a check on 3 February covers readings on 3 March."""
    used = datetime(2026, 3, 3, 14, 0, tzinfo=UTC)
    day = timedelta(days=1)
    for back, outcome in ((27 * day, []), (28 * day, []), (29 * day, [Outcome.TO_REVIEW])):
        check = ProbeCheck("P1", used - back + timedelta(hours=4), "ice", 0.1)
        found = assess(batch(probe_checks=(check,), seen=500), rules())
        assert outcomes(found, "probe.interval") == outcome, back
    failed = ProbeCheck("P1", at(-100), "ice", 1.1)
    assert outcomes(assess(batch(probe_checks=(failed,)), rules()), "probe.interval") == [Outcome.TO_REVIEW]


def test_a_failed_check_says_which_readings_do_not_count():
    checks = (ProbeCheck("P1", at(-2000), "ice", 0.1), ProbeCheck("P1", at(500), "ice", 1.6, "c2"))
    bad = tuple(replace(each, trusted=False) for each in BATH.readings[:3])
    logs = (replace(BATH, readings=bad + BATH.readings[3:]), SLURRY, FRIDGE)
    [one] = of(assess(batch(logs=logs, probe_checks=checks), rules()), "probe.failed")
    assert one.sentence.startswith("3 readings of probe P1 do not count since its last good check")
    assert one.since == at(-2000)
    assert set(one.entries) == {"c2", *(each.entry for each in bad)}


def test_what_was_read_later_is_not_known_yet():
    """The same record looked at earlier is judged by what was known then."""
    early = assess(batch(seen=100), rules())
    known = tuple(each for each in BATH.readings if each.at <= at(100))
    assert early == assess(batch(seen=100, logs=(replace(BATH, readings=known), SLURRY, FRIDGE)), rules())


# -- nonsense -----------------------------------------------------------------------------------------

NOT_A_NUMBER = math.nan


@pytest.mark.parametrize(
    "changes",
    [
        {"thickness_mm": 0.0},
        {"thickness_mm": -3.0},
        {"thickness_mm": 2000.0},
        {"thickness_mm": NOT_A_NUMBER},
        {"thickness_tolerance_mm": 40.0},
        {"start_c": NOT_A_NUMBER},
        {"start_c": 140.0},
        {"shape": "doughnut"},
        {"cook": (Stay("nowhere", at(0), at(240)),)},
        {"cook": (Stay("bath", at(240), at(0)),)},
        {"cook": (Stay("bath", at(0), at(240)), Stay("bath", at(100), at(200)))},
        {"cook": ()},
        {"shape": "brick", "length_mm": -1.0, "width_mm": 20.0},
        {"chill": (Stay("nowhere", at(245), at(330)),), "core_checks": ()},
    ],
    ids=str,
)
def test_a_bag_with_nonsense_is_unproven_and_never_an_exception(changes):
    [one] = assess(batch(bag(**changes)), rules()).bags
    assert one.outcome in (Outcome.UNPROVEN, Outcome.FAILS)
    assert any(each.outcome == Outcome.UNPROVEN for each in one.findings)


@pytest.mark.parametrize(
    "log",
    [
        replace(BATH, readings=()),
        replace(BATH, medium="lava"),
        replace(BATH, readings=(reading(0, NOT_A_NUMBER),)),
        replace(BATH, readings=(reading(0, 63.0), reading(10, 850.0), reading(240, 63.0))),
        replace(BATH, readings=(reading(0, -127.0), reading(10, 63.0), reading(240, 63.0))),
        replace(BATH, readings=(reading(0, 63.0, -0.5),)),
        replace(BATH, greatest_fall_k_per_min=-1.0),
        replace(BATH, readings=(reading(2000, 63.0),)),
    ],
    ids=["empty", "medium", "nan", "850", "-127", "tolerance", "rate", "after"],
)
def test_a_log_with_nonsense_proves_nothing_and_never_raises(log: MediumLog):
    [one] = assess(batch(logs=(log, SLURRY, FRIDGE)), rules()).bags
    assert one.outcome in (Outcome.UNPROVEN, Outcome.FAILS)
    assert Outcome.MEETS not in outcomes(one.findings, "cook.hold")


def test_unsorted_and_doubled_readings_are_put_in_order():
    shuffled = (*reversed(BATH.readings), BATH.readings[3])
    one = assess(batch(logs=(replace(BATH, readings=shuffled), SLURRY, FRIDGE)), rules())
    assert one.bags[0].curve == assess(batch(), rules()).bags[0].curve


def test_an_unknown_time_zone_is_said_and_not_raised():
    found = assess(batch(timezone="Mars/Olympus"), rules())
    assert found.outcome == Outcome.UNPROVEN
    assert any("Mars/Olympus" in each.sentence for each in found.all_findings)
