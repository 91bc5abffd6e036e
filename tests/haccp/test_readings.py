"""haccp.readings: envelopes against their definition, by brute force over every reading."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from haccp.errors import HaccpError, ReadingsError
from haccp.readings import Series, best_estimate, gaps, lower_envelope, upper_envelope
from haccp.record import Reading

EPOCH = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def reading(minutes, celsius, tolerance=0.3, trusted=True):
    return Reading(EPOCH + timedelta(minutes=minutes), celsius, tolerance, trusted=trusted)


def series(*pairs, tolerance=0.0):
    times, celsius = zip(*pairs, strict=True)
    return Series(np.array(times), np.array(celsius), np.full(len(times), tolerance))


def test_a_v_between_two_readings():
    """60 °C twice, 30 min apart, ± 0.3; fall 0.5, rise 1.0 K/min: the lowest is 20 min in, 10 K down."""
    times, celsius = lower_envelope(
        series((0.0, 60.0), (1800.0, 60.0), tolerance=0.3),
        0.0,
        1800.0,
        fall_k_per_min=0.5,
        rise_k_per_min=1.0,
    )
    assert times == pytest.approx([0.0, 1200.0, 1800.0])
    assert celsius == pytest.approx([59.7, 49.7, 59.7])
    times, celsius = upper_envelope(
        series((0.0, 60.0), (1800.0, 60.0), tolerance=0.3),
        0.0,
        1800.0,
        fall_k_per_min=0.5,
        rise_k_per_min=1.0,
    )
    assert times == pytest.approx([0.0, 600.0, 1800.0])
    assert celsius == pytest.approx([60.3, 70.3, 60.3])


def test_the_floor_and_the_ceiling_before_and_after():
    one = series((600.0, 50.0))
    times, celsius = lower_envelope(one, 0.0, 4200.0, fall_k_per_min=1.0, rise_k_per_min=2.0, floor_c=20.0)
    assert dict(zip(times, celsius, strict=True)) == pytest.approx(
        {0.0: 30.0, 600.0: 50.0, 2400.0: 20.0, 4200.0: 20.0}
    )
    times, celsius = upper_envelope(one, 0.0, 4200.0, fall_k_per_min=2.0, rise_k_per_min=1.0, ceiling_c=80.0)
    assert dict(zip(times, celsius, strict=True)) == pytest.approx(
        {0.0: 70.0, 600.0: 50.0, 2400.0: 80.0, 4200.0: 80.0}
    )


def test_a_reading_under_the_floor_is_believed():
    times, celsius = lower_envelope(series((0.0, -2.0)), 0.0, 600.0, fall_k_per_min=1.0, rise_k_per_min=1.0)
    assert celsius == pytest.approx([-2.0] * times.size)


def courses(seed):
    """A random course that keeps to its rates, and readings of it within their tolerances."""
    rng = np.random.default_rng(seed)
    fall, rise = rng.uniform(0.2, 3.0, 2)
    moments = np.arange(0.0, 7201.0, 20.0)
    steps = rng.uniform(-fall, rise, moments.size - 1) / 3.0
    steps[rng.random(steps.size) < 0.3] = -fall / 3.0
    course = np.clip(60.0 + np.concatenate([[0.0], np.cumsum(steps)]), 3.0, 95.0)
    read = np.sort(rng.choice(moments.size, rng.integers(1, 40), replace=False))
    tolerance = rng.uniform(0.0, 0.5)
    seen = course[read] + rng.uniform(-tolerance, tolerance, read.size)
    return moments, course, Series(moments[read], seen, np.full(read.size, tolerance)), fall, rise


@pytest.mark.parametrize("seed", range(60))
def test_no_course_within_the_rates_leaves_the_envelopes(seed):
    moments, course, read, fall, rise = courses(seed)
    rates = {"fall_k_per_min": fall, "rise_k_per_min": rise}
    low = np.interp(moments, *lower_envelope(read, 0.0, 7200.0, **rates))
    high = np.interp(moments, *upper_envelope(read, 0.0, 7200.0, **rates))
    # Corners closer than a tenth of a second are merged; the rates are at most 3 K/min.
    assert (low <= course + 0.01).all()
    assert (high >= course - 0.01).all()


@pytest.mark.parametrize("seed", range(20))
def test_the_lower_envelope_is_the_highest_such_bound(seed):
    """The highest of the lines that fall and rise from every reading (McShane's extension, 1934)."""
    rng = np.random.default_rng(seed)
    times = np.sort(rng.uniform(0.0, 3600.0, 6))
    fall, rise = 2.0, 1.5
    # Readings that keep to the rates, so that no neighbour contradicts another.
    celsius = 60.0 + np.cumsum(np.concatenate([[0.0], rng.uniform(-fall, rise, 5) * np.diff(times) / 60.0]))
    at = np.linspace(0.0, 3600.0, 500)
    lines = [
        np.where(at >= t, c - fall * (at - t) / 60.0, c - rise * (t - at) / 60.0)
        for t, c in zip(times, celsius, strict=True)
    ]
    floor = min(0.0, celsius.min())
    expected = np.maximum(np.max(lines, axis=0), floor)
    found = lower_envelope(
        Series(times, celsius, np.zeros(6)), 0.0, 3600.0, fall_k_per_min=fall, rise_k_per_min=rise
    )
    assert np.interp(at, *found) == pytest.approx(expected, abs=0.01)


def test_a_change_that_the_rates_can_not_explain():
    """61 to 55 °C within a minute at 0.5 K/min: the medium may have been at 55 the whole minute."""
    _, celsius = lower_envelope(
        series((0.0, 61.0), (60.0, 55.0), tolerance=0.3), 0.0, 60.0, fall_k_per_min=0.5, rise_k_per_min=0.5
    )
    # At both ends as low as the lower one; the least dip between two such readings is 0.25 K.
    assert celsius[[0, -1]] == pytest.approx(54.7)
    assert celsius.min() == pytest.approx(54.45)
    # Within the tolerances it is noise, and the straight line is the least that both readings allow.
    _, celsius = lower_envelope(
        series((0.0, 60.2), (60.0, 59.8), tolerance=0.3), 0.0, 60.0, fall_k_per_min=0.05, rise_k_per_min=0.05
    )
    assert celsius == pytest.approx([59.9, 59.5])


def test_best_estimate_is_straight_between_and_constant_outside():
    times, celsius = best_estimate(series((600.0, 60.0), (1200.0, 58.0)), 0.0, 1800.0)
    assert times == pytest.approx([0.0, 600.0, 1200.0, 1800.0])
    assert celsius == pytest.approx([60.0, 60.0, 58.0, 58.0])


def test_gaps():
    read = series((0.0, 60.0), (600.0, 60.0), (5000.0, 60.0), (5600.0, 60.0))
    assert gaps(read, 1800.0, 0.0, 9000.0) == [(600.0, 5000.0), (5600.0, 9000.0)]
    assert gaps(read, 1800.0, 1000.0, 2000.0) == [(600.0, 5000.0)]
    assert gaps(read, 9000.0, 0.0, 9000.0) == []


def test_untrusted_readings_are_left_out_and_duplicates_count_once():
    found = Series.from_readings(
        [reading(30, 59.0), reading(0, 60.0), reading(0, 60.0), reading(10, 20.0, trusted=False)], EPOCH
    )
    assert found.times_s == pytest.approx([0.0, 1800.0])
    assert found.celsius == pytest.approx([60.0, 59.0])


def test_of_two_readings_of_one_moment_the_lowest_counts_and_the_highest_bounds():
    found = Series.from_readings([reading(0, 60.5), reading(0, 59.0, tolerance=0.5)], EPOCH)
    assert (found.celsius[0], found.lowest_c[0], found.highest_c[0]) == pytest.approx((59.0, 58.5, 61.0))


@pytest.mark.parametrize(
    "bad",
    [[], [reading(0, 60.0, trusted=False)], [reading(0, float("nan"))], [reading(0, 60.0, float("nan"))]],
    ids=["none", "none trusted", "no number", "no tolerance"],
)
def test_readings_that_say_nothing(bad):
    with pytest.raises(ReadingsError):
        Series.from_readings(bad, EPOCH)


@pytest.mark.parametrize(
    ("times", "celsius", "tolerance"),
    [
        ([0.0, 0.0], [60.0, 61.0], [0.3, 0.3]),
        ([60.0, 0.0], [60.0, 60.0], [0.3, 0.3]),
        ([0.0, 60.0], [60.0], [0.3, 0.3]),
        ([0.0, float("inf")], [60.0, 60.0], [0.3, 0.3]),
        ([0.0], [60.0], [-0.3]),
        ([], [], []),
    ],
)
def test_series_that_can_not_be(times, celsius, tolerance):
    with pytest.raises(ReadingsError):
        Series(np.array(times), np.array(celsius), np.array(tolerance))


@pytest.mark.parametrize("span", [(10.0, 10.0), (10.0, 0.0), (float("nan"), 10.0)])
def test_spans_and_rates_that_can_not_be(span):
    one = series((0.0, 60.0))
    with pytest.raises(ReadingsError):
        best_estimate(one, *span)
    with pytest.raises(HaccpError):
        lower_envelope(one, 0.0, 60.0, fall_k_per_min=0.0, rise_k_per_min=1.0)
