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
from numpy.typing import NDArray

from haccp.courses import courses_below, split
from haccp.curves import FloatArray
from haccp.response import Directions, carried
from haccp.runs import Part, Run, follow, moments

FIRST_LAG_BASIS: Final = (
    "the slowest lag of the core followed on its own while its medium was constant in kind"
)
# What is left has a short memory, so a few courses do: the medium, one opening, and one that never falls.
_WINDOWS: Final = (1.0,)
# A choice of gains that changes less than this changes nothing; the solver's own error is far greater.
_SETTLED_K: Final = 1e-9


def behind_first_lag(
    slow: Directions,
    fast: Directions,
    span_s: tuple[float, float],
    runs: Sequence[Run],
    edges_c: FloatArray,
    starts_c: FloatArray,
    near_c: FloatArray,
) -> FloatArray:
    """Lower bounds (bodies, edges, n) for the cores behind media that are never below `edges_c` (edges, n).

    `slow` and `fast`: the bodies' directions at their corners; `starts_c` (bodies, edges) the lowest start.
    `near_c` (bodies, edges, n) is a guess of the answer, which is found the sooner the nearer it is.
    `span_s`, `runs` as in :func:`haccp.runs.follow`, one stay. The solver's own error is not yet taken off.
    """
    grid = moments(*span_s, runs)
    counts = [each.count for each in runs]
    rates = [each.first_rates() for each in (slow, fast)]
    rest_s = [each.steady_lags()[:, 0] - 1.0 / first for each, first in zip((slow, fast), rates, strict=True)]
    spread = float(np.mean(rest_s[0] - rest_s[1]))
    courses = np.concatenate([courses_below(each, grid, spread, _WINDOWS) for each in edges_c])
    each_edge = len(_WINDOWS) + 2
    jumps = courses[:, 0] - np.repeat(starts_c, each_edge, axis=1)
    [rises], [falls] = split([courses])
    steps = np.array([each.step_s for each in runs])
    # e of each body at each step of the grid, which has a few lengths only.
    left = [
        np.repeat(np.exp(-np.multiply.outer(each, steps)), counts, axis=1)[:, np.newaxis] for each in rates
    ]
    rests: list[FloatArray] = []
    for corner, medium, excess, share in (
        (slow, courses[:, :1] + rises, -np.maximum(jumps, 0.0), left[0]),
        (fast, -falls, np.maximum(-jumps, 0.0), left[1]),
    ):
        part = Part([(corner,)], [medium], excess)
        core = follow([part], [span_s], [runs], surface=False)[:, :, 0]
        more = 1.0 / (1.0 - share)
        rest = core[:, :, 1:] * more
        rest -= core[:, :, :-1] * (share * more)
        rests.append(rest)
    bodies, edges = starts_c.shape
    rests[0] += rests[1]
    highest: FloatArray = rests[0].reshape(bodies, edges, each_edge, -1).max(axis=2)
    coldest = np.minimum(np.minimum.accumulate(edges_c, axis=-1)[:, 1:], starts_c[:, :, np.newaxis])
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

    def along(rows: NDArray[np.intp], above: NDArray[np.bool_]) -> FloatArray:
        gain = np.where(above, slow_gain[rows], fast_gain[rows])
        given = np.concatenate([start_c[rows, np.newaxis], gain * rest_c[rows]], axis=1)
        answer: FloatArray = carried(1.0 - gain, given[np.newaxis])[0]
        return answer

    rows = np.arange(len(rest_c))
    above = rest_c > near_c[:, :-1]
    now = along(rows, above)
    for _ in range(rest_c.shape[1] + 1):
        wanted = rest_c[rows] > now[rows, :-1]
        unlike = (wanted != above).any(axis=1)
        rows, above = rows[unlike], wanted[unlike]
        if not rows.size:
            break
        lower = along(rows, above)
        moved = (now[rows] - lower).max(axis=1) > _SETTLED_K
        now[rows] = lower
        rows, above = rows[moved], above[moved]
    return now
