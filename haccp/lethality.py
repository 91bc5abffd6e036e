"""Lethality along a core curve (Bigelow's general method), temperature linear between points.

Every interval is integrated in closed form. The plain trapezoid of the lethal rate
over-states lethality (the rate is convex in temperature), so it errs on the wrong side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from haccp.curves import FloatArray, check_threshold, checked, spans_where_at_or_above
from haccp.datafiles import choose, load, pedigree
from haccp.errors import DataError, RangeError

__all__ = [
    "Organism",
    "cumulative_lethal_minutes",
    "equivalent_hold_minutes",
    "lethal_minutes",
    "lethal_rate",
    "log_reduction",
    "minutes_at_or_above",
    "organism",
    "organisms",
    "spans_at_or_above",
]

# Validity: z-values and reference temperatures met in heat processing of food.
Z_RANGE_K = (2.0, 50.0)
REFERENCE_RANGE_C = (40.0, 150.0)


@dataclass(frozen=True)
class Organism:
    """Heat resistance of one organism in one food.

    `d_min`: decimal reduction time [min] at `reference_c` [°C]; `z_c` [K], and
    `z_above_c` [K] above the reference temperature where that differs;
    `counts_from_c` [°C]: where the evidence ends downwards, or None; `log_target`: the
    reduction commonly asked of a process, or None. A target here is no limit:
    limits come from the ruleset.
    """

    key: str
    name: str
    food: str
    d_min: float
    reference_c: float
    z_c: float
    z_above_c: float | None
    counts_from_c: float | None
    log_target: float | None
    sources: tuple[str, ...]
    provenance: str
    note: str


def _check(reference_c: float, z_c: float, z_above_c: float | None) -> tuple[float, float]:
    """Validate and give (z below, z above)."""
    above = z_c if z_above_c is None else z_above_c
    for z in (z_c, above):
        if not Z_RANGE_K[0] <= z <= Z_RANGE_K[1]:
            raise RangeError(f"A z-value lies between {Z_RANGE_K[0]:g} and {Z_RANGE_K[1]:g} K, not at {z} K.")
    if not REFERENCE_RANGE_C[0] <= reference_c <= REFERENCE_RANGE_C[1]:
        low, high = REFERENCE_RANGE_C
        raise RangeError(f"A reference temperature is {low:g} to {high:g} °C, not {reference_c}.")
    return z_c, above


def _mean_rate(from_k: FloatArray, to_k: FloatArray, z: float) -> FloatArray:
    """Mean of 10^(T/z) while T runs linearly between two values [K above reference]."""
    high = np.maximum(from_k, to_k)
    x = np.abs(to_k - from_k) * (math.log(10.0) / z)
    # (1 - e^-x)/x, written so that nothing overflows and nearly flat intervals keep every digit.
    mean = np.divide(-np.expm1(-x), x, out=np.ones_like(x), where=x > 0.0)
    return np.asarray(10.0 ** (high / z) * mean, dtype=np.float64)


def _band_minutes(times: FloatArray, above_ref: FloatArray, low: float, high: float, z: float) -> FloatArray:
    """What each interval earns while T - T_ref lies in the band low <= T - T_ref < high [K]."""
    start, end = above_ref[:-1], above_ref[1:]
    inner_start, inner_end = np.clip(start, low, high), np.clip(end, low, high)
    span = np.abs(end - start)
    flat_share = np.where((start >= low) & (start < high), 1.0, 0.0)
    share = np.divide(np.abs(inner_end - inner_start), span, out=flat_share, where=span > 0.0)
    minutes = np.diff(times) / 60.0
    # Where nothing lies in the band the rate at its edge is multiplied by a share of zero.
    inside = np.where(share > 0.0, 1.0, 0.0)
    return np.asarray(
        minutes * share * _mean_rate(inner_start * inside, inner_end * inside, z), dtype=np.float64
    )


def lethal_rate(celsius: float, *, reference_c: float, z_c: float, z_above_c: float | None = None) -> float:
    """Equivalent minutes at `reference_c` that one minute at `celsius` [°C] is worth.

    L = 10^((T - T_ref)/z), with `z_above_c` [K] in place of `z_c` above the reference.
    Source: bigelow-1920.
    """
    below, above = _check(reference_c, z_c, z_above_c)
    if not math.isfinite(celsius):
        raise RangeError("A temperature must be a number.")
    return float(10.0 ** ((celsius - reference_c) / (above if celsius > reference_c else below)))


def equivalent_hold_minutes(
    minutes: float, celsius: float, *, reference_c: float, z_c: float, z_above_c: float | None = None
) -> float:
    """Minutes at a steady `celsius` that equal `minutes` at `reference_c`: minutes / L."""
    return minutes / lethal_rate(celsius, reference_c=reference_c, z_c=z_c, z_above_c=z_above_c)


def cumulative_lethal_minutes(
    times_s: npt.ArrayLike,
    celsius: npt.ArrayLike,
    *,
    reference_c: float,
    z_c: float,
    z_above_c: float | None = None,
    counts_from_c: float | None = None,
) -> FloatArray:
    """Equivalent minutes at `reference_c` up to each point of the curve, shape (n,).

    Parameters: `times_s` [s] and `celsius` [°C], both (n,), times never going back;
    `reference_c` [°C], `z_c` [K], `z_above_c` [K] used above the reference;
    `counts_from_c` [°C]: nothing is earned below it (the end of the evidence).

    Equation, per interval with T linear from T0 to T1 in Δt, and c = ln 10 / z:
    Δt (e^(c(T1 - Tref)) - e^(c(T0 - Tref))) / (c (T1 - T0)); an interval that crosses
    the reference is split there. Exact for a piecewise linear curve.

    Raises :class:`ReadingsError` for a curve that cannot be used, :class:`RangeError`
    for z or reference outside `Z_RANGE_K`, `REFERENCE_RANGE_C`. Source: bigelow-1920.
    """
    below, above = _check(reference_c, z_c, z_above_c)
    times, temps = checked(times_s, celsius)
    least = -math.inf if counts_from_c is None else check_threshold(counts_from_c) - reference_c
    over = temps - reference_c
    if below == above:
        each = _band_minutes(times, over, least, math.inf, below)
    else:
        each = _band_minutes(times, over, min(least, 0.0), 0.0, below)
        each += _band_minutes(times, over, max(least, 0.0), math.inf, above)
    return np.concatenate(([0.0], np.cumsum(each)))


def lethal_minutes(
    times_s: npt.ArrayLike,
    celsius: npt.ArrayLike,
    *,
    reference_c: float,
    z_c: float,
    z_above_c: float | None = None,
    counts_from_c: float | None = None,
) -> float:
    """Equivalent minutes at `reference_c` over the whole curve [min].

    Parameters, equation and errors as for :func:`cumulative_lethal_minutes`.

    >>> round(lethal_minutes([0, 2400], [50, 70], reference_c=70, z_c=7.5), 6)
    6.500382
    """
    total = cumulative_lethal_minutes(
        times_s,
        celsius,
        reference_c=reference_c,
        z_c=z_c,
        z_above_c=z_above_c,
        counts_from_c=counts_from_c,
    )
    return float(total[-1])


def spans_at_or_above(
    times_s: npt.ArrayLike, celsius: npt.ArrayLike, threshold_c: float
) -> list[tuple[float, float]]:
    """The spans (start, end) [s] in which the curve is at or above `threshold_c` [°C].

    Crossings are exact for a curve that is linear between its points. A curve that
    only touches the threshold in one moment gives no span.
    """
    times, temps = checked(times_s, celsius)
    return spans_where_at_or_above(times, temps, threshold_c)


def minutes_at_or_above(times_s: npt.ArrayLike, celsius: npt.ArrayLike, threshold_c: float) -> float:
    """Total time [min] at or above `threshold_c` [°C], in one span or several."""
    return sum(end - start for start, end in spans_at_or_above(times_s, celsius, threshold_c)) / 60.0


def log_reduction(times_s: npt.ArrayLike, celsius: npt.ArrayLike, kind: Organism) -> float:
    """Decimal reductions of an organism along the curve: equivalent minutes / D."""
    minutes = lethal_minutes(
        times_s,
        celsius,
        reference_c=kind.reference_c,
        z_c=kind.z_c,
        z_above_c=kind.z_above_c,
        counts_from_c=kind.counts_from_c,
    )
    return minutes / kind.d_min


@cache
def organisms() -> dict[str, Organism]:
    """All organisms of ``data/organisms.toml`` by key."""
    found = {}
    for key, table in load("organisms").items():
        where = f"haccp/data/organisms.toml [{key}]"
        sources, provenance, note = pedigree(table, where)
        try:
            found[key] = Organism(
                key=key,
                name=str(table["name"]),
                food=str(table["food"]),
                d_min=float(table["d_min"]),
                reference_c=float(table["reference_c"]),
                z_c=float(table["z_c"]),
                z_above_c=float(table["z_above_c"]) if "z_above_c" in table else None,
                counts_from_c=float(table["counts_from_c"]) if "counts_from_c" in table else None,
                log_target=float(table["log_target"]) if "log_target" in table else None,
                sources=sources,
                provenance=provenance,
                note=note,
            )
        except KeyError as error:
            raise DataError(f"{where} lacks {error}.") from None
        _check(found[key].reference_c, found[key].z_c, found[key].z_above_c)
        if not found[key].d_min > 0.0:
            raise DataError(f"{where}: a D-value is above zero.")
    return found


def organism(key: str) -> Organism:
    """The organism with this key; raises :class:`DataError` naming the choices."""
    return choose(organisms(), key, "organism")
