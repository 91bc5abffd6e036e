r"""The temperature inside a body when it leaves one medium for the next.

Between media the body keeps its profile and changes its modes. The profile is a table of excesses
D over the medium, one for each product of modes (one axis of the table for each direction), and it
moves to the new modes direction by direction (:func:`haccp.eigenmodes.overlap`). Nothing is put on
a grid.

The excess at the end of a stay follows in closed form from the corners of the medium,

    D = D_0 E(t − t_0) − (s_last − sum_k Δs_k E(t − t_k)) / lambda ,   E(t) = e^(−lambda t)

with s the slope of the medium and Δs_k its change at t_k; E is a product over the directions, so
the sum is a matrix product.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haccp.curves import FloatArray
from haccp.eigenmodes import Modes, modes, overlap
from haccp.response import Direction

# Modes kept for each direction of a body with one, two or three of them: the first direction also
# carries the surface, which needs more. A single direction takes as many as its stay leaves alive.
_KEPT = {1: (64,), 2: (64, 40), 3: (40, 24, 24)}
_MOST_KEPT = 400
# A soft end of the series: a sharp one would ring at the centre in the first seconds after a change.
_SOFT_END, _SOFT_ORDER = 36.0, 12


@dataclass(frozen=True)
class Basis:
    """The modes of one body in one medium, with their decay rates [1/s] for each direction."""

    rows: tuple[Modes, ...]
    rates: tuple[FloatArray, ...]

    @classmethod
    def of(cls, axes: tuple[Direction, ...], stay_s: float) -> Basis:
        """Modes enough to hold a profile that has had, or will have, `stay_s` to smooth itself."""
        counts: tuple[int, ...] = _KEPT[len(axes)]
        if len(axes) == 1:
            counts = (min(_MOST_KEPT, max(counts[0], axes[0].modes_alive(stay_s))),)
        rows = tuple(modes(axis.beta, axis.biot, count) for axis, count in zip(axes, counts, strict=True))
        return cls(rows, tuple(row.roots**2 / axis.diffusion_s for axis, row in zip(axes, rows, strict=True)))

    @property
    def all_rates(self) -> FloatArray:
        """The rate of every product of modes [1/s], one axis for each direction."""
        total = self.rates[0]
        for own in self.rates[1:]:
            total = np.add.outer(total, own)
        return total

    def fading(self, after_s: float) -> FloatArray:
        """What is left of every product of modes `after_s` seconds later [-]."""
        total = np.exp(-self.rates[0] * after_s)
        for own in self.rates[1:]:
            total = np.multiply.outer(total, np.exp(-own * after_s))
        return total

    def from_old(self, old: Basis, excess_k: FloatArray) -> FloatArray:
        """A profile (columns, modes of each direction) in the modes of `old`, in those of this basis."""
        for axis, (was, now) in enumerate(zip(old.rows, self.rows, strict=True), start=1):
            excess_k = np.moveaxis(np.tensordot(overlap(was, now), excess_k, axes=(1, axis)), 0, axis)
        return excess_k

    def amplitudes(self) -> tuple[FloatArray, ...]:
        """Of centre and surface (2, m) in the first direction, of the centre (1, m) in the others [-]."""
        soft = [
            row.core * np.exp(-_SOFT_END * (np.arange(1, row.core.size + 1) / row.core.size) ** _SOFT_ORDER)
            for row in self.rows
        ]
        return (np.stack([soft[0], self.rows[0].surface]), *(each[np.newaxis] for each in soft[1:]))

    def read(self, excess_k: FloatArray, after_s: FloatArray) -> FloatArray:
        """What a profile (columns, modes ...) adds at centre and surface, `after_s` [s] (n,) later.

        Result: (columns, 2, n) in K.
        """
        weights = [
            amplitude[..., np.newaxis] * np.exp(np.multiply.outer(-rate, after_s))
            for amplitude, rate in zip(self.amplitudes(), self.rates, strict=True)
        ]
        return np.stack([_contract(each, weights) for each in excess_k])

    def at_end(self, times_s: FloatArray, medium_c: FloatArray, excess_k: FloatArray) -> FloatArray:
        """The excesses (columns, modes ...) at the last of `times_s` (n,) from those at the first.

        `medium_c` (columns, n) is straight between the times.
        """
        slopes = np.diff(medium_c) / np.diff(times_s)
        bends = np.diff(slopes, prepend=0.0)
        corners = np.flatnonzero(np.any(bends != 0.0, axis=0))
        left_s = times_s[-1] - times_s[corners]
        fading = [np.exp(np.multiply.outer(-rate, left_s)) for rate in self.rates]
        head = fading[0]
        for own in fading[1:-1]:
            head = (head[:, np.newaxis] * own).reshape(len(head) * len(own), corners.size)
        last = fading[-1] if len(fading) > 1 else np.ones((1, corners.size))
        shape = excess_k.shape[1:]
        memory = np.stack([((head * each) @ last.T).reshape(shape) for each in bends[:, corners]])
        tail = slopes[:, -1].reshape(-1, *(1,) * len(shape))
        ends: FloatArray = excess_k * self.fading(times_s[-1] - times_s[0]) - (tail - memory) / self.all_rates
        return ends


def _contract(excess_k: FloatArray, weights: list[FloatArray]) -> FloatArray:
    """Sum over all products of modes of one profile: (modes ...) with [(2 or 1, m, n) ...] to (2, n)."""
    table = excess_k
    for number, weight in enumerate(reversed(weights)):
        last = number == len(weights) - 1
        if number == 0:
            table = np.tensordot(table, weight if last else weight[0], axes=(-1, 1 if last else 0))
        else:
            table = (
                np.einsum("mn,smn->sn", table, weight)
                if last
                else np.einsum("...mn,mn->...n", table, weight[0])
            )
    return table
