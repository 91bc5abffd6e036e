"""Courses of a medium on a grid that are never above what is known of it, for the split bound.

A log may have a reading a second or one in half an hour; a bound is computed on a grid of its own. So a
log is thinned first: the *minorant* is straight between the moments of the grid and never above
the lower envelope, whatever that does in between. The upper side is the same upside down.

Rises and falls of a medium that only flickers add up. An *opening* cuts off the peaks that are
narrower than a window (the lowest value in each window, then the highest of those): a course
that is lower than the medium here and there and flickers less.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from scipy.ndimage import maximum_filter1d, minimum_filter1d

from haccp.curves import FloatArray
from haccp.readings import Knots

# Widths of the openings, in units of the difference between the lags of the corners. Four of them (0.5, 1,
# 2, 4) narrow the bounds of random cases by 0.2 % more and cost half as much again (own computation).
WINDOWS: Final = (0.75, 2.5)
# How many courses come of one: itself, its openings, and the highest that never falls.
COURSES: Final = len(WINDOWS) + 2


def minorant(grid_s: FloatArray, course: Knots) -> FloatArray:
    """The highest simple course on the grid, straight in between, that is never above `course`."""
    times, celsius = course
    values = np.interp(grid_s, times, celsius)
    cells = np.searchsorted(grid_s, times[1:-1], side="right") - 1
    inside = cells < grid_s.size - 1
    cells, bends_c = cells[inside], celsius[1:-1][inside]
    left, right = values[:-1], values[1:]
    deepest = np.zeros(left.size)
    np.maximum.at(deepest, cells, np.interp(times[1:-1][inside], grid_s, values) - bends_c)
    lowest = np.minimum(left, right)
    np.minimum.at(lowest, cells, bends_c)
    # A bend below the chord: both ends come down by as much, or both to the lowest of the cell,
    # whichever costs less; and never below what the medium reaches at all.
    flat = 2.0 * lowest > left + right - 2.0 * deepest
    flat |= np.minimum(left, right) - deepest < celsius.min()
    flat &= deepest > 0.0
    held = values.copy()
    held[:-1] = np.minimum(held[:-1], np.where(flat, lowest, left - deepest))
    held[1:] = np.minimum(held[1:], np.where(flat, lowest, right - deepest))
    return held


def likely(grid_s: FloatArray, course: Knots) -> FloatArray:
    """The likely course on the grid; of a log that is denser than it, the mean around each moment."""
    times, celsius = course
    if times.size <= grid_s.size:
        return np.interp(grid_s, times, celsius)
    area = np.concatenate([[0.0], np.cumsum(np.diff(times) * 0.5 * (celsius[1:] + celsius[:-1]))])
    edges = np.concatenate([grid_s[:1], 0.5 * (grid_s[1:] + grid_s[:-1]), grid_s[-1:]])
    # The area under a chord grows as a parabola.
    at = np.clip(np.searchsorted(times, edges, side="right") - 1, 0, times.size - 2)
    since = edges - times[at]
    slope = (celsius[at + 1] - celsius[at]) / (times[at + 1] - times[at])
    upto = area[at] + since * (celsius[at] + 0.5 * slope * since)
    means: FloatArray = np.diff(upto) / np.diff(edges)
    return means


def courses_below(
    course: FloatArray, grid_s: FloatArray, spread_s: float, windows: Sequence[float] = WINDOWS
) -> FloatArray:
    """Courses (windows + 2, n) that are never above `course` (n,) on the grid.

    `spread_s` [s] is the difference between the lags of the slowest and the quickest body, `windows` how
    wide the openings are in units of it.
    A window in steps of the grid keeps an opening below its course at the moments of the grid
    whatever their spacing, and so between them, where the course is straight.
    """
    step = (grid_s[-1] - grid_s[0]) / (grid_s.size - 1)
    found = [course]
    for width in windows:
        size = 2 * min(grid_s.size, round(0.5 * width * spread_s / step)) + 1
        if size == 1:
            found.append(course)
            continue
        eroded = minimum_filter1d(course, size, mode="nearest")
        found.append(maximum_filter1d(eroded, size, mode="nearest"))
    found.append(np.minimum.accumulate(course[::-1])[::-1])
    return np.stack(found)


def split(courses: Sequence[FloatArray]) -> tuple[list[FloatArray], list[FloatArray]]:
    """All rises and all falls so far (columns, n) of each stay, from nothing at the first moment."""
    rises, falls = [], []
    before = courses[0][:, :1]
    risen = fallen = np.zeros_like(before)
    for course in courses:
        change = np.diff(course, prepend=before)
        rises.append(risen + np.cumsum(np.maximum(change, 0.0), axis=1))
        falls.append(fallen - np.cumsum(np.minimum(change, 0.0), axis=1))
        before, risen, fallen = course[:, -1:], rises[-1][:, -1:], falls[-1][:, -1:]
    return rises, falls


def sag(times_s: FloatArray, celsius: FloatArray) -> FloatArray:
    """How far the chords of a curve (..., n) lie above it at most where it is hollow [K].

    A chord of length d lies d² T''/8 above a hollow curve; T'' from the neighbours.
    """
    steps = np.diff(times_s)
    slopes = (celsius[..., 1:] - celsius[..., :-1]) / steps
    hollow = slopes[..., 1:] - slopes[..., :-1]
    hollow *= 2.0 / (steps[1:] + steps[:-1])
    np.maximum(hollow, 0.0, out=hollow)
    # Every cell by the deeper of its ends, and every moment by the deeper of its cells.
    cells = slopes
    cells[..., 1:] = hollow
    cells[..., 0] = 0.0
    np.maximum(cells[..., :-1], hollow, out=cells[..., :-1])
    cells *= steps * steps / 8.0
    low = np.empty_like(celsius)
    low[..., :-1] = cells
    low[..., -1] = cells[..., -1]
    np.maximum(low[..., 1:-1], cells[..., :-1], out=low[..., 1:-1])
    return low
