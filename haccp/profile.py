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

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from haccp.curves import FloatArray
from haccp.eigenmodes import Modes, modes, overlap
from haccp.response import Direction

# Modes kept for each direction of a body with one, two or three of them: the first direction also
# carries the surface, which needs more. A single direction takes as many as its stay leaves alive.
_KEPT = {1: (64,), 2: (64, 40), 3: (40, 24, 24)}
_MOST_KEPT = 400
# Old corners of a medium, and late moments, need few modes: these ages part them [s], and e^(−36) is nothing.
_AGES_S = (30.0, 120.0, 480.0, 1920.0, 7680.0)
_GONE = 36.0
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
        """What a profile (columns, modes ...) adds at centre and surface, `after_s` [s] (n,), rising, later.

        Result: (columns, 2, n) in K.
        """
        added = np.zeros((len(excess_k), 2, after_s.size))
        amplitudes = self.amplitudes()
        for start, stop, counts in self._while_alive(after_s):
            weights = [
                amplitude[:, :count, np.newaxis]
                * np.exp(np.multiply.outer(-rate[:count], after_s[start:stop]))
                for amplitude, rate, count in zip(amplitudes, self.rates, counts, strict=True)
            ]
            alive = (slice(None), *(slice(count) for count in counts))
            added[:, :, start:stop] = [_contract(each, weights) for each in excess_k[alive]]
        return added

    def at_end(self, times_s: FloatArray, medium_c: FloatArray, excess_k: FloatArray) -> FloatArray:
        """The excesses (columns, modes ...) at the last of `times_s` (n,) from those at the first.

        `medium_c` (columns, n) is straight between the times.
        """
        slopes = np.diff(medium_c) / np.diff(times_s)
        bends = np.diff(slopes, prepend=0.0)
        corners = np.flatnonzero(np.any(bends != 0.0, axis=0))[::-1]
        ages_s, bends = times_s[-1] - times_s[corners], bends[:, corners]
        memory = np.zeros_like(excess_k)
        for start, stop, counts in self._while_alive(ages_s):
            fading = [
                np.exp(np.multiply.outer(-rate[:count], ages_s[start:stop]))
                for rate, count in zip(self.rates, counts, strict=True)
            ]
            head = fading[0]
            for own in fading[1:-1]:
                head = (head[:, np.newaxis] * own).reshape(len(head) * len(own), -1)
            last = fading[-1] if len(fading) > 1 else np.ones((1, stop - start))
            alive = (slice(None), *(slice(count) for count in counts))
            memory[alive] += np.stack(
                [((head * each) @ last.T).reshape(counts) for each in bends[:, start:stop]]
            )
        tail = slopes[:, -1].reshape(-1, *(1,) * len(self.rates))
        ends: FloatArray = excess_k * self.fading(times_s[-1] - times_s[0]) - (tail - memory) / self.all_rates
        return ends

    def _while_alive(self, ages_s: FloatArray) -> Iterator[tuple[int, int, tuple[int, ...]]]:
        """Stretches (start, stop) of rising ages, and how many modes of each direction are not dead there."""
        edges = np.unique([0, *np.searchsorted(ages_s, _AGES_S), ages_s.size])
        for start, stop in pairwise(edges.tolist()):
            youngest = max(float(ages_s[start]), 1e-9)
            counts = (max(1, int(np.searchsorted(rate, _GONE / youngest))) for rate in self.rates)
            yield start, stop, tuple(counts)


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
