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
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import ceil
from typing import Final

import numpy as np

from haccp.conduction import join, respond
from haccp.curves import FloatArray
from haccp.eigenmodes import Modes, overlap
from haccp.response import Directions

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
# What is left of a mode never falls below this, and an excess keeps a hair [K]: numbers so small that the
# processor has no full form for them are a hundred times slower, and neither shows.
_LEAST_LEFT: Final = 1e-35
_HAIR_K: Final = 1e-30
# Modes that a profile is carried over with, at least and at most.
_KEPT: Final = 64
_MOST_KEPT: Final = 400
# Tables kept: those of the corners of one batch's bodies, of which the slowest and the quickest are asked for
# twice.
_TABLES: Final = 16
# A rest shorter than this is no step of its own [s].
_NO_STEP_S: Final = 1.0

# An allocator gives what was freed back to the system at once, page by page and for a third of the time that
# all this takes, until a block of this many values was freed; from then on it keeps as much.
np.empty(4_000_000)


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


@dataclass(frozen=True)
class Part:
    """One share of what several bodies answer to.

    For each stay `axes` holds the bodies' directions there, and `media_c` the courses (courses, n).
    `excess_k` (bodies, courses) is by how much each body is above the medium at first.
    """

    axes: Sequence[tuple[Directions, ...]]
    media_c: Sequence[FloatArray]
    excess_k: FloatArray


def follow(
    parts: Sequence[Part],
    spans_s: Sequence[tuple[float, float]],
    runs: Sequence[Sequence[Run]],
    best_of: int = 1,
    *,
    surface: bool = True,
) -> FloatArray:
    """Centre and surface (bodies, courses / `best_of`, 2 or 1, n) of several bodies behind several courses.

    The answers to all `parts` are added up, and of each `best_of` courses that follow one another the highest
    counts at each moment. `spans_s` [s] is when each stay begins and ends, `runs` how it is cut. The
    moment that two stays share is counted once. Without `surface` the centre alone is followed.
    """
    if len(parts[0].axes[0]) > 1:
        return _one_by_one(parts, spans_s, runs, best_of)[:, :, : 1 + surface]
    shortest = min(end - start for start, end in spans_s) if len(spans_s) > 1 else None
    first = sum(each.excess_k + each.media_c[0][:, 0] for each in parts)
    bodies = len(parts[0].excess_k)
    begun = np.reshape(first, (bodies, -1, best_of)).max(axis=2)[:, :, np.newaxis, np.newaxis]
    found = [np.broadcast_to(begun, (*begun.shape[:2], 1 + surface, 1))]
    tables: list[_Table] = []
    states = [each.excess_k.T[:, :, np.newaxis] for each in parts]
    for stay, cut in enumerate(runs):
        before, tables = tables, []
        for number, part in enumerate(parts):
            [directions] = part.axes[stay]
            table = _table(directions, min(each.step_s for each in cut), shortest)
            tables.append(table)
            if stay:
                jump = part.media_c[stay - 1][:, -1] - part.media_c[stay][:, 0]
                carried_over = table.from_old(before[number], states[number])
                states[number] = carried_over + jump[:, np.newaxis, np.newaxis]
            else:
                states[number] = np.repeat(states[number], table.rates.shape[1], axis=2)
        done = 0
        for run in cut:
            reach = slice(done, done + run.count + 1)
            media = [each.media_c[stay][:, reach] for each in parts]
            found.append(_run(tables, run, media, states, best_of, 1 + surface))
            done += run.count
    return np.concatenate(found, axis=-1)


def _one_by_one(
    parts: Sequence[Part],
    spans_s: Sequence[tuple[float, float]],
    runs: Sequence[Sequence[Run]],
    best_of: int,
) -> FloatArray:
    grids = [moments(*span, own) for span, own in zip(spans_s, runs, strict=True)]
    bodies = []
    for body in range(len(parts[0].excess_k)):
        answer = sum(
            join(
                respond(
                    [tuple(each[body] for each in axes) for axes in part.axes],
                    grids,
                    part.media_c,
                    part.media_c[0][:, 0] + part.excess_k[body],
                )
            )
            for part in parts
        )
        courses, _, n = np.shape(answer)
        bodies.append(np.reshape(answer, (courses // best_of, best_of, 2, n)).max(axis=1))
    return np.stack(bodies)


@dataclass(frozen=True)
class _Answer:
    """What the modes of bodies in one medium do within a block of equal steps.

    `decay` (b, p): what the block leaves of an excess. `left` (b p, width): what its slopes leave at its end.
    `reading` (b, p, 2, width): the excesses at its beginning as they show at its readings; `echo`
    (b, width, 2, width): its slopes as they show there, the medium's own way since then included.
    """

    decay: FloatArray
    left: FloatArray
    reading: FloatArray
    echo: FloatArray


@dataclass(frozen=True)
class _Table:
    """Modes of bodies in one medium: rates (b, p), weights (b, 2, p), and steady lags (b, 2)."""

    directions: Directions
    row: Modes
    rates: FloatArray
    weights: FloatArray
    lags_s: FloatArray
    _answers: dict[tuple[float, int], _Answer] = field(default_factory=dict, init=False, repr=False)

    def from_old(self, old: _Table, state: FloatArray) -> FloatArray:
        """Excesses (courses, b, p) of the modes of another medium in the modes of this one."""
        turned = [
            state[:, body] @ overlap(old.row.of(body), self.row.of(body)).T for body in range(len(self.rates))
        ]
        return np.stack(turned, axis=1)

    def answer(self, step_s: float, width: int) -> _Answer:
        """What the modes that are alive after one step do within a block; found once."""
        if (step_s, width) not in self._answers:
            self._answers[step_s, width] = self._answer(step_s, width)
        return self._answers[step_s, width]

    def _answer(self, step_s: float, width: int) -> _Answer:
        alive = min(self.rates.shape[1], self.directions.modes_alive(step_s))
        rates, weights = self.rates[:, :alive], self.weights[:, :, :alive]
        fading = _powers(np.exp(rates * -step_s), width + 1)
        gain = (1.0 - fading[:, :, 1]) / rates
        # What a slope of each age leaves; the modes that are not alive follow at their steady lag.
        aged = np.zeros((len(rates), 2, width + 1))
        np.matmul(weights * gain[:, np.newaxis], fading[:, :, :-1], out=aged[:, :, :-1])
        aged[:, :, 0] += self.lags_s - (weights / rates[:, np.newaxis]).sum(axis=2)
        aged[:, :, :-1] -= step_s
        return _Answer(
            decay=fading[:, :, -1],
            left=(gain[..., np.newaxis] * fading[:, :, -2::-1]).reshape(-1, width),
            reading=weights.transpose(0, 2, 1)[..., np.newaxis] * fading[:, :, np.newaxis, 1:],
            echo=aged.take(_AGES[:width, :width], axis=2).transpose(0, 2, 1, 3),
        )


def _powers(base: FloatArray, count: int) -> FloatArray:
    """The powers 0 to `count` − 1 of what a step leaves (..., count), by doubling: quicker than many exp."""
    found = np.empty((*base.shape, count))
    found[..., 0] = 1.0
    known, power = 1, base
    while known < count:
        more = min(known, count - known)
        np.multiply(found[..., :more], power[..., np.newaxis], out=found[..., known : known + more])
        known, power = known + more, power * power
    return np.maximum(found, _LEAST_LEFT, out=found)


@lru_cache(maxsize=_TABLES)
def _table(directions: Directions, step_s: float, carried_s: float | None) -> _Table:
    """The modes that are alive after one step, and for a change of medium those that are at `carried_s`."""
    count = directions.modes_alive(step_s)
    if carried_s is not None:
        count = max(count, min(_MOST_KEPT, max(_KEPT, directions.modes_alive(carried_s))))
    row = directions.modes(count)
    rates = row.roots**2 / directions.diffusion_s[:, np.newaxis]
    return _Table(directions, row, rates, np.stack([row.core, row.surface], axis=1), directions.steady_lags())


def _run(
    tables: Sequence[_Table],
    run: Run,
    media_c: Sequence[FloatArray],
    states: Sequence[FloatArray],
    best_of: int,
    places: int,
) -> FloatArray:
    """Centre and surface (bodies, courses / `best_of`, places, n) along one run; `states` are carried on."""
    width, blocks = run.width, run.blocks
    bodies, courses = len(tables[0].rates), len(media_c[0])
    answers = [each.answer(run.step_s, width) for each in tables]
    modes_in_all = sum(each.decay.shape[1] for each in answers)
    # Block by block and course by course: what the modes and the medium stand at when it begins, and its
    # slopes; and, for each body, what these leave at the readings of the block.
    starts = np.empty((blocks, courses, bodies, modes_in_all + 1))
    reading = np.empty((bodies, modes_in_all + 1, places, width))
    slopes = np.empty((blocks * courses, len(tables), width))
    echo = np.empty((bodies, len(tables), width, places, width))
    at_start = np.add.reduce([each[:, : blocks * width : width] for each in media_c])
    starts[..., -1] = at_start.T[..., np.newaxis]
    reading[:, -1] = 1.0
    first = 0
    for number, (table, answer, medium, state) in enumerate(
        zip(tables, answers, media_c, states, strict=True)
    ):
        alive = answer.decay.shape[1]
        own = slice(first, first := first + alive)
        reading[:, own] = answer.reading[:, :, :places]
        echo[:, number] = answer.echo[:, :, :places]
        change = (medium[:, :-1] - medium[:, 1:]) / run.step_s
        change = change.reshape(courses, blocks, width).transpose(1, 0, 2).reshape(-1, width)
        slopes[:, number] = change
        # The slopes of a block leave most of what came last.
        left = change @ answer.left.T
        left += _HAIR_K
        left = left.reshape(blocks, courses, bodies, alive)
        now = state[:, :, :alive].copy()
        decay = np.repeat(answer.decay[np.newaxis], courses, axis=0)
        for block in range(blocks):
            starts[block, :, :, own] = now
            now *= decay
            now += left[block]
        state[:, :, :alive] = now
        state[:, :, alive:] = change[-courses:, -1, np.newaxis, np.newaxis] / table.rates[:, alive:]

    begun = starts.reshape(blocks * courses, bodies, -1).transpose(1, 0, 2)
    found = np.matmul(begun, reading.reshape(bodies, -1, places * width))
    found += np.matmul(slopes.reshape(len(slopes), -1), echo.reshape(bodies, -1, places * width))
    laid = found.reshape(bodies, blocks, courses // best_of, best_of, places, width)
    highest = laid[:, :, :, 0]
    for course in range(1, best_of):
        highest = np.maximum(highest, laid[:, :, :, course])
    laid_out: FloatArray = highest.transpose(0, 2, 3, 1, 4).reshape(bodies, courses // best_of, places, -1)
    return laid_out
