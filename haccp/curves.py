"""A curve of temperature against time, linear between its points: checks and exact crossings."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from haccp.errors import RangeError, ReadingsError

FloatArray = npt.NDArray[np.float64]

# No food or medium in a kitchen's log leaves this span; beyond it a sensor speaks, not a temperature.
PLAUSIBLE_C = (-100.0, 300.0)


def checked(times_s: npt.ArrayLike, celsius: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Times [s] and temperatures [°C] as arrays of one length (n,), n >= 1.

    Times never go back; the same moment may stand twice (a jump). Raises
    :class:`ReadingsError` for anything else, for a value that is no number, or for a
    temperature outside `PLAUSIBLE_C`.
    """
    try:
        times = np.asarray(times_s, dtype=np.float64)
        temps = np.asarray(celsius, dtype=np.float64)
    except (TypeError, ValueError):
        raise ReadingsError("A curve is made of numbers: seconds and °C.") from None
    if times.ndim != 1 or times.shape != temps.shape or times.size == 0:
        raise ReadingsError("A curve needs at least one point, and one temperature for each time.")
    if not (np.isfinite(times).all() and np.isfinite(temps).all()):
        raise ReadingsError("A curve has a time or a temperature that is no number; leave that point out.")
    if (np.diff(times) < 0.0).any():
        raise ReadingsError("The times of a curve go back; put its points in order of time.")
    if temps.min() < PLAUSIBLE_C[0] or temps.max() > PLAUSIBLE_C[1]:
        raise ReadingsError(
            f"A temperature lies outside {PLAUSIBLE_C[0]:g} to {PLAUSIBLE_C[1]:g} °C; leave that point out."
        )
    return times, temps


def check_threshold(threshold_c: float) -> float:
    """`threshold_c` [°C] itself; raises :class:`RangeError` if it is no number."""
    if not math.isfinite(threshold_c):
        raise RangeError("A temperature to compare with must be a number.")
    return threshold_c


def crossing(times: FloatArray, temps: FloatArray, i: int, threshold_c: float) -> float:
    """When the interval from point i to i + 1 passes `threshold_c`; its ends lie on either side."""
    share = (threshold_c - temps[i]) / (temps[i + 1] - temps[i])
    moment = times[i] + share * (times[i + 1] - times[i])
    return float(min(max(moment, times[i]), times[i + 1]))


def spans_where_at_or_above(
    times: FloatArray, temps: FloatArray, threshold_c: float
) -> list[tuple[float, float]]:
    """Spans (start, end) [s], longer than zero, at or above `threshold_c`; `times`, `temps` as checked."""
    inside = temps >= check_threshold(threshold_c)
    edges = np.flatnonzero(inside[1:] != inside[:-1])
    moments = [crossing(times, temps, int(i), threshold_c) for i in edges]
    if inside[0]:
        moments.insert(0, float(times[0]))
    if inside[-1]:
        moments.append(float(times[-1]))
    pairs = zip(moments[::2], moments[1::2], strict=True)
    return [(start, end) for start, end in pairs if end > start]
