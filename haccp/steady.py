r"""Bags of many thicknesses in one medium that does not change: when each core gets where, in closed form.

A body at one temperature T0 that comes into a steady medium B follows

    T(t) = B − (B − T0) Theta(t) ,    Theta = Π over directions of Σ_m A_m e^(−lambda_m t)

and Theta falls steadily from 1 to 0, so "when is the core at x" has one answer, found by halving.
The modes are those of :mod:`haccp.eigenmodes`, side by side for all thicknesses.

**Proven side.** Theta falls with diffusivity and heat transfer and rises with every dimension. In a
medium that is never colder than B (a bath at the lower edge of its band) a core that starts at or
above T0 < B is never below the core of the slowest body in a steady B. Likewise upside down for a chill,
and with the quickest body for "not earlier than". A start that is not even but lies on one side of T0
does not change that. Any shape.

Before a direction has taken part in two hundredths of its own time R²/alpha, its Theta is 1 to 1e-6.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from haccp.conduction import SOLVER_ERROR_K, Body, Shape
from haccp.curves import FloatArray
from haccp.eigenmodes import modes
from haccp.errors import BodyError, RangeError
from haccp.materials import Material
from haccp.ranges import Range

__all__ = ["Answer", "Piece", "answer", "minutes_between", "seconds_until"]

# Enough modes for a fiftieth of R²/alpha: e^(−(12 pi)²/50) is 4e-13.
_MODES: Final = 14
_EARLY: Final = 0.02
_HALVINGS: Final = 60


@dataclass(frozen=True)
class Piece:
    """What is bagged, all but its thickness.

    `start_c` [°C]: how cold to how warm it goes in; `tolerance_mm` [mm] on every size;
    `length_mm`, `width_mm` [mm], whole sizes, wanted by the finite shapes. `shape_number`: 0 to 2 in place
    of the shape's own, for squat shapes between slab (0), cylinder (1) and sphere (2).
    Errors: :class:`BodyError`.
    """

    shape: Shape
    diffusivity: Range
    conductivity: Range
    start_c: Range
    tolerance_mm: float = 0.0
    length_mm: float | None = None
    width_mm: float | None = None
    shape_number: float | None = None

    def __post_init__(self) -> None:
        others = len(self.shape.directions) - 1
        given = [each for each in (self.length_mm, self.width_mm)[:others] if each is not None]
        if len(given) != others:
            raise BodyError(f"A {self.shape} needs its length{' and width' if others > 1 else ''} in mm.")
        if not (math.isfinite(self.tolerance_mm) and self.tolerance_mm >= 0.0):
            raise BodyError("A tolerance is nothing or more; give it in mm.")
        if self.shape_number is not None and not (others == 0 and 0.0 <= self.shape_number <= 2.0):
            raise BodyError("A shape number from 0 to 2 is for shapes of one direction.")

    @classmethod
    def of(cls, shape: Shape, food: Material, start_c: Range, tolerance_mm: float = 0.0) -> Piece:
        """A piece of a food of ``data/materials.toml``; for finite shapes give the sizes yourself."""
        return cls(shape, food.diffusivity, food.conductivity, start_c, tolerance_mm)


@dataclass(frozen=True)
class Answer:
    """How the cores of n thicknesses answer: per direction its time R²/alpha [s] (n,) and its modes."""

    times_s: tuple[FloatArray, ...]
    rates: tuple[FloatArray, ...]
    weights: tuple[FloatArray, ...]

    def theta(self, at_s: FloatArray) -> FloatArray:
        """Theta [-] (n, k) at `at_s` [s] (n, k)."""
        whole = np.ones_like(at_s)
        for time, rates, weights in zip(self.times_s, self.rates, self.weights, strict=True):
            late = np.maximum(at_s, _EARLY * time[:, np.newaxis])
            own = np.einsum("nm,nmk->nk", weights, np.exp(-rates[:, :, np.newaxis] * late[:, np.newaxis, :]))
            whole *= np.where(at_s > late - 1e-9, np.minimum(own, 1.0), 1.0)
        return whole


def answer(piece: Piece, heat_transfer_w_m2k: Range, thickness_mm: npt.ArrayLike, *, slow: bool) -> Answer:
    """The slowest or the quickest answer of pieces of `thickness_mm` [mm] (n,) that is possible.

    Errors: :class:`BodyError` for a thickness outside what the equations cover.
    """
    thickness = np.atleast_1d(np.asarray(thickness_mm, dtype=np.float64))
    if thickness.ndim != 1 or thickness.size == 0 or not (thickness > 0.0).all():
        raise BodyError("Give thicknesses in mm, at least one, each above nothing.")
    edge = piece.tolerance_mm if slow else -piece.tolerance_mm
    alpha = piece.diffusivity.low if slow else piece.diffusivity.high
    conductivity = piece.conductivity.high if slow else piece.conductivity.low
    transfer = heat_transfer_w_m2k.low if slow else heat_transfer_w_m2k.high
    betas = piece.shape.directions if piece.shape_number is None else (piece.shape_number,)
    if not transfer > 0.0:
        raise RangeError("A heat-transfer coefficient must be positive.")
    others = [each for each in (piece.length_mm, piece.width_mm)[: len(betas) - 1] if each is not None]
    for edge_case in (float(thickness.min()), float(thickness.max())):
        sizes = tuple((each + edge) / 2000.0 for each in (edge_case, *others))
        Body(piece.shape, sizes, alpha, conductivity)
    times, rates, weights = [], [], []
    for beta, size in zip(
        betas, (thickness, *(np.full_like(thickness, each) for each in others)), strict=True
    ):
        half = (size + edge) / 2000.0
        time = half * half / alpha
        row = modes(beta, transfer * half / conductivity, _MODES)
        times.append(time)
        rates.append(row.roots**2 / time[:, np.newaxis])
        weights.append(row.core)
    return Answer(tuple(times), tuple(rates), tuple(weights))


def seconds_until(bags: Answer, share: npt.ArrayLike) -> FloatArray:
    """When Theta of each of n bags has fallen to `share` [-], a number or (n,): seconds (n,).

    0 for a share of 1 or more, infinite for 0 or less. Exact to 1e-12 of the time.
    """
    n = bags.times_s[0].size
    wanted = np.broadcast_to(np.asarray(share, dtype=np.float64), (n,))
    reachable = (wanted > 0.0) & (wanted < 1.0)
    target = np.where(reachable, wanted, 0.5)
    slowest = np.sum([each[:, 0] for each in bags.rates], axis=0)
    amplitude = np.prod([each[:, 0] for each in bags.weights], axis=0)
    # The slowest mode alone lies above Theta from the bend on; before it, the early end of the modes.
    bend = _EARLY * np.max(bags.times_s, axis=0)
    high = bend + np.maximum(np.log(amplitude / target), 0.0) / slowest
    low = np.zeros(n)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        above = bags.theta(middle[:, np.newaxis])[:, 0] > target
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return np.where(reachable, high, np.where(wanted <= 0.0, np.inf, 0.0))


def minutes_between(
    slow: Answer, quick: Answer, medium: Range, start_c: Range, from_c: float | None, to_c: float
) -> FloatArray:
    """The longest that cores can need from `from_c` to `to_c` [°C] in a steady medium: minutes (n,).

    Heating where `to_c` lies above the start, cooling where it lies below. `medium` and `start_c`
    [°C] are ranges. From the moment of going in where `from_c` is None or passed already.
    Infinite where the core need not get there.
    """
    warmer = to_c > start_c.best
    edge, away = (medium.low, start_c.low) if warmer else (medium.high, start_c.high)
    sign = 1.0 if warmer else -1.0
    gap = sign * (edge - away)
    if gap <= 0.0:
        return np.full(slow.times_s[0].size, np.inf)
    until = seconds_until(slow, (sign * (edge - to_c) - SOLVER_ERROR_K) / gap)
    if from_c is None:
        return until / 60.0
    far, near = (medium.high, start_c.high) if warmer else (medium.low, start_c.low)
    if sign * (far - near) <= 0.0:
        return until / 60.0
    since = seconds_until(quick, (sign * (far - from_c) + SOLVER_ERROR_K) / (sign * (far - near)))
    return np.maximum(until - since, 0.0) / 60.0
