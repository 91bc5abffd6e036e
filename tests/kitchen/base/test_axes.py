"""Ticks: round figures and round clock times, also where the clocks change."""

import itertools
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from kitchen.base import axes

LONDON = ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (3.2, 61.0, 7, [0, 10, 20, 30, 40, 50, 60, 70]),
        (59.62, 60.31, 5, [59.6, 59.8, 60.0, 60.2, 60.4]),
        (-19.5, 4.0, 6, [-20, -15, -10, -5, 0, 5]),
        (60.0, 60.0, 4, [59.9, 60.0, 60.1]),
    ],
)
def test_figures_are_round_and_enclose_the_data(low, high, most, expected):
    # Own computation: the steps are 1, 2 or 5 times a power of ten.
    ticks = axes.figure_ticks(low, high, most)
    assert ticks == pytest.approx(expected)
    assert ticks[0] <= low
    assert ticks[-1] >= high


@pytest.mark.parametrize(
    ("value", "step", "text"), [(60, 10, "60"), (59.6, 0.2, "59.6"), (-5, 5, "−5"), (0.25, 0.05, "0.25")]
)
def test_labels_show_the_decimals_of_the_step(value, step, text):
    assert axes.figure_label(value, step) == text


@pytest.mark.parametrize("minutes", [3, 25, 60, 250, 60 * 9, 60 * 26, 60 * 24 * 9, 60 * 24 * 90])
def test_clock_times_are_round_and_few(minutes):
    start = datetime(2026, 6, 9, 7, 43, tzinfo=UTC)
    ticks = axes.time_ticks(start, start + timedelta(minutes=minutes), LONDON, most=8)
    assert 2 <= len(ticks) <= 9
    assert all(start <= tick.at <= start + timedelta(minutes=minutes) for tick in ticks)
    assert all(tick.label == f"{tick.at.astimezone(LONDON):%H:%M}" for tick in ticks)
    assert len({after.at - before.at for before, after in itertools.pairwise(ticks)}) == 1


def test_when_clocks_go_back_the_hour_stands_twice():
    # British Summer Time ends on the last Sunday of October at 01:00 UTC (Summer Time Order 2002).
    start = datetime(2026, 10, 24, 23, 0, tzinfo=UTC)
    ticks = axes.time_ticks(start, start + timedelta(hours=5), LONDON, most=6)
    assert [tick.label for tick in ticks] == ["00:00", "01:00", "01:00", "02:00", "03:00", "04:00"]
    assert [tick.at.hour for tick in ticks] == [23, 0, 1, 2, 3, 4]
    assert ticks[0].midnight


def test_when_clocks_go_forward_the_hour_that_was_not_is_left_out():
    # British Summer Time begins on the last Sunday of March at 01:00 UTC (same order).
    start = datetime(2026, 3, 28, 23, 0, tzinfo=UTC)
    ticks = axes.time_ticks(start, start + timedelta(hours=4), LONDON, most=6)
    assert [tick.label for tick in ticks] == ["23:00", "00:00", "02:00", "03:00", "04:00"]
    assert [tick.midnight for tick in ticks] == [False, True, False, False, False]
