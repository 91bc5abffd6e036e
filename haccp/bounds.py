r"""What the core certainly went through, when body, start and medium are known only within limits.

The *slow corner* is the body with the lowest diffusivity, the lowest ratio of heat transfer to conductivity
and the largest dimensions; the *fast corner* is the opposite. Let C[U](t) be the core at t of a body
that started at 0 in the medium U.

**Split bound** (any shape, any number of media, heat transfer moving inside its range). How much a
jump of the medium at u still counts for at t lies between what it counts for in the slow and in the
fast corner. So, for any course Y that is never above the medium, written as start + rises − falls
= T0 + U − V,

    core(t) >= T0 + C_slow[U](t) − C_fast[V](t)

and upside down for the upper side. Rises and falls of a medium that only flickers add up; so the
bound is taken for several courses Y, each rigorous, and the best counts at each moment: *openings* of the
medium (peaks narrower than a window cut off), the course that never falls within a stay, and the
lowest moment so far.

**Slow corner** (slab, cylinder, sphere; one medium; heat transfer constant though unknown; lethal
rate convex in temperature). The delay between medium and core is a sum of independent lags, and
the slow corner's is the true one plus another. Its core is the true core delayed and smoothed, and
for a convex rate phi (Jensen)

    ∫ phi(core_slow) dt <= ∫ phi(core) dt + (lag_slow − lag_fast) phi(T0)

without the last term where the medium never falls below the start. It bounds equivalent minutes and log
reductions, not the core at a moment.

Both are our own derivations, tested against random truths and an independent solution. Not
covered: what the equations of :mod:`haccp.conduction` do not cover. `SOLVER_ERROR_K`, the error
of the solver itself, is taken off every figure that is called proven.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.ndimage import maximum_filter1d, minimum_filter1d

from haccp.conduction import (
    SOLVER_ERROR_K,
    Body,
    Shape,
    check_joined,
    check_knots,
    check_start,
    grids_of,
    join,
    nearest,
    respond,
)
from haccp.curves import FloatArray
from haccp.errors import RangeError
from haccp.lethality import lethal_minutes
from haccp.ranges import Range
from haccp.readings import SAME_MOMENT_S, Knots
from haccp.response import steady_lag

SPLIT_BASIS: Final = (
    "split bound: rises of the medium through the slowest body, falls through the quickest, "
    "best of several openings of the medium"
)
CORNER_BASIS: Final = (
    "slow corner: in one medium with a constant heat transfer the slowest body has the least lethality"
)
# Grid between the corners of the medium: core curves are chords of this length [s], and longer once
# a stay has lasted so long that nothing moves quickly any more.
_STEP_S: Final = 60.0
_LATE_STEP_S: Final = 300.0
_LATE_S: Final = 12 * 3600.0
# Just after a jump: how long, and in which steps, in units of the body's own quickness.
_BEND: Final = 2.0
_FINE: Final = 0.05
# Widths of the openings, in units of the difference between the lags of the corners.
_WINDOWS: Final = (0.5, 1.0, 2.0, 4.0)
# The solver's error grows with all the rises and falls that it is given; it is stated for this many K.
_STATED_FOR_K: Final = 100.0
_IDEAL: Final = (Shape.SLAB, Shape.CYLINDER, Shape.SPHERE)


@dataclass(frozen=True)
class UncertainBody:
    """A bag whose sizes, properties and start are known within limits.

    `half_sizes_m` [m] as in :class:`haccp.conduction.Body`; `diffusivity` [m²/s];
    `conductivity` [W/(m K)]; `start_c` [°C], uniform.
    Errors: :class:`BodyError` if either corner is outside the validity of the equations.
    """

    shape: Shape
    half_sizes_m: tuple[Range, ...]
    diffusivity: Range
    conductivity: Range
    start_c: Range

    def __post_init__(self) -> None:
        for edge in (self.start_c.low, self.start_c.high):
            check_start(edge)
        _ = self.slow, self.fast

    @property
    def slow(self) -> Body:
        """The slow corner."""
        sizes = tuple(each.high for each in self.half_sizes_m)
        return Body(self.shape, sizes, self.diffusivity.low, self.conductivity.high)

    @property
    def best(self) -> Body:
        """The most likely body."""
        sizes = tuple(each.best for each in self.half_sizes_m)
        return Body(self.shape, sizes, self.diffusivity.best, self.conductivity.best)

    @property
    def fast(self) -> Body:
        """The fast corner."""
        sizes = tuple(each.low for each in self.half_sizes_m)
        return Body(self.shape, sizes, self.diffusivity.high, self.conductivity.low)


@dataclass(frozen=True)
class UncertainExposure:
    """A stay in one medium: its most likely, lowest and highest course, and its heat transfer [W/(m² K)].

    Each course is a pair (moments [s], °C), straight in between; all three span the same time.
    `steady`: the heat-transfer coefficient is unknown within its range but the same all the time.
    Errors: :class:`RangeError` for courses that are unusable, out of order or of different spans.
    """

    best: Knots
    lower: Knots
    upper: Knots
    heat_transfer: Range
    steady: bool = True

    def __post_init__(self) -> None:
        for name in ("best", "lower", "upper"):
            times, celsius = (np.asarray(each, dtype=np.float64) for each in getattr(self, name))
            check_knots(times, celsius, f"The {name} course of a medium")
            object.__setattr__(self, name, (times, celsius))
        spans = {(float(each[0][0]), float(each[0][-1])) for each in (self.best, self.lower, self.upper)}
        if len(spans) > 1:
            raise RangeError("The lowest, the likely and the highest course must span the same time.")
        if not self.heat_transfer.low > 0.0:
            raise RangeError("A heat-transfer coefficient must be positive.")

    @property
    def span_s(self) -> tuple[float, float]:
        """First and last moment [s]."""
        return float(self.best[0][0]), float(self.best[0][-1])


@dataclass(frozen=True)
class ProvenCurves:
    """Core and surface [°C] (n,) at `times_s` [s] (n,): most likely, and the bounds that hold."""

    times_s: FloatArray
    best_c: FloatArray
    low_c: FloatArray
    high_c: FloatArray
    surface_best_c: FloatArray
    surface_low_c: FloatArray
    surface_high_c: FloatArray
    basis: str


@dataclass(frozen=True)
class Proven:
    """A figure with the bounds that hold, and what they rest on."""

    low: float
    best: float
    high: float
    basis: str


def proven_curves(
    body: UncertainBody, exposures: Sequence[UncertainExposure], times_s: FloatArray | None = None
) -> ProvenCurves:
    """Bounds for core and surface at every moment, by the split bound.

    `times_s` [s] (n,): moments wanted; None for a grid of at most 60 s (300 s after 12 h of one stay)
    that has the corners of the likely course. On that grid the bounds hold for the straight
    line between two moments too.
    Errors: :class:`RangeError` as in :func:`haccp.conduction.core_curve`.
    Equations and validity: see the module.
    """
    check_joined([each.span_s for each in exposures])
    grids = [
        _filled(each, _quickness_s(body)) for each in grids_of([each.best[0] for each in exposures], times_s)
    ]
    order = body.best.quickest_first
    slow = [body.slow.in_medium(each.heat_transfer.low, order) for each in exposures]
    fast = [body.fast.in_medium(each.heat_transfer.high, order) for each in exposures]
    likely = [body.best.in_medium(each.heat_transfer.best, order) for each in exposures]

    lowest = [_minorant(grid, each.lower) for grid, each in zip(grids, exposures, strict=True)]
    highest = [
        _minorant(grid, (each.upper[0], -each.upper[1])) for grid, each in zip(grids, exposures, strict=True)
    ]
    spread = [float(steady_lag(a[0])[0] - steady_lag(b[0])[0]) for a, b in zip(slow, fast, strict=True)]
    windows = [_windows(grid, each) for grid, each in zip(grids, spread, strict=True)]
    sides = [
        _split([_courses(*each) for each in zip(courses, windows, strict=True)], start)
        for courses, start in ((lowest, body.start_c.low), (highest, -body.start_c.high))
    ]
    rises = [np.concatenate(each) for each in zip(*(side[0] for side in sides), strict=True)]
    falls = [np.concatenate(each) for each in zip(*(side[1] for side in sides), strict=True)]
    nothing = np.zeros(len(rises[0]))
    gained = join(respond(slow, grids, rises, nothing)) - join(respond(fast, grids, falls, nothing))
    gained -= (
        SOLVER_ERROR_K * np.maximum(1.0, (rises[-1][:, -1] + falls[-1][:, -1]) / _STATED_FOR_K)[:, None, None]
    )
    columns = len(sides[0][0][0])
    floors = [
        np.minimum.accumulate(np.minimum(join(courses), start)) - SOLVER_ERROR_K
        for courses, start in ((lowest, body.start_c.low), (highest, -body.start_c.high))
    ]
    times = join(grids)
    low = np.maximum((gained[:columns] + body.start_c.low).max(axis=0), floors[0])
    high = -np.maximum((gained[columns:] - body.start_c.high).max(axis=0), floors[1])
    low, high = low - _sag(times, low), high + _sag(times, -high)
    media = [np.interp(grid, *each.best)[np.newaxis] for grid, each in zip(grids, exposures, strict=True)]
    best = join(respond(likely, grids, media, np.array([body.start_c.best])))[0]
    if times_s is not None:
        at = nearest(times, times_s)
        times, low, best, high = np.asarray(times_s, dtype=np.float64), low[:, at], best[:, at], high[:, at]
    return ProvenCurves(times, best[0], low[0], high[0], best[1], low[1], high[1], SPLIT_BASIS)


def proven_equivalent_minutes(
    body: UncertainBody,
    exposures: Sequence[UncertainExposure],
    curves: ProvenCurves,
    *,
    reference_c: float,
    z_c: float,
    z_above_c: float | None = None,
) -> Proven:
    """Equivalent minutes at `reference_c` [°C] that the core certainly had, and at most had.

    `curves`: from :func:`proven_curves` for the same body and stays, on its own grid.
    `z_c` [K], `z_above_c` [K] above the reference. The log reduction is this over D (min).
    By the slow corner in the first medium, where its conditions hold, and the split bound's curve
    after it; by the split bound's curve alone otherwise; the better of the two counts.
    """

    def minutes(times: FloatArray, celsius: FloatArray) -> float:
        return lethal_minutes(times, celsius, reference_c=reference_c, z_c=z_c, z_above_c=z_above_c)

    best = minutes(curves.times_s, curves.best_c)
    low, high = minutes(curves.times_s, curves.low_c), minutes(curves.times_s, curves.high_c)
    # A smaller z above the reference makes the rate steeper there: still convex. A larger one does not.
    convex = z_above_c is None or z_above_c <= z_c
    if not (body.shape in _IDEAL and exposures[0].steady and convex):
        return Proven(low, best, high, SPLIT_BASIS)

    slow = body.slow.in_medium(exposures[0].heat_transfer.low)
    fast = body.fast.in_medium(exposures[0].heat_transfer.high)
    delay_min = float(steady_lag(slow[0])[0] - steady_lag(fast[0])[0]) / 60.0
    end = exposures[0].span_s[1]
    after = curves.times_s >= end
    grid = _filled(exposures[0].best[0], _quickness_s(body))
    basis = SPLIT_BASIS
    corners = []
    for axes, course, start, sign, tail in (
        (slow, exposures[0].lower, body.start_c.low, 1.0, curves.low_c),
        (fast, exposures[0].upper, body.start_c.high, -1.0, curves.high_c),
    ):
        medium = sign * _minorant(grid, (course[0], sign * course[1]))
        core = respond([axes], [grid], [medium[np.newaxis]], np.array([start]))[0][0, 0]
        core -= sign * (SOLVER_ERROR_K + _sag(grid, sign * core))
        warm = float(course[1].min()) < start
        z = z_c if start < reference_c or z_above_c is None else z_above_c
        rest = delay_min * 10.0 ** ((start - reference_c) / z) if warm else 0.0
        later = minutes(curves.times_s[after], tail[after]) if after.sum() > 1 else 0.0
        corners.append(max(0.0, minutes(grid, core) - sign * rest) + later)
    if corners[0] >= low:
        basis = CORNER_BASIS if len(exposures) == 1 else f"{CORNER_BASIS}; after it, {SPLIT_BASIS}"
    return Proven(max(low, corners[0]), best, min(high, corners[1]), basis)


def _quickness_s(body: UncertainBody) -> float:
    """How soon the quickest body answers a jump [s]: half-size squared over diffusivity and directions."""
    fast = body.fast
    sizes = zip(body.shape.directions, fast.half_sizes_m, strict=True)
    return min(half * half / (1.0 + beta) for beta, half in sizes) / fast.diffusivity_m2_s


def _filled(times_s: FloatArray, quickness_s: float) -> FloatArray:
    """`times_s` with moments put between them, so that no step is longer than the grid's.

    Just after a jump a small body bends within less than a minute; there the steps are finer.
    """
    bend_s, fine_s = _BEND * quickness_s, min(_STEP_S, _FINE * quickness_s)
    marks = times_s[0] + np.array([bend_s, _LATE_S])
    marks = marks[(marks < times_s[-1] - SAME_MOMENT_S) & np.array([fine_s < _STEP_S, True])]
    if marks.size:
        times_s = np.union1d(
            times_s, [each for each in marks if np.abs(times_s - each).min() > SAME_MOMENT_S]
        )
    since, steps = times_s[:-1] - times_s[0], np.diff(times_s)
    longest = np.where(since < bend_s - SAME_MOMENT_S, fine_s, _STEP_S)
    longest[since >= _LATE_S - SAME_MOMENT_S] = _LATE_STEP_S
    parts = np.ceil(steps / longest - 1e-9).astype(np.intp)
    if parts.max() <= 1:
        return times_s
    first = np.repeat(np.cumsum(parts) - parts, parts)
    share = (np.arange(parts.sum()) - first) / np.repeat(parts, parts)
    return np.append(np.repeat(times_s[:-1], parts) + share * np.repeat(steps, parts), times_s[-1])


def _minorant(grid_s: FloatArray, course: Knots) -> FloatArray:
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


def _windows(grid_s: FloatArray, spread_s: float) -> list[int]:
    """Half-widths of the openings, in steps of the grid."""
    step = (grid_s[-1] - grid_s[0]) / (grid_s.size - 1)
    return [min(grid_s.size, round(0.5 * each * spread_s / step)) for each in _WINDOWS]


def _courses(course: FloatArray, windows: list[int]) -> FloatArray:
    """Courses (columns, n) that are never above `course` (n,).

    Itself, its openings, and the highest one that never falls. A window in steps of the grid
    keeps an opening below its course at the moments of the grid whatever their spacing, and
    so between them, where the course is straight.
    """
    found = [course]
    for half in windows:
        size = 2 * half + 1
        eroded = minimum_filter1d(course, size, mode="nearest")
        found.append(maximum_filter1d(eroded, size, mode="nearest"))
    found.append(np.minimum.accumulate(course[::-1])[::-1])
    return np.stack(found)


def _split(courses: list[FloatArray], start: float) -> tuple[list[FloatArray], list[FloatArray]]:
    """All rises and all falls so far (columns, n) of each stay, the first jump from `start` included."""
    rises, falls = [], []
    before = np.full((len(courses[0]), 1), start)
    risen = fallen = np.zeros((len(courses[0]), 1))
    for course in courses:
        change = np.diff(course, prepend=before)
        rises.append(risen + np.cumsum(np.maximum(change, 0.0), axis=1))
        falls.append(fallen - np.cumsum(np.minimum(change, 0.0), axis=1))
        before, risen, fallen = course[:, -1:], rises[-1][:, -1:], falls[-1][:, -1:]
    return rises, falls


def _sag(times_s: FloatArray, celsius: FloatArray) -> FloatArray:
    """How far the chords of a curve (..., n) lie above it at most where it is hollow [K].

    A chord of length d lies d² T''/8 above a hollow curve; T'' from the neighbours.
    """
    steps = np.diff(times_s)
    hollow = np.zeros_like(celsius)
    slopes = np.diff(celsius) / steps
    hollow[..., 1:-1] = np.maximum(np.diff(slopes) * 2.0 / (steps[1:] + steps[:-1]), 0.0)
    cells = np.maximum(hollow[..., 1:], hollow[..., :-1]) * steps**2 / 8.0
    sag = np.zeros_like(celsius)
    sag[..., :-1] = cells
    sag[..., 1:] = np.maximum(sag[..., 1:], cells)
    return sag
