"""A hold against the rows of a table, to the second; figures are own computations on straight curves."""

from __future__ import annotations

import math

import numpy as np
import pytest

from haccp.holds import best_held, first_met, held, table_minutes
from tests.haccp.kitchen_log import rules

LIST = [row for row in rules().limits("cook") if row.table == "uk-core"]
ROAST = rules("US-FDA").limits("cook", {"whole muscle"})
TIMES = np.array([0.0, 600.0, 1200.0])


def test_time_at_a_row_is_exact_between_the_points_of_a_curve():
    """A rise from 50 to 70 °C in 600 s passes 60 °C at 300 s and falls through it at 900 s."""
    row = next(each for each in LIST if each.id == "UK-COOK-FSA-60")
    one = held(row, TIMES, np.array([50.0, 70.0, 50.0]))
    assert one.held_s == pytest.approx(600.0)
    assert one.starts_s == pytest.approx(300.0)
    assert not one.met
    assert one.ends_s is None
    assert one.share == pytest.approx(600 / 2700)


def test_the_row_with_the_greatest_share_is_named_and_the_first_to_be_met_is_found():
    hot = best_held(LIST, np.array([0.0, 7200.0]), np.array([65.0, 65.0]))
    assert hot.row.id == "UK-COOK-FSA-65"
    assert hot.share == pytest.approx(12.0)
    soon = first_met(LIST, np.array([0.0, 7200.0]), np.array([65.0, 65.0]))
    assert soon is not None
    assert soon.ends_s == pytest.approx(600.0)
    assert first_met(LIST, np.array([0.0, 60.0]), np.array([65.0, 65.0])) is None


def test_where_no_row_was_reached_the_lowest_is_named():
    assert best_held(LIST, TIMES, np.array([50.0, 55.0, 50.0])).row.amount.celsius == 60.0


def test_a_row_without_a_hold_is_met_by_reaching_it():
    row = next(each for each in ROAST if each.id == "USFDA-COOK-ROAST-158F")
    assert held(row, TIMES, np.array([60.0, 70.0, 60.0])).met
    assert held(row, TIMES, np.array([60.0, 70.0, 60.0])).share == math.inf
    assert not held(row, TIMES, np.array([60.0, 69.99, 60.0])).met


def test_a_hold_in_two_spans_is_complete_in_the_second():
    row = next(each for each in LIST if each.id == "UK-COOK-FSA-65")
    times = np.array([0.0, 300.0, 301.0, 400.0, 401.0, 900.0])
    one = held(row, times, np.array([66.0, 66.0, 60.0, 60.0, 66.0, 66.0]))
    assert one.met
    assert one.ends_s is not None
    assert 700.0 < one.ends_s < 701.0


def test_the_tables_own_process_counts_only_from_its_lowest_row():
    """2 min at 70 °C; 60 °C is worth 10^(-10/7.5) of it; 59.9 °C nothing."""
    table = rules().table(LIST[0])
    flat = np.array([0.0, 6000.0])
    assert table_minutes(table, LIST, flat, np.array([70.0, 70.0])) == pytest.approx(100.0)
    assert table_minutes(table, LIST, flat, np.array([60.0, 60.0])) == pytest.approx(
        100.0 * 10 ** (-10 / 7.5)
    )
    assert table_minutes(table, LIST, flat, np.array([59.9, 59.9])) == 0.0
    assert table_minutes(rules("US-FDA").table(ROAST[0]), ROAST, flat, np.array([60.0, 60.0])) is None
