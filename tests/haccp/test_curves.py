"""Curves: checks and crossings, small examples worked by hand (own computation)."""

import numpy as np
import pytest

from haccp.curves import checked, crossing, spans_where_at_or_above
from haccp.errors import ReadingsError


def test_a_jump_is_allowed_and_counts_for_no_time():
    times, temps = checked([0, 60, 60, 120], [60, 60, 20, 20])
    assert spans_where_at_or_above(times, temps, 40.0) == [(0.0, 60.0)]


def test_the_crossing_of_a_line():
    assert crossing(np.array([0.0, 100.0]), np.array([70.0, 50.0]), 0, 65.0) == 25.0


def test_a_touch_is_no_span():
    times, temps = checked([0, 60, 120], [50, 60, 50])
    assert spans_where_at_or_above(times, temps, 60.0) == []


@pytest.mark.parametrize("temps", [[60, 300.1], [60, -100.1], [60, float("inf")]])
def test_what_no_kitchen_reaches_is_refused(temps):
    with pytest.raises(ReadingsError, match="leave that point out"):
        checked([0, 1], temps)
