"""Courses below a medium are never above it, whatever it does. Own computation, by brute force."""

import numpy as np
import pytest

from haccp.courses import COURSES, courses_below, likely, minorant, sag, split


def log(seed: int, count: int = 200) -> tuple[np.ndarray, np.ndarray]:
    """A medium that wanders, flickers and falls, read at uneven moments over 8 h."""
    rng = np.random.default_rng(seed)
    times = np.concatenate([[0.0], np.sort(rng.uniform(0.0, 28_800.0, count)), [28_800.0]])
    celsius = (
        60.0 + np.cumsum(rng.normal(0.0, 0.3, times.size)) + rng.choice([0.0, -4.0], times.size, p=[0.9, 0.1])
    )
    return times, celsius


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("steps", [8, 97, 481, 3000])
def test_a_minorant_is_never_above_its_course(seed, steps):
    times, celsius = log(seed)
    grid = np.linspace(0.0, 28_800.0, steps)
    fine = np.union1d(np.union1d(times, grid), np.linspace(0.0, 28_800.0, 20_001))
    below = np.interp(fine, grid, minorant(grid, (times, celsius)))
    assert (below <= np.interp(fine, times, celsius) + 1e-9).all()
    assert below.min() >= celsius.min() - 1e-9


def test_a_minorant_of_a_course_with_its_own_corners_is_the_course():
    times, celsius = log(1, 40)
    assert minorant(times, (times, celsius)) == pytest.approx(celsius)


@pytest.mark.parametrize("seed", range(10))
def test_openings_never_rise_above_the_course_and_flicker_less(seed):
    times, celsius = log(seed)
    grid = np.linspace(0.0, 28_800.0, 481)
    course = minorant(grid, (times, celsius))
    below = courses_below(course, grid, spread_s=600.0)
    assert below.shape == (COURSES, grid.size)
    assert (below <= course + 1e-12).all()
    risen = [np.maximum(np.diff(each), 0.0).sum() for each in below]
    assert all(each <= risen[0] + 1e-9 for each in risen)
    # The last one never falls.
    assert (np.diff(below[-1]) >= 0.0).all()


def test_rises_and_falls_put_the_course_together_again():
    first = np.array([[10.0, 12.0, 11.0, 15.0]])
    second = np.array([[3.0, 5.0, 2.0]])
    rises, falls = split([first, second])
    assert 10.0 + rises[0] - falls[0] == pytest.approx(first)
    assert 10.0 + rises[1] - falls[1] == pytest.approx(second)
    for each in (*rises, *falls):
        assert (np.diff(each) >= 0.0).all()


def test_the_likely_course_of_a_dense_log_keeps_its_area():
    times, celsius = log(3, 5000)
    grid = np.linspace(0.0, 28_800.0, 97)
    edges = np.concatenate([grid[:1], 0.5 * (grid[1:] + grid[:-1]), grid[-1:]])
    assert (likely(grid, (times, celsius)) * np.diff(edges)).sum() == pytest.approx(
        np.trapezoid(celsius, times), rel=1e-12
    )


def test_the_sag_covers_a_parabola():
    # T = t²: a chord of length d lies d²/4 above it in its middle, which is d² T''/8.
    times = np.arange(0.0, 11.0)
    assert sag(times, times**2)[2:-2] == pytest.approx(0.25)
    assert sag(times, -(times**2)) == pytest.approx(0.0)
