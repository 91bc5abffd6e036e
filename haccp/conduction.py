r"""Temperature at the centre and the surface of a bag in media that change with time.

Heat moves by conduction only, with one diffusivity alpha and one conductivity k, and passes the surface
through a heat-transfer coefficient h:

    T_t = alpha ∇²T ,    −k ∂T/∂n = h (T − T_medium(t))

The medium is a straight line between its readings. The problem is linear, so it is solved in the
body's own modes, each stepped exactly: no grid and no error of time steps (:mod:`haccp.eigenmodes`,
:mod:`haccp.response`). A change of medium carries the whole profile over to the new modes
(:mod:`haccp.profile`).

Covers: slab, long cylinder, sphere, finite cylinder, brick; uniform start; temperatures from −60 to
100 °C. Does not cover: freezing and thawing, properties that change with temperature, heat sources,
bags that float or are half sunk, and a coldest point that is not the centre.

Error of the solver itself: below 1e-4 °C (`SOLVER_ERROR_K`), tested against series and against a
method-of-lines solution.

The surface is the middle of the face that lies nearest to the centre.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Final

import numpy as np

from haccp.curves import FloatArray
from haccp.errors import BodyError, RangeError
from haccp.profile import Basis
from haccp.readings import SAME_MOMENT_S
from haccp.response import Direction, lags_of, march

SOLVER_ERROR_K: Final = 1e-4
LOWEST_C: Final = -60.0
HIGHEST_C: Final = 100.0
# Half-sizes that the equations are used for: a leaf of 1 mm to a joint of 600 mm, the smallest at most 200.
_HALF_SIZES_M: Final = (0.0005, 0.3)
_LARGEST_HALF_THICKNESS_M: Final = 0.2
_DIFFUSIVITIES: Final = (1e-9, 1e-3)
_CONDUCTIVITIES: Final = (1e-3, 1e3)
_HEAT_TRANSFERS: Final = (0.1, 1e5)


class Shape(StrEnum):
    """The shapes that a bag can be taken as."""

    SLAB = "slab"
    CYLINDER = "cylinder"
    SPHERE = "sphere"
    FINITE_CYLINDER = "finite cylinder"
    BRICK = "brick"

    @property
    def directions(self) -> tuple[float, ...]:
        """The shape number of each direction: 0 slab, 1 cylinder, 2 sphere."""
        return _DIRECTIONS[self]


_DIRECTIONS: Final = {
    Shape.SLAB: (0.0,),
    Shape.CYLINDER: (1.0,),
    Shape.SPHERE: (2.0,),
    Shape.FINITE_CYLINDER: (1.0, 0.0),
    Shape.BRICK: (0.0, 0.0, 0.0),
}


def check_between(value: float, limits: tuple[float, float], what: str, unit: str) -> None:
    """Raise :class:`BodyError` unless `value` is a number within `limits`."""
    low, high = limits
    # A NaN fails every comparison.
    if not low <= value <= high:
        raise BodyError(f"{what} must lie between {low:g} and {high:g} {unit}; {value:g} does not.")


@dataclass(frozen=True)
class Body:
    """A bag as the equations see it.

    `half_sizes_m` [m]: half-thickness of a slab; radius of a cylinder or sphere; radius and
    half-length of a finite cylinder; the three half-sizes of a brick, in any order.
    `diffusivity_m2_s` [m²/s], `conductivity_w_mk` [W/(m K)].
    Errors: :class:`BodyError` outside the ranges that the equations are used for.
    """

    shape: Shape
    half_sizes_m: tuple[float, ...]
    diffusivity_m2_s: float
    conductivity_w_mk: float

    def __post_init__(self) -> None:
        wanted = len(_DIRECTIONS[self.shape])
        if len(self.half_sizes_m) != wanted:
            raise BodyError(f"A {self.shape} needs {wanted} half-size(s); {len(self.half_sizes_m)} given.")
        for half in self.half_sizes_m:
            check_between(half, _HALF_SIZES_M, "A half-size", "m")
        check_between(min(self.half_sizes_m), (0.0, _LARGEST_HALF_THICKNESS_M), "The smallest half-size", "m")
        check_between(self.diffusivity_m2_s, _DIFFUSIVITIES, "Thermal diffusivity", "m²/s")
        check_between(self.conductivity_w_mk, _CONDUCTIVITIES, "Thermal conductivity", "W/(m K)")

    @property
    def quickest_first(self) -> tuple[int, ...]:
        """The directions in the order in which heat comes through them; the surface lies across the first."""
        if len(self.half_sizes_m) == 1:
            return (0,)
        quickness = [
            half * half / (1.0 + beta)
            for beta, half in zip(self.shape.directions, self.half_sizes_m, strict=True)
        ]
        return tuple(sorted(range(len(quickness)), key=quickness.__getitem__))

    def in_medium(
        self, heat_transfer_w_m2k: float, order: tuple[int, ...] | None = None
    ) -> tuple[Direction, ...]:
        """The body's directions in a medium with this heat-transfer coefficient, the surface's first."""
        betas = self.shape.directions
        return tuple(
            Direction(
                betas[which],
                self.half_sizes_m[which] ** 2 / self.diffusivity_m2_s,
                heat_transfer_w_m2k * self.half_sizes_m[which] / self.conductivity_w_mk,
            )
            for which in (self.quickest_first if order is None else order)
        )


@dataclass(frozen=True)
class Exposure:
    """A stay in one medium: its temperature and its heat-transfer coefficient.

    `medium_c` [°C] (n,) is straight between `times_s` [s] (n,); `heat_transfer_w_m2k` [W/(m² K)].
    Errors: :class:`RangeError` for fewer than two moments, moments out of order, values that are
    not numbers, a medium outside −60 to 100 °C, or a coefficient that is not positive.
    """

    times_s: FloatArray
    medium_c: FloatArray
    heat_transfer_w_m2k: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "times_s", np.asarray(self.times_s, dtype=np.float64))
        object.__setattr__(self, "medium_c", np.asarray(self.medium_c, dtype=np.float64))
        check_knots(self.times_s, self.medium_c, "A medium")
        check_heat_transfer(self.heat_transfer_w_m2k)


@dataclass(frozen=True)
class CoreCurve:
    """Centre and surface [°C] (n,) at `times_s` [s] (n,)."""

    times_s: FloatArray
    core_c: FloatArray
    surface_c: FloatArray


def check_knots(times_s: FloatArray, celsius: FloatArray, what: str) -> None:
    """Raise :class:`RangeError` unless this is a usable piecewise linear temperature."""
    if times_s.ndim != 1 or times_s.size < 2 or times_s.shape != celsius.shape:
        raise RangeError(f"{what} needs a temperature for each of at least two moments.")
    # One pass each: a NaN fails every comparison, so it can't slip through.
    steps = times_s[1:] - times_s[:-1]
    if not steps.min() > 0.5 * SAME_MOMENT_S or not math.isfinite(times_s[-1] - times_s[0]):
        raise RangeError(f"{what} needs moments that rise; sort the readings and count duplicates once.")
    if not (celsius.min() >= LOWEST_C and celsius.max() <= HIGHEST_C):
        raise RangeError(
            f"{what} must stay between {LOWEST_C:g} and {HIGHEST_C:g} °C; look for a wrong unit."
        )


def check_heat_transfer(value: float) -> None:
    """Raise :class:`RangeError` unless `value` is a heat-transfer coefficient [W/(m² K)]."""
    low, high = _HEAT_TRANSFERS
    if not low <= value <= high:
        raise RangeError(
            f"A heat-transfer coefficient lies between {low:g} and {high:g} W/(m² K); {value:g} does not."
        )


def check_start(start_c: float) -> None:
    """Raise :class:`RangeError` unless `start_c` is a temperature that a bag can start from."""
    if not LOWEST_C <= start_c <= HIGHEST_C:
        raise RangeError(f"A start must lie between {LOWEST_C:g} and {HIGHEST_C:g} °C; {start_c:g} does not.")


def check_joined(spans: Sequence[tuple[float, float]]) -> None:
    """Raise :class:`RangeError` unless there is a stay and each begins where the one before ends."""
    if not spans:
        raise RangeError("Give at least one medium that the bag was in.")
    for (_, end), (begin, _) in pairwise(spans):
        if abs(begin - end) > SAME_MOMENT_S:
            raise RangeError(
                f"A medium begins {begin - end:+g} s after the one before ended; they must join."
            )


def grids_of(knots_s: Sequence[FloatArray], times_s: FloatArray | None) -> list[FloatArray]:
    """For each stay the moments to step to: its own corners and those of `times_s` inside it."""
    if times_s is None:
        return list(knots_s)
    wanted = np.asarray(times_s, dtype=np.float64)
    if wanted.ndim != 1 or wanted.size == 0 or not (np.diff(wanted) > 0.0).all():
        raise RangeError("Ask for moments that rise.")
    if not (wanted[0] >= knots_s[0][0] and wanted[-1] <= knots_s[-1][-1]):
        raise RangeError("Ask only for moments between the first and the last one of the media.")
    grids = []
    for own in knots_s:
        inside = wanted[(wanted > own[0]) & (wanted < own[-1])]
        both = np.union1d(own, inside)
        # A moment that all but falls on a corner is that corner.
        grids.append(both[np.concatenate([[True], np.diff(both) >= SAME_MOMENT_S])])
    return grids


def respond(
    axes: Sequence[tuple[Direction, ...]],
    grids_s: Sequence[FloatArray],
    media_c: Sequence[FloatArray],
    start_c: FloatArray,
) -> list[FloatArray]:
    """Centre and surface for several courses of the media at once.

    One entry a stay: the body's directions there, the moments (n,), the medium (columns, n).
    `start_c` (columns,) is the uniform start. Result: (columns, 2, n) for each stay, °C.
    """
    answers: list[FloatArray] = []
    basis: Basis | None = None
    profile = np.zeros(0)
    excess = start_c - media_c[0][:, 0]
    for number, (now, times, medium) in enumerate(zip(axes, grids_s, media_c, strict=True)):
        steps = times[1:] - times[:-1]
        answer = march(lags_of(now, float(steps.min())), times, medium, excess, steps)
        more = number + 1 < len(grids_s)
        if number or more:
            stays = grids_s[max(0, number - 1) : number + 1]
            new = Basis.of(now, min(float(each[-1] - each[0]) for each in stays))
            if basis is None:
                profile = np.zeros((excess.size, *(row.roots.size for row in new.rows)))
            else:
                profile = new.from_old(basis, profile)
                answer[:, :, 1:] += new.read(profile, times[1:] - times[0])
                answer[:, :, 0] = answers[-1][:, :, -1]
            basis = new
        if more and basis is not None:
            whole = profile + excess.reshape(-1, *(1,) * (profile.ndim - 1))
            profile = basis.at_end(times, medium, whole)
            excess = medium[:, -1] - media_c[number + 1][:, 0]
        answers.append(answer)
    return answers


def join(parts: Sequence[FloatArray]) -> FloatArray:
    """Stays one after the other, along the last axis, the shared moment counted once."""
    return np.concatenate([parts[0], *(part[..., 1:] for part in parts[1:])], axis=-1)


def core_curve(
    body: Body, exposures: Sequence[Exposure], start_c: float, times_s: FloatArray | None = None
) -> CoreCurve:
    """Centre and surface of a bag that starts at `start_c` [°C] throughout and goes through `exposures`.

    `times_s` [s] (n,): moments wanted; None for every corner of the media.
    Errors: :class:`RangeError` for stays that do not join, a start outside −60 to 100 °C, or
    moments outside the stays. Equation, validity and error: see the module.
    """
    check_joined([(float(each.times_s[0]), float(each.times_s[-1])) for each in exposures])
    check_start(start_c)
    grids = grids_of([each.times_s for each in exposures], times_s)
    media = [
        each.medium_c[np.newaxis]
        if grid is each.times_s
        else np.interp(grid, each.times_s, each.medium_c)[np.newaxis]
        for each, grid in zip(exposures, grids, strict=True)
    ]
    axes = [body.in_medium(each.heat_transfer_w_m2k) for each in exposures]
    answers = respond(axes, grids, media, np.array([start_c]))
    times, values = (grids[0], answers[0][0]) if len(grids) == 1 else (join(grids), join(answers)[0])
    if times_s is not None:
        at = nearest(times, times_s)
        times, values = np.asarray(times_s, dtype=np.float64), values[:, at]
    return CoreCurve(times, values[0], values[1])


def nearest(grid_s: FloatArray, times_s: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """For each of `times_s` the index of the moment of `grid_s` that it was stepped to."""
    after = np.searchsorted(grid_s, times_s).clip(1, grid_s.size - 1)
    return np.where(times_s - grid_s[after - 1] < grid_s[after] - times_s, after - 1, after)
