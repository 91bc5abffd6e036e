"""What practice teaches about judging, each with a test that a careless reading would fail.

The rules come from outbreak reports, inspections and cooks' questions (common practice, no source);
the figures are own computations by the heat core.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from haccp.assess import assess
from haccp.record import BagRecord, MediumLog, Outcome, Stay, Step
from haccp.rules.chill import check_stages
from haccp.rules.cook import check_hold
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


def judged(record, regime: str = "UK"):
    """The record assessed under a regime."""
    return assess(record, rules(regime))


def with_bath(*values: tuple[float, float], **changes: object) -> tuple[MediumLog, ...]:
    """The logs with other bath readings."""
    return (replace(BATH, readings=series(values), **changes), SLURRY, FRIDGE)  # type: ignore[arg-type]


# -- where ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "word", ["rolled", "bound", "injected", "tenderised", "minced", "larded", "folded", "liver"]
)
def test_what_has_its_outside_inside_gets_no_whole_muscle_treatment(word):
    """At 131 °F for 89 min a whole roast meets its table; a rolled one does not."""
    curve = ([0, 95], [55.0, 55.0])
    whole = check_hold(drawn_case(*curve, regime="US-FDA", attributes={"whole muscle"}))
    assert [each.outcome for each in whole] == [Outcome.MEETS]
    turned = check_hold(drawn_case(*curve, regime="US-FDA", attributes={"whole muscle", word}))
    assert [each.outcome for each in turned] == [Outcome.FAILS]


@pytest.mark.parametrize("doubt", ["floating", "overlapping", "half sunk", "trapped air", "from frozen"])
def test_a_bag_that_did_not_lie_alone_under_water_is_unproven_whatever_its_curve_says(doubt):
    found = judged(batch(bag(doubts=frozenset({doubt}))))
    assert found.bags[0].outcome == Outcome.UNPROVEN
    assert outcomes(found, "cook.evidence") == [Outcome.UNPROVEN]
    assert of(found, "cook.hold") == []
    assert found.bags[0].curve is not None


def test_food_below_freezing_is_its_own_case_without_being_told():
    assert outcomes(judged(batch(bag(start_c=-12.0))), "cook.evidence") == [Outcome.UNPROVEN]


def test_the_thickest_piece_governs_each_bag_and_the_worst_bag_the_batch():
    thick = bag(code="2", thickness_mm=70.0)
    found = judged(batch(bag(), thick))
    assert [each.outcome for each in found.bags] == [Outcome.MEETS, Outcome.FAILS]
    assert found.outcome == Outcome.FAILS


# -- when the clock runs -----------------------------------------------------------------------------


def test_a_stage_whose_start_was_never_reached_starts_when_the_bag_left_the_bath():
    """A core at 55 °C never was at 135 °F (57.2 °C). The clock starts at bath exit: 125 min is too slow."""
    minutes = [0, 60, 60 + 125, 60 + 300]
    late = drawn_case(
        minutes, [55, 55, 21.0, 4.0], regime="US-FDA", attributes={"whole muscle", "cook-chill"}, out_min=60
    )
    assert outcomes(check_stages(late), "chill.stage", "USFDA-CCSV-COOL-1") == [Outcome.FAILS]
    minutes[2] = 60 + 115
    good = drawn_case(
        minutes, [55, 55, 21.0, 4.0], regime="US-FDA", attributes={"whole muscle", "cook-chill"}, out_min=60
    )
    assert outcomes(check_stages(good), "chill.stage", "USFDA-CCSV-COOL-1") == [Outcome.MEETS]


WIDE = {"low": [60, 60, 58, 0.0, 0.0], "high": [60, 60, 58, 30.0, 30.0]}


def chilling(*checks, seen: float, **changes: object):
    """A UK cook-chill bag in the slurry from 70 min, due at 3 °C at 160 min, known only by core readings."""
    stays = {"chill": (Stay("slurry", at(70)),), "store": (), "core_checks": checks}
    return drawn_case(
        [0, 60, 70, 130, seen], [60, 60, 58, 10, 8], attributes={"cook-chill"}, out_min=60, seen=seen,
        **(WIDE | stays | changes),
    )  # fmt: skip


def test_a_reading_before_the_end_of_a_stage_proves_nothing_about_its_end():
    [found] = of(check_stages(chilling(core(100, 40.0), seen=140)), "chill.stage")
    assert found.outcome == Outcome.UNPROVEN
    assert found.remedy_by == at(160)


def test_two_readings_whose_slope_is_too_flat_prove_that_the_stage_will_be_missed():
    """From 12 to 10 °C in 10 min: at most 0.24 K/min with the probe tolerance, so 3 °C takes 28 min more."""
    [found] = of(check_stages(chilling(core(130, 12.0), core(140, 10.0), seen=141)), "chill.stage")
    assert found.outcome == Outcome.FAILS
    assert found.remedy_by == at(160)
    # Steeper readings do not prove it, nor do readings from the slow beginning of the chill.
    quick = chilling(core(130, 12.0), core(140, 6.0), seen=141)
    assert outcomes(check_stages(quick), "chill.stage") == [Outcome.UNPROVEN]
    early = chilling(core(75, 59.0), core(85, 55.0), seen=130.5)
    assert outcomes(check_stages(early), "chill.stage") == [Outcome.UNPROVEN]


def test_a_crossing_between_two_readings_is_not_a_proven_one():
    """3.5 °C at 150 min and 1.0 °C at 170: the straight line crosses at 154, which no reading shows."""
    found = check_stages(chilling(core(150, 3.5), core(170, 1.0), seen=200))
    assert outcomes(found, "chill.stage") == [Outcome.UNPROVEN]


def test_elapsed_time_is_absolute_across_a_change_of_clocks():
    """London put its clocks back at 01:00 UTC on 25 October 2026. A chill from 01:30 to 01:40 by the wall
    clock lasted 70 min, not 10; one of 80 min and one of 100 min differ although the wall clock hides it."""
    out = datetime(2026, 10, 25, 0, 20, tzinfo=UTC)

    def moved(minutes: float) -> BagRecord:
        checked = core(0, 2.0)
        checked = replace(checked, reading=replace(checked.reading, at=out + timedelta(minutes=minutes)))
        start = out - timedelta(hours=4)
        return bag(
            sealed_at=start,
            cook=(Stay("bath", start, out),),
            chill=(Stay("slurry", out, out + timedelta(minutes=120)),),
            store=(),
            core_checks=(checked,),
        )

    def shifted(log: MediumLog) -> MediumLog:
        by = out - timedelta(hours=4) - at(0)
        return replace(log, readings=tuple(replace(each, at=each.at + by) for each in log.readings))

    def chill_of(minutes: float) -> list[Outcome]:
        record = replace(
            batch(moved(minutes)),
            day=date(2026, 10, 24),
            seen_at=out + timedelta(hours=6),
            logs=tuple(map(shifted, (BATH, SLURRY, FRIDGE))),
        )
        return outcomes(judged(record), "chill.stage", "UK-CCH-COOL-1")

    assert chill_of(89.0) == [Outcome.MEETS]
    assert chill_of(91.0) != [Outcome.MEETS]


def test_no_straight_line_is_drawn_across_a_gap():
    """Four hours without a reading, the bath right before and after: it may have been out all the while."""
    whole = batch(bag(), logs=(BATH, SLURRY, FRIDGE))
    assert outcomes(judged(whole), "cook.hold") == [Outcome.MEETS]
    gap = with_bath((0, 63.0), (240, 63.0), greatest_fall_k_per_min=0.5)
    found = judged(batch(bag(), logs=gap))
    assert outcomes(found, "cook.hold") == [Outcome.UNPROVEN]
    assert outcomes(found, "bath.readings") == [Outcome.TO_REVIEW]


def test_rows_are_never_joined_across_a_break_of_the_log():
    gap = replace(BATH, readings=series([(0, 63.0), (60, 63.0), (180, 63.0), (240, 63.0)]), breaks=(at(90),))
    slack = replace(gap, greatest_fall_k_per_min=0.5)
    [one] = judged(batch(logs=(slack, SLURRY, FRIDGE))).bags
    assert one.curve is not None
    inside = [c for s, c in zip(one.curve.at_s, one.curve.medium_c, strict=True) if 6000 < s < 9000]
    assert min(inside) < 40.0


def test_a_log_that_starts_after_the_bag_went_in_is_unproven():
    late = with_bath(*((60.0 + 10 * n, 63.0 + 0.1 * (n % 2)) for n in range(19)))
    assert outcomes(judged(batch(logs=late)), "cook.evidence") == [Outcome.UNPROVEN]


# -- limits -------------------------------------------------------------------------------------------


def test_a_limit_printed_in_fahrenheit_is_not_rounded_to_celsius_and_then_compared():
    """130 °F is 54.44 °C; the Food Code prints 54.4 beside it. 54.41 °C is not 130 °F."""
    words = {"whole muscle"}
    close = drawn_case([0, 115], [54.41, 54.41], regime="US-FDA", attributes=words)
    assert [each.outcome for each in check_hold(close)] == [Outcome.FAILS]
    there = drawn_case([0, 115], [54.45, 54.45], regime="US-FDA", attributes=words)
    assert [each.outcome for each in check_hold(there)] == [Outcome.MEETS]


def test_nothing_counts_below_the_lowest_row_of_a_table():
    """58 °C for 5 h is worth 7.5 min at 70 °C with z = 7.5 °C, yet the list ends at 60 °C."""
    case = drawn_case([0, 300], [58.0, 58.0])
    [found] = check_hold(case)
    assert found.outcome == Outcome.FAILS
    assert found.rule == "cook.hold"


def test_a_bath_at_the_limit_is_found_even_before_the_hold_is_over():
    at_limit = with_bath(*((10.0 * n, 60.0 + 0.1 * (n % 2)) for n in range(25)), set_point_c=60.0)
    found = judged(batch(logs=at_limit))
    assert Outcome.TO_REVIEW in outcomes(found, "bath.set_point", "UK-COOK-FSA-60")


# -- evidence -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("missing", ["thickness_mm", "start_c"])
def test_a_missing_record_is_neither_a_pass_nor_a_fail(missing):
    [one] = judged(batch(bag(**{missing: None}))).bags
    assert one.outcome == Outcome.UNPROVEN
    assert of(one.findings, "cook.hold") == []
    assert all(each.remedy for each in of(one.findings, "cook.evidence"))


def test_readings_of_a_probe_that_failed_do_not_count():
    bad = replace(BATH, readings=tuple(replace(each, trusted=False) for each in BATH.readings))
    found = judged(batch(logs=(bad, SLURRY, FRIDGE)))
    [why] = of(found, "cook.evidence")
    assert why.outcome == Outcome.UNPROVEN
    assert "failed its check" in why.sentence
    assert outcomes(found, "probe.failed") == [Outcome.TO_REVIEW]


def test_a_cook_that_is_heard_of_but_not_logged_is_not_made_good_by_heating_again():
    """Out of the bath without a word and later in the fridge: nobody knows how long it was hot."""
    found = judged(batch(bag(cook=(Stay("bath", at(0)),), chill=())))
    assert outcomes(found, "cook.evidence") == [Outcome.UNPROVEN]


def test_series_that_look_copied_are_marked_and_nothing_more():
    same = replace(BATH, readings=tuple(reading(10.0 * n, 63.0) for n in range(25)))
    found = judged(batch(logs=(same, SLURRY, FRIDGE)))
    assert outcomes(found, "records.alike") == [Outcome.MEETS]
    assert found.bags[0].outcome == Outcome.MEETS
    assert of(judged(batch()), "records.alike") == []


def test_a_core_that_sat_warm_too_long_is_reviewed_and_a_long_hot_hold_does_not_lift_it():
    """A 160 mm roll at 66 °C for 22 h: well over 6 h from 50 to 130 °F; the hold is met."""
    long = steady(66.0, 1320.0)
    logs = (replace(BATH, readings=long, set_point_c=66.0), replace(SLURRY, readings=()), FRIDGE)
    thick = bag(thickness_mm=160.0, cook=(Stay("bath", at(0), at(1320)),), chill=(), store=(), core_checks=())
    record = batch(thick, seen=1325, logs=logs, method=replace(METHOD, thickness_max_mm=170.0))
    found = judged(record)
    assert outcomes(found, "cook.hold") == [Outcome.MEETS]
    assert outcomes(found, "cook.come_up") == [Outcome.TO_REVIEW]
    assert of(judged(batch()), "cook.come_up") == []


def test_a_cook_that_was_interrupted_counts_all_its_heating():
    """Out for ten minutes and back: hold and come-up run on along one curve."""
    stays = (Stay("bath", at(0), at(100)), Stay("bath", at(110), at(240)))
    [one] = judged(batch(bag(cook=stays))).bags
    assert outcomes(one.findings, "cook.hold") == [Outcome.MEETS]
    whole = judged(batch()).bags[0]
    assert one.hold_until is not None
    assert whole.hold_until is not None
    assert one.hold_until > whole.hold_until


def test_a_measured_core_counts_by_the_lowest_and_never_by_the_mean():
    checks = (core(200, 63.4, Step.COOK), core(201, 50.0, Step.COOK), core(325, 2.0))
    assert outcomes(judged(batch(bag(core_checks=checks))), "cook.core_reading") == [Outcome.TO_REVIEW]
