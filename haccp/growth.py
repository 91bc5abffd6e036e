r"""Growth along a temperature curve, and the most that it can have been between two curves.

**From rate to growth.** With M the integral of the specific rate over time and h0 the work to be done
before growth, the differential equations of baranyi-roberts-1994 have a closed form for any history
(own derivation, tested against a numerical solution):

    M  = ∫ mu(T(t)) dt
    y0 = log10(1 + e^(−h0) (e^M − 1))
    y  = y0 − log10(1 + (10^y0 − 1)/10^C)          C, the ceiling [log10]

The forms without lag add up: log10 growth or share = ∫ rate dt.

**The integral.** Straight lines between the points of a curve; each is cut where the rate has a corner
and each piece is done by Gauss's rule with 16 nodes. Its error is below 1e-10 of the integral, however
long a piece is (tested); a bound has 1e-9 put on top.

**The bound.** If the food certainly lay between two curves, low <= T <= high, then at every moment its
rate was at most the greatest rate between them. The rate has one peak, so that is the rate at
clip(T_opt, low, high), again straight pieces. The integral of it bounds M; growth rises with M.
A hotter bath is no bound: up to the peak it is worse, beyond it better. A lag is never started
afresh in between.

Growth counts at the core and at the surface, whichever is worse: a failing bath cools the surface
first. Not covered: a layer between the two that stays nearer to the optimum than both; killing;
cured, acid or dry food. No model replaces the validation of a process.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt

from haccp.bounds import ProvenCurves
from haccp.curves import FloatArray, checked
from haccp.errors import RangeError, ReadingsError
from haccp.growthmodels import GrowthModel, Hurdles, Strain

__all__ = [
    "GROWTH_BASIS",
    "BagGrowth",
    "bag_growth",
    "cumulative_growth",
    "growth",
    "moment_reached",
    "proven_growth",
    "proven_moment",
    "steady_hours",
    "work",
]

GROWTH_BASIS: Final = "growth bound: at every moment the rate that is worst between the proven curves"
_ANY: Final = Hurdles()
_NODES, _WEIGHTS = (0.5 * each for each in np.polynomial.legendre.leggauss(16))
# Ten times the stated error of the rule, put on top of a bound.
_QUADRATURE: Final = 1e-9
# e^M has left the range of a float long before; growth stands at its ceiling.
_MOST_WORK: Final = 700.0
_S_PER_H: Final = 3600.0


def work(times_s: npt.ArrayLike, celsius: npt.ArrayLike, strain: Strain) -> FloatArray:
    """M up to each point of a curve [-], or log10 growth or share for a form without lag; shape (n,).

    Parameters: `times_s` [s], `celsius` [°C], both (n,), straight in between, times never going
    back; `strain`, whose rate it is. Error and equation: see the module.
    Errors: :class:`ReadingsError` for a curve that can't be used.
    """
    times, temps = checked(times_s, celsius)
    start, end = temps[:-1], temps[1:]
    span = np.abs(end - start)
    hours = np.diff(times) / _S_PER_H
    each = np.zeros_like(hours)
    edges = strain.smooth_between
    for low, high in pairwise(edges):
        inner_start, inner_end = np.clip(start, low, high), np.clip(end, low, high)
        flat_share = np.where((start > low) & (start <= high), 1.0, 0.0)
        share = np.divide(np.abs(inner_end - inner_start), span, out=flat_share, where=span > 0.0)
        touched = np.flatnonzero((share > 0.0) & (hours > 0.0))
        begin, change = inner_start[touched], (inner_end - inner_start)[touched]
        mean = strain.rate(begin[:, np.newaxis] + change[:, np.newaxis] * (0.5 + _NODES)) @ _WEIGHTS
        each[touched] += hours[touched] * share[touched] * mean
    return np.concatenate(([0.0], np.cumsum(each)))


def _grown(done: FloatArray, strain: Strain, lag: float) -> FloatArray:
    """Growth [log10] or share for M or the plain integral."""
    if strain.form != "cardinal":
        return np.minimum(done, strain.ceiling)
    ceiling = strain.ceiling
    free = np.log10(1.0 + math.exp(-lag) * np.expm1(np.minimum(done, _MOST_WORK)))
    # y0 − log10(1 + (10^y0 − 1)/10^C), written so that neither end loses its digits.
    held = -np.log10(10.0**-free + (1.0 - 10.0**-free) * 10.0**-ceiling)
    return np.where(done > _MOST_WORK, ceiling, np.minimum(held, ceiling))


def _check_covered(celsius: FloatArray, model: GrowthModel) -> None:
    # A cardinal rate ends at its own highest temperature; the other forms would rise without end.
    hottest = float(celsius.max())
    if model.strains[0].form != "cardinal" and hottest > model.holds[1]:
        raise RangeError(
            f"The growth figures of {model.name} end at {model.holds[1]:g} °C and the curve goes to "
            f"{hottest:.1f} °C; judge it by the rule for food that got warm."
        )


def _worst(
    times_s: npt.ArrayLike, celsius: npt.ArrayLike, model: GrowthModel, hurdles: Hurdles, lag: float | None
) -> FloatArray:
    if lag is not None and not (math.isfinite(lag) and lag >= 0.0):
        raise RangeError("A lag h0 is a number of 0 or more.")
    _, temps = checked(times_s, celsius)
    _check_covered(temps, model)
    strains = [
        _grown(
            strain.slowed_by(hurdles) * work(times_s, temps, strain),
            strain,
            strain.lag if lag is None else lag,
        )
        for strain in model.strains
    ]
    return np.asarray(np.max(strains, axis=0), dtype=np.float64)


def cumulative_growth(
    times_s: npt.ArrayLike,
    celsius: npt.ArrayLike,
    model: GrowthModel,
    *,
    hurdles: Hurdles = _ANY,
    lag: float | None = None,
) -> FloatArray:
    """Growth [log10] or share up to each point of the curve, shape (n,); never falls.

    Parameters as for :func:`work`; of several sets of strains the larger result; `hurdles`: only
    what was measured of this dish; `lag`: another h0 than the model's, to show a range.
    Errors: as :func:`work`; :class:`RangeError` where the curve leaves what a form without upper
    end covers.
    """
    return _worst(times_s, celsius, model, hurdles, lag)


def growth(
    times_s: npt.ArrayLike,
    celsius: npt.ArrayLike,
    model: GrowthModel,
    *,
    hurdles: Hurdles = _ANY,
    lag: float | None = None,
) -> float:
    """Growth [log10] or share over the whole curve. As :func:`cumulative_growth`.

    >>> from haccp.growthmodels import growth_model
    >>> chill = growth_model("c_perfringens_chill")
    >>> round(growth([0, 5400, 23400], [54.4, 26.7, 4.4], chill), 2)
    1.11
    """
    return float(_worst(times_s, celsius, model, hurdles, lag)[-1])


def _worst_between(
    times: FloatArray, low: FloatArray, high: FloatArray, peak_c: float
) -> tuple[FloatArray, FloatArray]:
    """The course between two curves on which the rate is greatest: points (m,) [s] and [°C]."""
    if math.isinf(peak_c):
        return times, high
    # Each interval is cut where either curve passes the peak; in between the course is straight.
    cuts = [np.zeros(times.size - 1), np.ones(times.size - 1)]
    for curve in (low, high):
        change = np.diff(curve)
        passed = (curve[:-1] - peak_c) * (curve[1:] - peak_c) < 0.0
        cuts.append(np.divide(peak_c - curve[:-1], change, out=np.zeros_like(change), where=passed))
    at = np.sort(np.stack(cuts, axis=1), axis=1)

    def along(curve: FloatArray) -> FloatArray:
        # The far end as it stands, so that no rounding puts it on the other side of the peak.
        values = curve[:-1, np.newaxis] + at * np.diff(curve)[:, np.newaxis]
        return np.where(at == 1.0, curve[1:, np.newaxis], values)

    course = np.clip(peak_c, along(low), along(high))
    return np.maximum.accumulate(along(times).ravel()), course.ravel()


def _checked_band(
    times_s: npt.ArrayLike, low_c: npt.ArrayLike, high_c: npt.ArrayLike, model: GrowthModel
) -> tuple[FloatArray, FloatArray, FloatArray]:
    times, low = checked(times_s, low_c)
    _, high = checked(times_s, high_c)
    if (low > high).any():
        raise ReadingsError("The lower curve lies above the upper one; give them in order, low then high.")
    _check_covered(high, model)
    return times, low, high


def proven_growth(
    times_s: npt.ArrayLike,
    low_c: npt.ArrayLike,
    high_c: npt.ArrayLike,
    model: GrowthModel,
    *,
    hurdles: Hurdles = _ANY,
) -> float:
    """The most that can have grown [log10], or the greatest share, for a food between two curves.

    Parameters: `times_s` [s] and `low_c` <= food <= `high_c` [°C], each (n,), straight in between.
    Equation and proof: see the module, "The bound".
    Errors: :class:`ReadingsError` for curves that can't be used or are in the wrong order;
    :class:`RangeError` where `high_c` leaves what a form without upper end covers.
    """
    times, low, high = _checked_band(times_s, low_c, high_c, model)
    if times.size < 2:
        return 0.0
    most = 0.0
    for strain in model.strains:
        done = work(*_worst_between(times, low, high, strain.peak_c), strain)[-1:]
        done = done * strain.slowed_by(hurdles) * (1.0 + _QUADRATURE)
        most = max(most, float(_grown(done, strain, strain.lag)[0]))
    return most


@dataclass(frozen=True)
class BagGrowth:
    """Growth [log10] or share in one bag: most likely and at most, at core and surface.

    `high` is the worse of the two bounds, and `worse_at` says where it is.
    """

    core_best: float
    core_high: float
    surface_best: float
    surface_high: float
    basis: str

    @property
    def best(self) -> float:
        """The larger of the two most likely values."""
        return max(self.core_best, self.surface_best)

    @property
    def high(self) -> float:
        """The larger of the two bounds: the proven value."""
        return max(self.core_high, self.surface_high)

    @property
    def worse_at(self) -> str:
        """Where the larger bound is: ``core`` or ``surface``."""
        return "surface" if self.surface_high > self.core_high else "core"


def bag_growth(
    curves: ProvenCurves,
    model: GrowthModel,
    *,
    from_s: float | None = None,
    until_s: float | None = None,
    hurdles: Hurdles = _ANY,
) -> BagGrowth:
    """Growth in a bag between two moments of its proven curves [s]; None is the curve's own end.

    Errors: :class:`RangeError` for moments outside the curve or in the wrong order, and as
    :func:`proven_growth`.
    """
    start = float(curves.times_s[0]) if from_s is None else from_s
    end = float(curves.times_s[-1]) if until_s is None else until_s
    if not float(curves.times_s[0]) <= start <= end <= float(curves.times_s[-1]):
        raise RangeError("Ask for growth between two moments of the curve, the earlier one first.")
    inside = (curves.times_s > start) & (curves.times_s < end)
    times = np.concatenate(([start], curves.times_s[inside], [end]))

    def part(values: FloatArray) -> FloatArray:
        ends = np.interp([start, end], curves.times_s, values)
        return np.concatenate((ends[:1], values[inside], ends[1:]))

    return BagGrowth(
        core_best=growth(times, part(curves.best_c), model, hurdles=hurdles),
        core_high=proven_growth(times, part(curves.low_c), part(curves.high_c), model, hurdles=hurdles),
        surface_best=growth(times, part(curves.surface_best_c), model, hurdles=hurdles),
        surface_high=proven_growth(
            times, part(curves.surface_low_c), part(curves.surface_high_c), model, hurdles=hurdles
        ),
        basis=GROWTH_BASIS,
    )


def moment_reached(
    times_s: npt.ArrayLike, celsius: npt.ArrayLike, model: GrowthModel, amount: float
) -> float | None:
    """When growth along a curve first comes to `amount` [log10] or share, in s; None if it does not.

    Found on the curve itself, cut in minutes; the moment given is never later than the true one.
    """
    times, temps = checked(times_s, celsius)
    _check_covered(temps, model)
    return _first_moment([(times, temps, strain, 1.0) for strain in model.strains], amount)


def proven_moment(
    times_s: npt.ArrayLike,
    low_c: npt.ArrayLike,
    high_c: npt.ArrayLike,
    model: GrowthModel,
    amount: float,
) -> float | None:
    """The earliest moment [s] at which the growth bound comes to `amount`; None if it does not.

    Until then less had certainly grown. Parameters and errors as for :func:`proven_growth`.
    """
    times, low, high = _checked_band(times_s, low_c, high_c, model)
    if times.size < 2:
        return None
    return _first_moment(
        [
            (*_worst_between(times, low, high, strain.peak_c), strain, 1.0 + _QUADRATURE)
            for strain in model.strains
        ],
        amount,
    )


def _first_moment(
    courses: Sequence[tuple[FloatArray, FloatArray, Strain, float]], amount: float
) -> float | None:
    if not (math.isfinite(amount) and amount > 0.0):
        raise RangeError("Ask when growth comes to an amount above zero.")
    found = []
    for times, temps, strain, factor in courses:
        done = work(times, temps, strain) * factor
        over = np.flatnonzero(_grown(done, strain, strain.lag) >= amount)
        if not over.size:
            continue
        # Inside the interval in which it happens, minute by minute; the minute before counts.
        after = int(over[0])
        at = np.linspace(times[after - 1], times[after], 2 + int((times[after] - times[after - 1]) / 60.0))
        within = np.interp(at, times[after - 1 : after + 1], temps[after - 1 : after + 1])
        fine = done[after - 1] + work(at, within, strain) * factor
        reached = np.flatnonzero(_grown(fine, strain, strain.lag) >= amount)
        # The rule's error can leave the last minute a hair under what the whole interval gave.
        found.append(float(at[max(int(reached[0]) - 1, 0)] if reached.size else at[-2]))
    return min(found, default=None)


def steady_hours(celsius: float, model: GrowthModel, amount: float) -> float:
    """Hours at a steady temperature [°C] until growth comes to `amount`; infinite if it never does.

    The closed form turned round: 10^y0 = 10^y (1 − 10^−C)/(1 − 10^(y − C)), M = ln(1 + (10^y0 − 1) e^h0).
    """
    if not (math.isfinite(celsius) and math.isfinite(amount) and amount > 0.0):
        raise RangeError("Give a temperature, and an amount of growth above zero.")
    _check_covered(np.array([celsius]), model)
    soonest = math.inf
    for strain in model.strains:
        rate = float(strain.rate(np.array(celsius)))
        if rate <= 0.0 or amount >= strain.ceiling:
            continue
        needed = amount
        if strain.form == "cardinal":
            free = 10.0**amount * (1.0 - 10.0**-strain.ceiling) / (1.0 - 10.0 ** (amount - strain.ceiling))
            needed = math.log1p((free - 1.0) * math.exp(strain.lag))
        soonest = min(soonest, needed / rate)
    return soonest
