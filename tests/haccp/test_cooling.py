"""Stages of a chill. Curves are straight lines, so every answer is worked by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haccp.cooling import ClockStart, first_at_or_below, last_at_or_above, longest_stage, stage
from haccp.errors import RangeError, ReadingsError

# In the bath at 62 °C for an hour, out at 3600 s, then 1 K a minute down to 2 °C.
TIMES, CORE = [0, 3600, 7200], [62.0, 62.0, 2.0]


def test_first_and_last_crossings():
    assert first_at_or_below(TIMES, CORE, 32) == 5400.0
    assert first_at_or_below(TIMES, CORE, 62) == 0.0
    assert first_at_or_below(TIMES, CORE, 62, after_s=600) == 600.0
    assert first_at_or_below(TIMES, CORE, 1.9) is None
    assert first_at_or_below(TIMES, CORE, 32, after_s=7201) is None
    assert first_at_or_below([0], [5], 5) == 0.0
    assert last_at_or_above(TIMES, CORE, 32) == 5400.0
    assert last_at_or_above(TIMES, CORE, 32, before_s=5000) == 5000.0
    assert last_at_or_above(TIMES, CORE, 62.1) is None
    assert last_at_or_above(TIMES, CORE, 32, before_s=-1) is None


def test_the_clock_starts_at_the_crossing():
    """57 °C is passed 5 min after leaving the bath, 21 °C 36 min later."""
    found = stage(TIMES, CORE, from_c=57, to_c=21, clock_start_s=3600)
    assert (found.start_s, found.end_s, found.minutes) == (3900.0, 6060.0, 36.0)
    assert found.started_by is ClockStart.CROSSING


def test_a_starting_temperature_that_was_never_reached_starts_at_the_bath():
    """A cook at 55 °C never comes to 60 °C: the stage applies all the same."""
    found = stage([0, 3600, 6600], [55, 55, 5], from_c=60, to_c=5, clock_start_s=3600)
    assert (found.start_s, found.minutes, found.started_by) == (3600.0, 50.0, ClockStart.LEFT_BATH)


def test_a_bath_that_failed_starts_the_clock_with_the_bag_still_in_it():
    """The core falls through 60 °C at 1800 s and the bag is found and taken out at 5400 s."""
    found = stage([0, 5400, 9000], [65, 50, 5], from_c=60, to_c=5, clock_start_s=5400)
    assert (found.start_s, found.minutes) == (1800.0, 120.0)


def test_a_core_that_still_rises_after_the_bath_starts_later():
    """Carry-over: 59 °C at the bath's end, 61 °C ten minutes on, then down 1 K a minute."""
    found = stage([0, 600, 4200], [59, 61, 1], from_c=60, to_c=10, clock_start_s=0)
    assert (found.start_s, found.end_s) == (660.0, 3660.0)


def test_a_cold_core_before_the_cook_does_not_end_the_stage():
    found = stage([0, 1800, 3600, 7200], [3, 62, 62, 2], from_c=60, to_c=10, clock_start_s=3600)
    assert (found.start_s, found.end_s) == (3720.0, 6720.0)


def test_warming_up_again_after_the_stage_does_not_restart_it():
    found = stage([0, 3600, 5400, 7200], [62, 2, 70, 70], from_c=60, to_c=10, clock_start_s=0)
    assert (found.start_s, found.end_s) == (120.0, 3120.0)


def test_an_open_stage_says_how_long_it_has_run():
    found = stage([0, 3600], [62, 26], from_c=57, to_c=21, clock_start_s=0)
    assert found.end_s is None
    assert found.minutes is None
    assert found.minutes_so_far == pytest.approx(60 - 500 / 60)


def test_the_longest_stage_takes_the_early_start_and_the_late_end():
    low, high = np.array([61.0, 61.0, 1.0]), np.array([63.0, 63.0, 3.0])
    found = longest_stage(TIMES, low, high, from_c=57, to_c=21, clock_start_s=3600)
    assert (found.start_s, found.end_s) == (3600 + 4 * 60, 3600 + 42 * 60)


def test_when_only_the_upper_curve_was_hot_enough_the_earlier_start_counts():
    """The core may have been at 60 °C until 1800 s or never: leaving the bath came later."""
    low, high = [59, 50, 5], [62, 56, 6]
    found = longest_stage([0, 3600, 7200], low, high, from_c=60, to_c=10, clock_start_s=3600)
    assert found.start_s == 1200.0
    late = longest_stage([0, 600, 7200], [55, 55, 5], [59, 61, 6], from_c=60, to_c=10, clock_start_s=0)
    assert (late.start_s, late.started_by) == (0.0, ClockStart.LEFT_BATH)


FALLS = st.lists(st.floats(0.01, 20.0), min_size=4, max_size=10)


@settings(deadline=None, max_examples=100)
@given(FALLS, st.floats(0.0, 1.0), st.floats(0.1, 3.0))
def test_no_core_between_the_curves_cools_for_longer(falls, weight, band):
    core = 65.0 - np.cumsum([0.0, *falls])
    core = np.append(core, -10.0)
    times = 600.0 * np.arange(core.size)
    low, high = core - band, core + band
    between = low + weight * (high - low)
    bound = longest_stage(times, low, high, from_c=60, to_c=10, clock_start_s=0)
    true = stage(times, between, from_c=60, to_c=10, clock_start_s=0)
    assert true.minutes <= bound.minutes + 1e-9


@pytest.mark.parametrize(
    ("change", "error"),
    [
        ({"from_c": 5.0, "to_c": 60.0}, RangeError),
        ({"from_c": 60.0, "to_c": 60.0}, RangeError),
        ({"from_c": float("nan")}, RangeError),
        ({"clock_start_s": 7201.0}, ReadingsError),
        ({"clock_start_s": float("nan")}, ReadingsError),
    ],
)
def test_bad_stages_are_refused(change, error):
    with pytest.raises(error):
        stage(TIMES, CORE, **{"from_c": 60.0, "to_c": 5.0, "clock_start_s": 3600.0, **change})


def test_curves_in_the_wrong_order_are_refused():
    with pytest.raises(ReadingsError, match="low then high"):
        longest_stage(TIMES, np.array(CORE) + 1, CORE, from_c=60, to_c=5, clock_start_s=3600)
