r"""A sharper bound for the core in one medium whose heat transfer is constant, though unknown.

With one direction and constant properties the core is the medium behind a chain of first-order lags,
one for each mode, with the rates lambda_1 < lambda_2 < … (the transform of the response has simple poles
only and no zeros). The slowest of them is exact from moment to moment of a grid, with
e = exp(−lambda_1 d) for a step of d,

    y(t + d) = y(t) + (1 − e) (z(t + d) − y(t))

where z is what is left: again a mean over the past of the medium, by all other lags and by the part
of the first that is shorter than d. Both grow shorter as any rate grows, so z obeys the split bound
of :mod:`haccp.bounds` with the response (Theta(t) − e Theta(t − d))/(1 − e) of the slow and the fast corner;
and y rises with z, and in 1 − e so long as z > y. So y is carried forward from its bound with the slow
corner's gain while z lies above it, and with the fast corner's while z lies below. A medium that swings
to and fro costs little then: the split bound pays for each swing in full, this one for what the rates
differ.

Our own derivation. Not for several directions, the surface, a change of medium, or a heat transfer that
moves: then the response is no such chain.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from haccp.courses import courses_below, split
from haccp.curves import FloatArray
from haccp.eigenmodes import modes
from haccp.response import Direction, carried, steady_lag
from haccp.runs import Part, Run, follow, moments

FIRST_LAG_BASIS: Final = (
    "the slowest lag of the core followed on its own while its medium was constant in kind"
)
# What is left has a short memory, so a few courses do: the medium, one opening, and one that never falls.
_WINDOWS: Final = (1.0,)
# A choice of gains that changes less than this changes nothing; the solver's own error is far greater.
_SETTLED_K: Final = 1e-9


def behind_first_lag(
    slow: Sequence[Direction],
    fast: Sequence[Direction],
    span_s: tuple[float, float],
    runs: Sequence[Run],
    edges_c: FloatArray,
    starts_c: FloatArray,
    near_c: FloatArray,
) -> FloatArray:
    """Lower bounds (bodies, edges, n) for the cores behind media that are never below `edges_c` (edges, n).

    `slow` and `fast`: each body's direction at its corners; `starts_c` (bodies, edges) the lowest start.
    `near_c` (bodies, edges, n) is a guess of the answer, which is found the sooner the nearer it is.
    `span_s`, `runs` as in :func:`haccp.runs.follow`, one stay. The solver's own error is not yet taken off.
    """
    grid = moments(*span_s, runs)
    steps = np.diff(grid)
    rates = [_first_rates(each) for each in (slow, fast)]
    spread = np.mean(
        [
            (steady_lag(a)[0] - 1.0 / first) - (steady_lag(b)[0] - 1.0 / second)
            for a, b, first, second in zip(slow, fast, *rates, strict=True)
        ]
    )
    courses = np.concatenate([courses_below(each, grid, float(spread), _WINDOWS) for each in edges_c])
    each_edge = len(_WINDOWS) + 2
    jumps = courses[:, 0] - np.repeat(starts_c, each_edge, axis=1)
    [rises], [falls] = split([courses])
    left = [np.exp(-np.multiply.outer(each, steps))[:, np.newaxis] for each in rates]
    rests: list[FloatArray] = []
    for corner, medium, excess, share in (
        (slow, courses[:, :1] + rises, -np.maximum(jumps, 0.0), left[0]),
        (fast, -falls, np.maximum(-jumps, 0.0), left[1]),
    ):
        axes = [[(each,) for each in corner]]
        core = follow([Part(axes, [medium], excess)], [span_s], [runs], surface=False)[:, :, 0]
        rests.append((core[:, :, 1:] - share * core[:, :, :-1]) / (1.0 - share))
    bodies, edges = starts_c.shape
    highest: FloatArray = np.reshape(rests[0] + rests[1], (bodies, edges, each_edge, -1)).max(axis=2)
    coldest = np.minimum.accumulate(np.minimum(edges_c, starts_c[:, :, np.newaxis]), axis=-1)[:, :, 1:]
    highest = np.maximum(highest, coldest)

    rows = (bodies * edges, -1)
    slow_gain, fast_gain = (np.broadcast_to(1.0 - each, highest.shape).reshape(rows) for each in left)
    answer = _carried_lowest(
        starts_c.ravel(), highest.reshape(rows), slow_gain, fast_gain, near_c.reshape(rows)
    )
    return answer.reshape(bodies, edges, -1)


def _carried_lowest(
    start_c: FloatArray,
    rest_c: FloatArray,
    slow_gain: FloatArray,
    fast_gain: FloatArray,
    near_c: FloatArray,
) -> FloatArray:
    """The lowest y (rows, n + 1) with y' = y + g (z − y), every step's g one of the two gains (rows, n).

    The lowest at each step is the slow gain's where z lies above y, else the fast one's. A choice for all
    steps is a linear recurrence; each choice made along the answer to the one before can only bring
    it down, so when it comes down no further it is the lowest there is.
    """

    def along(gain: FloatArray) -> FloatArray:
        given = np.concatenate([start_c[:, np.newaxis], gain * rest_c], axis=1)
        answer: FloatArray = carried(1.0 - gain, given[np.newaxis])[0]
        return answer

    above = rest_c > near_c[:, :-1]
    now: FloatArray = along(np.where(above, slow_gain, fast_gain))
    for _ in range(rest_c.shape[1] + 1):
        wanted = rest_c > now[:, :-1]
        if np.array_equal(wanted, above):
            break
        above, before = wanted, now
        now = along(np.where(above, slow_gain, fast_gain))
        if float((before - now).max()) <= _SETTLED_K:
            break
    return now


def _first_rates(directions: Sequence[Direction]) -> FloatArray:
    """The slowest rate of each body [1/s]."""
    biot = np.array([each.biot for each in directions])
    first = modes(directions[0].beta, biot, 1).roots[:, 0]
    rates: FloatArray = first * first / np.array([each.diffusion_s for each in directions])
    return rates
