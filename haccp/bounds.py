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

**First lag** (slab, cylinder, sphere; the first medium; heat transfer constant though unknown): sharper
for the core where the medium swings (:mod:`haccp.firstlag`); the better of both counts.

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
from functools import cached_property
from typing import Final

import numpy as np

from haccp.conduction import (
    SOLVER_ERROR_K,
    Body,
    Shape,
    check_joined,
    check_knots,
    check_start,
    join,
    respond,
)
from haccp.courses import COURSES, courses_below, likely, minorant, sag, split
from haccp.curves import FloatArray
from haccp.errors import RangeError
from haccp.firstlag import FIRST_LAG_BASIS, behind_first_lag
from haccp.lethality import lethal_minutes
from haccp.ranges import Range
from haccp.readings import SAME_MOMENT_S, Knots
from haccp.response import Directions, steady_lag
from haccp.runs import Part, follow, moments, runs_of

SPLIT_BASIS: Final = (
    "split bound: rises of the medium through the slowest body, falls through the quickest, "
    "best of several openings of the medium"
)
CORNER_BASIS: Final = (
    "slow corner: in one medium with a constant heat transfer the slowest body has the least lethality"
)
# Corners of a medium that are all taken into the grid of a single curve.
_MOST_CORNERS: Final = 2000
# Bags followed side by side, so that the tables stay in the cache.
_TOGETHER: Final = 32
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

    @cached_property
    def slow(self) -> Body:
        """The slow corner."""
        sizes = tuple(each.high for each in self.half_sizes_m)
        return Body(self.shape, sizes, self.diffusivity.low, self.conductivity.high)

    @cached_property
    def best(self) -> Body:
        """The most likely body."""
        sizes = tuple(each.best for each in self.half_sizes_m)
        return Body(self.shape, sizes, self.diffusivity.best, self.conductivity.best)

    @cached_property
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

    `times_s` [s] (n,): moments wanted; None for the bound's own grid of at most 60 s (300 s after 12 h
    of one stay). On that grid the bounds hold for the straight line between two moments too.
    Errors: :class:`RangeError` as in :func:`haccp.conduction.core_curve`.
    Equations and validity: see the module.
    """
    [curves] = proven_curves_of_many([body], exposures)
    if times_s is None:
        return curves
    wanted = np.asarray(times_s, dtype=np.float64)
    if wanted.ndim != 1 or wanted.size == 0 or not (np.diff(wanted) > 0.0).all():
        raise RangeError("Ask for moments that rise.")
    if not curves.times_s[0] <= wanted[0] <= wanted[-1] <= curves.times_s[-1]:
        raise RangeError("Ask only for moments between the first and the last one of the media.")

    def at(values: FloatArray) -> FloatArray:
        return np.interp(wanted, curves.times_s, values)

    return ProvenCurves(
        times_s=wanted,
        best_c=at(curves.best_c),
        low_c=at(curves.low_c),
        high_c=at(curves.high_c),
        surface_best_c=at(curves.surface_best_c),
        surface_low_c=at(curves.surface_low_c),
        surface_high_c=at(curves.surface_high_c),
        basis=curves.basis,
    )


def proven_curves_of_many(
    bodies: Sequence[UncertainBody], exposures: Sequence[UncertainExposure]
) -> list[ProvenCurves]:
    """The same for several bags that went through the same stays, as the bags of a batch do.

    They share the media, so openings, rises and falls are made once, and all bodies of one shape are
    followed side by side. The grid is that of the quickest of them.
    Errors: as :func:`proven_curves`.
    """
    check_joined([each.span_s for each in exposures])
    found: dict[int, ProvenCurves] = {}
    for shape in dict.fromkeys(each.shape for each in bodies):
        which = [number for number, each in enumerate(bodies) if each.shape == shape]
        for start in range(0, len(which), _TOGETHER):
            part = which[start : start + _TOGETHER]
            alike = _of_one_shape([bodies[number] for number in part], exposures)
            found |= dict(zip(part, alike, strict=True))
    return [found[number] for number in range(len(bodies))]


def _of_one_shape(
    bodies: Sequence[UncertainBody], exposures: Sequence[UncertainExposure]
) -> list[ProvenCurves]:
    quickness = min(_quickness_s(each) for each in bodies)
    spans = [each.span_s for each in exposures]
    runs = [runs_of(end - start, quickness) for start, end in spans]
    grids = [moments(*span, own) for span, own in zip(spans, runs, strict=True)]
    one_way = len(bodies[0].half_sizes_m) == 1
    orders = [(0,) if one_way else each.best.quickest_first for each in bodies]
    slow, best, fast = (
        [_directions(corner, orders, getattr(each.heat_transfer, edge)) for each in exposures]
        for corner, edge in (
            ([each.slow for each in bodies], "low"),
            ([each.best for each in bodies], "best"),
            ([each.fast for each in bodies], "high"),
        )
    )
    spreads = [
        float(np.mean(a[0].steady_lags()[:, 0] - b[0].steady_lags()[:, 0]))
        for a, b in zip(slow, fast, strict=True)
    ]
    # The lowest courses of the media, and below them the highest ones upside down.
    edges = [
        np.stack([minorant(grid, each.lower), minorant(grid, (each.upper[0], -each.upper[1]))])
        for grid, each in zip(grids, exposures, strict=True)
    ]
    courses = [
        np.concatenate([courses_below(each, grid, spread) for each in own])
        for own, grid, spread in zip(edges, grids, spreads, strict=True)
    ]
    starts = np.array([[each.start_c.low, -each.start_c.high] for each in bodies])
    jumps = courses[0][:, 0] - np.repeat(starts, COURSES, axis=1)
    rises, falls = split(courses)
    # The core behind T0 + U − V: rises through the slowest body, falls, as a medium that sinks, through
    # the quickest.
    above = courses[0][:, :1]
    parts = [
        Part(slow, [above + each for each in rises], -np.maximum(jumps, 0.0)),
        Part(fast, [-each for each in falls], np.maximum(-jumps, 0.0)),
    ]
    sides = follow(parts, spans, runs, best_of=COURSES)
    moved = (rises[-1][:, -1] + falls[-1][:, -1] + np.abs(jumps)).reshape(len(bodies), 2, COURSES).max(axis=2)
    sides -= (SOLVER_ERROR_K * np.maximum(1.0, moved / _STATED_FOR_K))[:, :, np.newaxis, np.newaxis]
    basis = SPLIT_BASIS
    if bodies[0].shape in _IDEAL and exposures[0].steady:
        basis = f"{SPLIT_BASIS}; {FIRST_LAG_BASIS}"
        # The better of both while the bag is in its first medium.
        inside = sides[:, :, 0, : grids[0].size]
        first = behind_first_lag(slow[0][0], fast[0][0], spans[0], runs[0], edges[0], starts, inside)
        error = SOLVER_ERROR_K * np.maximum(1.0, moved / _STATED_FOR_K)[:, :, np.newaxis]
        np.maximum(inside, first - error, out=inside)
    floors = np.minimum(np.minimum.accumulate(join(edges), axis=-1), starts[:, :, np.newaxis])
    np.maximum(sides, (floors - SOLVER_ERROR_K)[:, :, np.newaxis], out=sides)
    times = join(grids)
    sides -= sag(times, sides)

    media = [likely(grid, each.best)[np.newaxis] for grid, each in zip(grids, exposures, strict=True)]
    begin = np.array([[each.start_c.best] for each in bodies]) - media[0][:, 0]
    likeliest = follow([Part(best, media, begin)], spans, runs)[:, 0]
    # A mean around a moment may lie a hair outside what the moment itself allows.
    likeliest = np.clip(likeliest, sides[:, 0], -sides[:, 1])
    return [
        ProvenCurves(times, own[0], low[0], -high[0], own[1], low[1], -high[1], basis)
        for own, (low, high) in zip(likeliest, sides, strict=True)
    ]


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
        return Proven(low, best, high, curves.basis)

    slow = body.slow.in_medium(exposures[0].heat_transfer.low)
    fast = body.fast.in_medium(exposures[0].heat_transfer.high)
    delay_min = float(steady_lag(slow[0])[0] - steady_lag(fast[0])[0]) / 60.0
    end = exposures[0].span_s[1]
    after = curves.times_s >= end
    grid = _first_grid(body, exposures[0])
    basis = curves.basis
    corners = []
    for axes, course, start, sign, tail in (
        (slow, exposures[0].lower, body.start_c.low, 1.0, curves.low_c),
        (fast, exposures[0].upper, body.start_c.high, -1.0, curves.high_c),
    ):
        medium = sign * minorant(grid, (course[0], sign * course[1]))
        core = respond([axes], [grid], [medium[np.newaxis]], np.array([start]))[0][0, 0]
        core -= sign * (SOLVER_ERROR_K + sag(grid, sign * core))
        warm = float(course[1].min()) < start
        z = z_c if start < reference_c or z_above_c is None else z_above_c
        rest = delay_min * 10.0 ** ((start - reference_c) / z) if warm else 0.0
        later = minutes(curves.times_s[after], tail[after]) if after.sum() > 1 else 0.0
        corners.append(max(0.0, minutes(grid, core) - sign * rest) + later)
    if corners[0] >= low:
        basis = CORNER_BASIS if len(exposures) == 1 else f"{CORNER_BASIS}; after it, {SPLIT_BASIS}"
    return Proven(max(low, corners[0]), best, min(high, corners[1]), basis)


def _directions(
    bodies: Sequence[Body], orders: Sequence[tuple[int, ...]], heat_transfer_w_m2k: float
) -> tuple[Directions, ...]:
    """The directions of bodies of one shape in a medium, each body's in its own order."""
    betas = bodies[0].shape.directions
    alpha, k = np.array([(each.diffusivity_m2_s, each.conductivity_w_mk) for each in bodies]).T
    found = []
    for place in range(len(betas)):
        half = np.array([each.half_sizes_m[order[place]] for each, order in zip(bodies, orders, strict=True)])
        found.append(Directions(betas[orders[0][place]], half * half / alpha, heat_transfer_w_m2k * half / k))
    return tuple(found)


def _quickness_s(body: UncertainBody) -> float:
    """How soon the quickest body answers a jump [s]: half-size squared over diffusivity and directions."""
    fast = body.fast
    sizes = zip(body.shape.directions, fast.half_sizes_m, strict=True)
    return min(half * half / (1.0 + beta) for beta, half in sizes) / fast.diffusivity_m2_s


def _first_grid(body: UncertainBody, stay: UncertainExposure) -> FloatArray:
    """The grid of a stay, with the corners of its edges where they are not too many."""
    start, end = stay.span_s
    grid = moments(start, end, runs_of(end - start, _quickness_s(body)))
    corners = np.concatenate([stay.lower[0], stay.upper[0]])
    if corners.size > _MOST_CORNERS:
        return grid
    both = np.union1d(grid[1:-1], corners[(corners > start) & (corners < end)])
    both = both[np.diff(both, prepend=start) > SAME_MOMENT_S]
    return np.concatenate([[start], both[end - both > SAME_MOMENT_S], [end]])
