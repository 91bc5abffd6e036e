r"""Several bodies behind several courses of a medium at once, on grids of equal steps.

A bound needs the slowest and the quickest body behind a dozen courses of the same bath, and a batch
needs that for each of its bags. So everything is laid out side by side: bodies, courses, centre and
surface. Time is cut into *runs* of equal steps, a run into blocks. Within a block each answer is a
matrix product (what a slope leaves behind depends on its age alone); from block to block and from run to
run only the excesses of the modes that are alive are carried (:mod:`haccp.response` has the equations).
A change of medium turns them into the modes of the new one (:func:`haccp.eigenmodes.overlap`).

Bodies with one direction only; :func:`follow` takes the others one by one through
:func:`haccp.conduction.respond`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final

import numpy as np

from haccp.conduction import join, respond
from haccp.curves import FloatArray
from haccp.eigenmodes import Modes, modes, overlap
from haccp.response import Direction, carried, steady_lag

# Longest step [s], and the one after a stay has lasted so long [s] that nothing moves quickly any more.
_STEP_S: Final = 60.0
_LATE_STEP_S: Final = 300.0
_LATE_S: Final = 12 * 3600.0
# Just after a jump: how long, and in which steps, in units of the body's own quickness.
_BEND: Final = 2.0
_FINE: Final = 0.05
_WIDTH: Final = 24
# Parts of a minute whose blocks come to whole minutes.
_PARTS: Final = (1, 2, 3, 4, 6, 8, 12, 24, 48, 96)
# The age of slope j at reading i of a block; −1 stands for a slope that is yet to come.
_AGES: Final = np.maximum(np.arange(_WIDTH) - np.arange(_WIDTH)[:, np.newaxis], -1)
# Modes that a profile is carried over with, at least and at most.
_KEPT: Final = 64
_MOST_KEPT: Final = 400
# A rest shorter than this is no step of its own [s].
_NO_STEP_S: Final = 1.0


@dataclass(frozen=True)
class Run:
    """`blocks` blocks of `width` steps of `step_s` [s] each."""

    step_s: float
    blocks: int
    width: int

    @property
    def count(self) -> int:
        """How many steps."""
        return self.blocks * self.width


def runs_of(span_s: float, quickness_s: float) -> tuple[Run, ...]:
    """Runs that fill a stay of `span_s` [s]: short steps just after its beginning, long ones late.

    `quickness_s` [s]: how soon the quickest body answers. The steps are whole parts of a minute for as long
    as they fit; what is left at the end is shared with the last of them.
    """
    finer = _STEP_S / (_FINE * quickness_s)
    parts = next((each for each in _PARTS if each >= finer), _PARTS[-1])
    fine_s = _STEP_S / parts
    whole_s = max(_STEP_S, fine_s * _WIDTH)
    bent_s = ceil(_BEND * quickness_s / whole_s) * whole_s if parts > 1 else 0.0
    runs: list[Run] = []
    done_s, longest = 0.0, fine_s
    for step, until_s in ((fine_s, bent_s), (_STEP_S, _LATE_S), (_LATE_STEP_S, np.inf)):
        blocks = int((min(until_s, span_s) - done_s) / (step * _WIDTH) + 1e-9)
        if blocks > 0:
            runs.append(Run(step, blocks, _WIDTH))
            done_s += blocks * step * _WIDTH
        if span_s > until_s:
            longest = _STEP_S if until_s == bent_s else _LATE_STEP_S
    left = span_s - done_s
    whole = int(left / longest + 1e-9)
    rest = left - whole * longest
    if whole == 0 and runs and rest <= _NO_STEP_S:
        runs[-1] = replace(runs[-1], step_s=runs[-1].step_s + rest / runs[-1].count)
    elif rest <= _NO_STEP_S and whole:
        runs.append(Run(left / whole, 1, whole))
    else:
        # The last whole step and the rest are shared out, so that none is very short.
        if whole > 1:
            runs.append(Run(longest, 1, whole - 1))
        last = rest + min(whole, 1) * longest
        runs.append(Run(last / (1 + min(whole, 1)), 1, 1 + min(whole, 1)))
    return tuple(runs)


def moments(start_s: float, end_s: float, runs: Sequence[Run]) -> FloatArray:
    """The moments [s] of a stay that is cut into these runs."""
    steps = np.repeat([each.step_s for each in runs], [each.count for each in runs])
    times = start_s + np.concatenate([[0.0], np.cumsum(steps)])
    times[-1] = end_s
    return times


def follow(
    axes: Sequence[Sequence[tuple[Direction, ...]]],
    spans_s: Sequence[tuple[float, float]],
    runs: Sequence[Sequence[Run]],
    media_c: Sequence[FloatArray],
    excess_k: FloatArray,
) -> FloatArray:
    """Centre and surface (bodies, courses, 2, n) of several bodies behind several courses of the media.

    For each stay: `axes` the directions of every body there, `spans_s` its beginning and end, `runs` how
    it is cut, and `media_c` the courses (courses, n). `excess_k` (bodies, courses) is by
    how much each body is above the medium at first. The moment that two stays share is
    counted once.
    """
    if len(axes[0][0]) > 1:
        grids = [moments(*span, own) for span, own in zip(spans_s, runs, strict=True)]
        begin = media_c[0][:, 0]
        return np.stack(
            [
                join(respond([each[body] for each in axes], grids, media_c, begin + excess))
                for body, excess in enumerate(excess_k)
            ]
        )
    shortest = min(end - start for start, end in spans_s)
    courses, parts = media_c[0].shape[0], []
    state, old = np.zeros(0), list[Modes]()
    for number, (bodies, cut, medium) in enumerate(zip(axes, runs, media_c, strict=True)):
        directions = [each[0] for each in bodies]
        table = _Table.of(directions, min(each.step_s for each in cut), shortest if len(axes) > 1 else None)
        if number == 0:
            state = np.broadcast_to(excess_k.T[:, :, np.newaxis], (courses, *table.rates.shape)).copy()
            first = (excess_k + medium[:, 0])[:, :, np.newaxis, np.newaxis]
            parts.append(np.broadcast_to(first, (len(bodies), courses, 2, 1)))
        else:
            turned = [
                state[:, at] @ overlap(was, now).T
                for at, (was, now) in enumerate(zip(old, table.rows, strict=True))
            ]
            jump = media_c[number - 1][:, -1] - medium[:, 0]
            state = np.stack(turned, axis=1) + jump[:, np.newaxis, np.newaxis]
        done = 0
        for run in cut:
            course = medium[:, done : done + run.count + 1]
            slopes = np.diff(course) / run.step_s
            answer = _run(table, run, slopes, state)
            answer += course[:, np.newaxis, 1:]
            parts.append(answer)
            done += run.count
        old = table.rows
    return np.concatenate(parts, axis=-1)


@dataclass(frozen=True)
class _Table:
    """Modes of several bodies in one medium: rates (b, p), weights (b, 2, p), steady lags (b, 2)."""

    directions: list[Direction]
    rows: list[Modes]
    rates: FloatArray
    weights: FloatArray
    lags_s: FloatArray

    @classmethod
    def of(cls, directions: list[Direction], step_s: float, carried_s: float | None) -> _Table:
        count = max(each.modes_alive(step_s) for each in directions)
        if carried_s is not None:
            alive = max(each.modes_alive(carried_s) for each in directions)
            count = max(count, min(_MOST_KEPT, max(_KEPT, alive)))
        row = modes(directions[0].beta, np.array([each.biot for each in directions]), count)
        rates = row.roots**2 / np.array([each.diffusion_s for each in directions])[:, np.newaxis]
        rows = [
            Modes(row.beta, *each) for each in zip(row.biot, row.roots, row.core, row.surface, strict=True)
        ]
        lags = np.stack([steady_lag(each) for each in directions])
        return cls(directions, rows, rates, np.stack([row.core, row.surface], axis=1), lags)


def _run(table: _Table, run: Run, slopes: FloatArray, state: FloatArray) -> FloatArray:
    """How far centre and surface are above the medium (bodies, courses, 2, n); `state` is carried on."""
    courses, width, blocks = len(slopes), run.width, run.blocks
    alive = min(table.rates.shape[1], max(each.modes_alive(run.step_s) for each in table.directions))
    rates, weights = table.rates[:, :alive], table.weights[:, :, :alive]
    bodies = len(rates)
    fading = np.exp(np.multiply.outer(rates * -run.step_s, np.arange(width + 1.0)))
    gain = (1.0 - fading[:, :, 1]) / rates
    reading = weights.transpose(0, 2, 1)[..., np.newaxis] * fading[:, :, np.newaxis, 1:]
    # What a slope of each age adds; the modes that are not alive follow at their steady lag.
    echo = np.zeros((bodies, 2, width + 1))
    np.matmul(weights * gain[:, np.newaxis], fading[:, :, :-1], out=echo[:, :, :-1])
    echo[:, :, 0] += table.lags_s - (weights / rates[:, np.newaxis]).sum(axis=2)
    echoes = echo.take(_AGES[:width, :width], axis=2).transpose(0, 2, 1, 3).reshape(bodies, width, -1)

    padded = slopes.reshape(courses * blocks, width)
    backwards = (fading[:, :, width - 1 :: -1] if width > 1 else fading[:, :, :1]) * gain[..., np.newaxis]
    left = np.matmul(padded, backwards.transpose(0, 2, 1)).reshape(bodies, courses, blocks, alive)
    excess = np.empty((courses, bodies, alive, blocks + 1))
    excess[..., 0] = state[:, :, :alive]
    np.negative(left.transpose(1, 0, 3, 2), out=excess[..., 1:])
    decay = fading[:, :, -1].reshape(-1, 1)
    excess = carried(decay, excess.reshape(courses, -1, blocks + 1)).reshape(excess.shape)
    state[:, :, :alive] = excess[..., -1]
    state[:, :, alive:] = slopes[:, -1, np.newaxis, np.newaxis] / -table.rates[:, alive:]
    begun = excess[..., :-1].transpose(1, 0, 3, 2).reshape(bodies, courses * blocks, alive)
    found = np.matmul(begun, reading.reshape(bodies, alive, -1))
    found -= np.matmul(padded, echoes)
    answer: FloatArray = (
        found.reshape(bodies, courses, blocks, 2, width)
        .transpose(0, 1, 3, 2, 4)
        .reshape(bodies, courses, 2, -1)
    )
    return answer
