r"""How centre and surface of a body answer to one medium: a short row of first-order lags.

A body is the product of one, two or three directions (slab, cylinder or sphere each, see
:mod:`haccp.eigenmodes`), and so are its modes: rates add, amplitudes multiply. Each mode's
excess D over the medium obeys  D' = −lambda D − slope  and is stepped exactly where the medium is
a straight line in time (Duhamel):

    D(t + d) = e^(−lambda d) D(t) − slope (1 − e^(−lambda d))/lambda

Modes that have died out within the shortest step stand at their steady lag −slope/lambda. They are
not counted one by one and not left out: all of them together are the body's steady lag behind a
ramp, (R²/alpha)(1/(2n) + 1/(n Bi)) at the centre and (R²/alpha)/(n Bi) at the surface, less the part
of the modes that are stepped.

A body with two or three directions, or a thick one that is read every second, needs thousands of
modes. There the response (a scalar function of time) is written as a sum of exponentials at fixed
rates by least squares instead, which is the same thing with fewer lags.

Own error for the media of a kitchen: below 1e-5 °C, checked against series with many modes and a
method-of-lines solution.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from scipy.linalg.lapack import dtbtrs

from haccp.curves import FloatArray
from haccp.eigenmodes import Modes, modes

# e^(−16) = 1e-7: what is left of a mode by then does not show.
_DEAD = 16.0
# A tenth of a second after a jump a joint of 300 mm has this many left; they are summed, not stepped.
_MOST_ALIVE = 4000
# Modes stepped one by one, at most; beyond it the fitted row of lags is shorter.
_MOST_MODES = 32
# Equal steps are taken in blocks of so many, if there are more than `_EVEN` of them.
_WIDTH, _EVEN = 24, 48
_AGES = np.arange(_WIDTH + 1.0)
# The age of slope j at reading i of a block, and a place that holds nothing for slopes yet to come.
_AGE_OF = np.arange(_WIDTH) - np.arange(_WIDTH)[:, np.newaxis]
_AGE_OF[_AGE_OF < 0] = _WIDTH
# Values in one banded solve, so that a logger's whole day does not fill the memory.
_BLOCK = 2_000_000
# A fitted row: ratio of neighbouring rates, quickest rate times shortest step, moments fitted for each rate.
_RATE_RATIO = 1.3
_QUICKEST = 6.0
_SAMPLES_A_RATE = 4
_FIRST_ANSWER = 0.05
_MOMENTS = 24
_NODES, _NODE_WEIGHTS = np.polynomial.legendre.leggauss(6)


@dataclass(frozen=True)
class Direction:
    """One direction of a body: shape number, half-size over diffusivity, R²/alpha [s], and Bi [-]."""

    beta: float
    diffusion_s: float
    biot: float

    def modes_alive(self, after_s: float) -> int:
        """How many modes are not dead `after_s` seconds after a jump."""
        alive = int(math.sqrt(_DEAD * self.diffusion_s / after_s) / math.pi) + 1
        return min(alive, _MOST_ALIVE)


@dataclass(frozen=True, eq=False)
class Directions:
    """The same direction of several bodies: one shape number, R²/alpha [s] (b,), Bi [-] (b,)."""

    beta: float
    diffusion_s: FloatArray
    biot: FloatArray
    _found: dict[int, Modes] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __getitem__(self, body: int) -> Direction:
        """The direction of one of the bodies."""
        return Direction(self.beta, float(self.diffusion_s[body]), float(self.biot[body]))

    def modes_alive(self, after_s: float) -> int:
        """How many modes of any of them are not dead `after_s` seconds after a jump."""
        return Direction(self.beta, float(self.diffusion_s.max()), 0.0).modes_alive(after_s)

    def steady_lags(self) -> FloatArray:
        """How far centre and surface of each trail behind a medium that rises steadily [s] (b, 2)."""
        n = self.beta + 1.0
        at_surface = self.diffusion_s / (n * self.biot)
        return np.stack([at_surface + self.diffusion_s * (0.5 / n), at_surface], axis=1)

    def modes(self, count: int) -> Modes:
        """The first `count` modes of each, found once."""
        if count not in self._found:
            self._found[count] = modes(self.beta, self.biot, count)
        return self._found[count]

    def first_rates(self) -> FloatArray:
        """The slowest rate of each [1/s] (b,)."""
        first = self.modes(1).roots[:, 0]
        rates: FloatArray = first * first / self.diffusion_s
        return rates


@dataclass(frozen=True)
class Lags:
    """Rates [1/s] (p,), weights of centre and surface (2, p) and their remaining steady lags [s] (2,)."""

    rates: FloatArray
    weights: FloatArray
    rest_s: FloatArray


def steady_lag(axis: Direction) -> FloatArray:
    """How far centre and surface trail behind a medium that rises steadily [s], shape (2,)."""
    n = axis.beta + 1.0
    at_surface = axis.diffusion_s / (n * axis.biot)
    return np.array([at_surface + 0.5 * axis.diffusion_s / n, at_surface])


def lags_of(axes: tuple[Direction, ...], shortest_s: float) -> Lags:
    """The row of lags that is right at every moment `shortest_s` or more after a corner of the medium."""
    if len(axes) == 1:
        count = axes[0].modes_alive(shortest_s)
        if count <= _MOST_MODES:
            row = modes(axes[0].beta, axes[0].biot, count)
            rates = row.roots * row.roots / axes[0].diffusion_s
            weights = np.array([row.core, row.surface])
            return Lags(rates, weights, steady_lag(axes[0]) - weights @ (1.0 / rates))
    return _fitted_lags(axes, shortest_s)


def _fitted_lags(axes: tuple[Direction, ...], shortest_s: float) -> Lags:
    slowest = sum(float(modes(axis.beta, axis.biot, 1).roots[0]) ** 2 / axis.diffusion_s for axis in axes)
    # No later than the quickest direction begins to answer, or the area below would miss its bend.
    shortest_s = min(shortest_s, _FIRST_ANSWER * min(axis.diffusion_s for axis in axes))
    quickest = max(_QUICKEST / shortest_s, 4.0 * slowest)
    count = 2 + int(np.log(quickest / slowest) / np.log(_RATE_RATIO))
    rates = np.geomspace(slowest, quickest, count)
    at_s = np.geomspace(shortest_s, max(_DEAD / slowest, 2.0 * shortest_s), _SAMPLES_A_RATE * count)
    answers = step_answer(axes, at_s)
    fitted = np.linalg.lstsq(np.exp(np.outer(at_s, -rates)), answers.T, rcond=None)[0]
    weights = np.ascontiguousarray(fitted.T, dtype=np.float64)
    # ∫ Theta over the shortest step, by Gauss in the square root of time: the surface starts like one.
    roots_of_time = 0.5 * (1.0 + _NODES)
    within_s = shortest_s * roots_of_time**2
    area = step_answer(axes, within_s) @ (_NODE_WEIGHTS * roots_of_time) * shortest_s
    return Lags(rates, weights, area - weights @ (-np.expm1(-rates * shortest_s) / rates))


def step_answer(axes: tuple[Direction, ...], at_s: FloatArray) -> FloatArray:
    """Theta [-] at centre and surface (2, n), `at_s` seconds after a body at 1 came into a medium at 0."""
    answer = np.ones((2, at_s.size))
    for number, axis in enumerate(axes):
        own = _axis_answer(axis, at_s)
        answer *= own if number == 0 else own[:1]
    return answer


def _axis_answer(axis: Direction, at_s: FloatArray) -> FloatArray:
    # Early moments need many modes and late ones few, so a few moments are read at a time.
    answer = np.empty((2, at_s.size))
    for start in range(0, at_s.size, _MOMENTS):
        part = at_s[start : start + _MOMENTS]
        row = modes(axis.beta, axis.biot, axis.modes_alive(float(part[0])))
        fading = np.exp(np.outer(row.roots**2, part / -axis.diffusion_s))
        answer[:, start : start + _MOMENTS] = np.stack([row.core, row.surface]) @ fading
    return answer


def march(
    lags: Lags,
    times_s: FloatArray,
    medium_c: FloatArray,
    excess_k: FloatArray,
    steps: FloatArray | None = None,
) -> FloatArray:
    """Centre and surface behind a medium that is straight between `times_s`.

    `medium_c` (columns, n) holds one medium a row, `excess_k` (columns,) by how much the whole
    body was above it at the first moment. `steps` [s]: between the times, if known already.
    Result (columns, 2, n) in °C.
    """
    if steps is None:
        steps = times_s[1:] - times_s[:-1]
    slopes = (medium_c[:, 1:] - medium_c[:, :-1]) / steps
    answer = np.empty((len(medium_c), 2, times_s.size))
    answer[:, :, 0] = excess_k[:, np.newaxis]
    if steps.size > _EVEN and steps.max() - steps.min() < 1e-9 * steps[0]:
        _in_blocks(lags, float(steps[0]), slopes, excess_k, answer)
    else:
        _one_by_one(lags, steps, slopes, excess_k, answer)
    answer += medium_c[:, np.newaxis]
    return answer


def _one_by_one(
    lags: Lags, steps: FloatArray, slopes: FloatArray, excess_k: FloatArray, answer: FloatArray
) -> None:
    """Fill `answer` with how far centre and surface are above the medium, for steps of any length."""
    count, n = lags.rates.size, steps.size + 1
    decay = np.exp(np.multiply.outer(-lags.rates, steps))
    gain = (1.0 - decay) / lags.rates[:, np.newaxis]
    width = max(1, _BLOCK // (count * n))
    for start in range(0, len(slopes), width):
        part = slice(start, start + width)
        excess = np.empty((slopes[part].shape[0], count, n))
        excess[:, :, 0] = excess_k[part, np.newaxis]
        np.multiply(gain, -slopes[part, np.newaxis], out=excess[:, :, 1:])
        np.matmul(lags.weights, carried(decay, excess)[:, :, 1:], out=answer[part, :, 1:])
    answer[:, :, 1:] -= lags.rest_s[:, np.newaxis] * slopes[:, np.newaxis]


def _in_blocks(
    lags: Lags, step_s: float, slopes: FloatArray, excess_k: FloatArray, answer: FloatArray
) -> None:
    """The same for equal steps: within a block of them every answer is a matrix product.

    What a slope leaves behind depends on its age alone; only the excesses at the blocks' own
    beginnings are carried from one to the next.
    """
    columns, n = slopes.shape
    blocks = -(-n // _WIDTH)
    per_step = lags.rates * -step_s
    fading = np.exp(np.multiply.outer(per_step, _AGES))
    reading = lags.weights[:, :, np.newaxis] * fading[:, 1:]
    if not slopes.any():
        # Where nothing moves, what is left of the start is all there is.
        begun = np.exp(np.multiply.outer(_WIDTH * np.arange(blocks), per_step)) @ reading
        np.multiply(begun.reshape(2, -1)[:, :n], excess_k[:, np.newaxis, np.newaxis], out=answer[:, :, 1:])
        return
    gain = (1.0 - fading[:, 1]) / lags.rates
    echo = np.zeros((2, _WIDTH + 1))
    np.matmul(lags.weights * gain, fading[:, :-1], out=echo[:, :-1])
    echo[:, 0] += lags.rest_s
    excess = np.empty((columns, lags.rates.size, blocks))
    excess[:, :, 0] = excess_k[:, np.newaxis]
    padded = np.zeros((columns, blocks * _WIDTH))
    padded[:, :n] = slopes
    padded = padded.reshape(-1, _WIDTH)
    left = np.matmul(padded, (fading[:, _WIDTH - 1 :: -1] * -gain[:, np.newaxis]).T)
    excess[:, :, 1:] = left.reshape(columns, blocks, -1)[:, :-1].transpose(0, 2, 1)
    excess = carried(fading[:, -1:], excess)
    begun = excess.transpose(0, 2, 1).reshape(len(padded), -1)
    found = np.matmul(begun, reading)
    found -= np.matmul(padded, echo.take(_AGE_OF, axis=1))
    answer[:, :, 1:] = found.reshape(2, columns, -1)[:, :, :n].transpose(1, 0, 2)


def carried(decay: FloatArray, excess: FloatArray) -> FloatArray:
    """Excesses (columns, p, n) from what comes to them: each is what `decay` (p, n − 1 or 1) leaves of the
    one before, and what was given in its place."""
    columns, count, n = excess.shape
    # The lags one after the other in one lower bidiagonal system; a zero parts them.
    band = np.zeros((count * n, 2)).T
    np.negative(decay, out=band[1].reshape(count, n)[:, :-1])
    solved, _info = dtbtrs(band, excess.reshape(columns, -1).T, uplo="L", diag="U", overwrite_b=1)
    answer: FloatArray = solved.T.reshape(excess.shape)
    return answer
