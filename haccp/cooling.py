"""Stages of a chill: when the clock of each starts and ends.

A stage runs between two temperatures, "60 °C down to 10 °C". Its clock starts when
the core was last at the first of them; if it never was that hot, when the bag left
the bath. Elapsed time is time on the absolute clock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from haccp.curves import check_threshold, checked, crossing
from haccp.errors import RangeError, ReadingsError


class ClockStart(StrEnum):
    """What started the clock of a stage."""

    CROSSING = "core last at the starting temperature"
    LEFT_BATH = "bag left the bath"


@dataclass(frozen=True)
class Stage:
    """One stage of a chill, times in seconds of the curve.

    `end_s` and `minutes` are None while the core has not come down to the end of the
    stage within the curve; `minutes_so_far` is then how long the clock has run.
    """

    start_s: float
    end_s: float | None
    minutes: float | None
    minutes_so_far: float
    started_by: ClockStart


def first_at_or_below(
    times_s: npt.ArrayLike, celsius: npt.ArrayLike, threshold_c: float, after_s: float | None = None
) -> float | None:
    """First moment [s], not before `after_s` [s], at which the curve is at or below `threshold_c` [°C].

    Linear between points, so the crossing is exact; None if there is none in the curve.
    """
    times, temps = checked(times_s, celsius)
    check_threshold(threshold_c)
    if after_s is not None:
        if after_s > times[-1]:
            return None
        if after_s > times[0]:
            keep = times > after_s
            at_start = float(np.interp(after_s, times, temps))
            times = np.concatenate(([after_s], times[keep]))
            temps = np.concatenate(([at_start], temps[keep]))
    below = np.flatnonzero(temps <= threshold_c)
    if below.size == 0:
        return None
    i = int(below[0])
    return float(times[0]) if i == 0 else crossing(times, temps, i - 1, threshold_c)


def last_at_or_above(
    times_s: npt.ArrayLike, celsius: npt.ArrayLike, threshold_c: float, before_s: float | None = None
) -> float | None:
    """Last moment [s], not after `before_s` [s], at which the curve is at or above `threshold_c` [°C].

    Linear between points, so the crossing is exact; None if there is none in the curve.
    """
    times, temps = checked(times_s, celsius)
    mirrored = first_at_or_below(
        -times[::-1], -temps[::-1], -check_threshold(threshold_c), None if before_s is None else -before_s
    )
    return None if mirrored is None else -mirrored


def stage(
    times_s: npt.ArrayLike, celsius: npt.ArrayLike, *, from_c: float, to_c: float, clock_start_s: float
) -> Stage:
    """The stage from `from_c` down to `to_c` [°C] along one curve.

    Parameters: `times_s` [s] and `celsius` [°C], both (n,), from before the bag left
    the bath to the last that is known; `clock_start_s` [s], when it left the bath.

    The clock starts at the last moment at or above `from_c` before the core first
    came down to `to_c` after it left the bath. That may lie before `clock_start_s`,
    where the bath failed with the bag in it. If the core never was at `from_c`, the
    clock starts at `clock_start_s`: the stage always applies.

    Raises :class:`RangeError` unless `from_c` > `to_c`; :class:`ReadingsError` for a
    curve that cannot be used or does not reach `clock_start_s`.
    """
    return longest_stage(times_s, celsius, celsius, from_c=from_c, to_c=to_c, clock_start_s=clock_start_s)


def longest_stage(
    times_s: npt.ArrayLike,
    low_c: npt.ArrayLike,
    high_c: npt.ArrayLike,
    *,
    from_c: float,
    to_c: float,
    clock_start_s: float,
) -> Stage:
    """The longest that the stage can have lasted for a core between two curves.

    Parameters as for :func:`stage`; `low_c` <= core <= `high_c` [°C], each (n,).

    The clock starts as the lower curve has it, and ends as the upper curve has it. If
    the lower curve never was at `from_c`, the bag's leaving the bath starts it, or the
    upper curve's last moment at `from_c` if that came before. A stage that meets its
    limit with this length meets it for every core between the curves; left out is only
    a core that came to `from_c` and sank under it in the bath while the band of the
    two curves still held `from_c`: that bag is being cooked, not chilled.
    """
    if not from_c > to_c:
        raise RangeError(f"A chill stage runs downwards; {from_c} °C to {to_c} °C does not.")
    times, low = checked(times_s, low_c)
    _, high = checked(times_s, high_c)
    if (low > high).any():
        raise ReadingsError("The lower curve lies above the upper one; give them in order, low then high.")
    if not (math.isfinite(clock_start_s) and times[0] <= clock_start_s <= times[-1]):
        raise ReadingsError("The curve must cover the moment when the bag left the bath.")
    end_s = first_at_or_below(times, high, to_c, clock_start_s)
    low_end_s = first_at_or_below(times, low, to_c, clock_start_s)
    start_s = last_at_or_above(times, low, from_c, low_end_s)
    started_by = ClockStart.CROSSING
    if start_s is None:
        high_last_s = last_at_or_above(times, high, from_c, end_s)
        if high_last_s is not None and high_last_s < clock_start_s:
            start_s = high_last_s
        else:
            start_s, started_by = clock_start_s, ClockStart.LEFT_BATH
    return Stage(
        start_s=start_s,
        end_s=end_s,
        minutes=None if end_s is None else (end_s - start_s) / 60.0,
        minutes_so_far=((float(times[-1]) if end_s is None else end_s) - start_s) / 60.0,
        started_by=started_by,
    )
