"""The bath's own findings and the marks on records, each check called by itself."""

from __future__ import annotations

from dataclasses import replace

from haccp.chilled import core_readings
from haccp.record import Outcome, Stay
from haccp.rules.bath import check_band, check_readings_due, check_set_point
from haccp.rules.come_up import check_come_up
from haccp.rules.records import check_alike
from haccp.rules.store import check_stored
from tests.haccp.kitchen_log import (
    BATH,
    FRIDGE,
    SLURRY,
    at,
    bag,
    batch,
    core,
    drawn_case,
    reading,
    rules,
    series,
)


def other_bath(**changes: object):
    """The usual batch with its bath log changed."""
    return batch(logs=(replace(BATH, **changes), SLURRY, FRIDGE))  # type: ignore[arg-type]


def test_a_bath_set_lower_than_the_method_says_is_found():
    assert check_set_point(other_bath(set_point_c=63.0), rules()) == []
    [found] = check_set_point(other_bath(set_point_c=62.9), rules())
    assert found.margin == "0.1 °C too low"


def test_a_bath_that_was_still_heating_says_so():
    rising = series([(0, 40.0), (10, 55.0), (20, 63.0), (30, 63.1)])
    [found] = check_band(other_bath(readings=rising), rules())
    assert found.sentence.startswith("Bath A was not yet hot when bags went in")


def test_readings_before_and_after_the_bags_are_not_their_business():
    outside = (reading(-30, 40.0), *BATH.readings, reading(260, 30.0))
    assert check_band(other_bath(readings=outside), rules()) == []


def test_a_missing_reading_says_between_when():
    holes = tuple(each for each in BATH.readings if not at(60) < each.at < at(110))
    [found] = check_readings_due(other_bath(readings=holes), rules())
    assert "between 11:00 and 11:50" in found.sentence
    assert found.outcome == Outcome.TO_REVIEW


def test_two_logs_with_the_same_readings_are_marked_once():
    twin = replace(BATH, key="twin", name="Bath B")
    [found] = check_alike(batch(logs=(BATH, twin)), rules())
    assert "Bath A and Bath B" in found.sentence
    assert found.outcome == Outcome.MEETS


def test_a_steady_logger_is_not_taken_for_a_copied_page():
    """Rows of one imported file share their entry; only typed readings can look copied."""
    rows = tuple(replace(reading(float(n), 63.0), entry="file") for n in range(200))
    assert check_alike(other_bath(readings=rows), rules()) == []


def test_the_come_up_counts_from_the_first_to_the_last_temperature_of_the_row():
    """50 °F is 10 °C, 130 °F 54.4 °C: 1 °C in 8 min takes 5.9 h, in 8.2 min more than 6 h."""
    slow = drawn_case([0, 60 * 8.2], [0.0, 60.0])
    quick = drawn_case([0, 60 * 8.0], [0.0, 60.0])
    assert [each.outcome for each in check_come_up(slow)] == [Outcome.TO_REVIEW]
    assert check_come_up(quick) == []


def test_a_core_reading_in_the_bath_says_nothing_of_the_chill():
    case = drawn_case([0, 60], [60.0, 60.0], core_checks=(core(30, 2.0), core(70, 30.0)))
    assert [each.celsius for each in core_readings(case)] == [30.0]


def test_a_bag_in_the_chill_needs_no_place_yet():
    running = drawn_case(
        [0, 60], [60.0, 60.0], attributes={"cook-chill"}, chill=(Stay("slurry", at(65)),), store=()
    )
    assert check_stored(running) == []
    done = replace(running, bag=bag(chill=(Stay("slurry", at(65), at(90)),), store=()))
    assert [each.outcome for each in check_stored(done)] == [Outcome.UNPROVEN]
