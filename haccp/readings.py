"""A series of readings of one medium, and what the medium may have done between them.

A reading says what a probe saw at one moment, give or take its tolerance. Between two readings the
medium can have been anywhere that its own greatest rate of fall (an open lid, cold bags, a dead
heater) and of rise (the heater at full power) allow. The lower envelope therefore falls from each
reading at the greatest rate and rises to the next at the greatest rate: a V. The upper envelope is
its mirror image. Before the first and after the last reading the same rates apply without end, down
to a floor or up to a ceiling that the medium can't pass.

The best estimate is the straight line from reading to reading, and the nearest reading outside.
Moments are seconds from the bag's epoch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Final

import numpy as np

from haccp.curves import FloatArray
from haccp.errors import ReadingsError
from haccp.record import Reading

Knots = tuple[FloatArray, FloatArray]
# Two moments this close are one: no kitchen reads more often.
SAME_MOMENT_S: Final = 0.1


@dataclass(frozen=True)
class Series:
    """Readings in order: moments [s] (n,), temperatures [°C] (n,), tolerance of each [K] (n,).

    `lowest_c` and `highest_c` [°C] (n,) are what each moment allows. They differ by more than the
    tolerance only where two readings of one moment disagree: then both are kept as the edges, and
    `celsius` is the lower of the two, because several readings of one thing count by the lowest.
    Errors: :class:`ReadingsError` if there is none, if one is not a number, or if they are not in order.
    """

    times_s: FloatArray
    celsius: FloatArray
    tolerance_k: FloatArray
    highest_read_c: FloatArray | None = None

    def __post_init__(self) -> None:
        for name in ("times_s", "celsius", "tolerance_k"):
            object.__setattr__(self, name, np.atleast_1d(np.asarray(getattr(self, name), dtype=np.float64)))
        if self.highest_read_c is None:
            object.__setattr__(self, "highest_read_c", self.celsius)
        if self.times_s.ndim != 1 or self.times_s.size == 0:
            raise ReadingsError("There is no reading; take one before the bag is judged.")
        if not self.times_s.shape == self.celsius.shape == self.tolerance_k.shape:
            raise ReadingsError("Every reading needs a moment, a temperature and a tolerance.")
        if not all(np.isfinite(each).all() for each in (self.times_s, self.celsius, self.tolerance_k)):
            raise ReadingsError("A reading is not a number; leave it out or type it again.")
        if not (np.diff(self.times_s) > 0.0).all():
            raise ReadingsError("Readings must be in order of time, each moment once; sort them first.")
        if (self.tolerance_k < 0.0).any():
            raise ReadingsError("A probe's tolerance can't be negative.")

    @property
    def lowest_c(self) -> FloatArray:
        """The lowest that the medium can have been at each reading [°C]."""
        return self.celsius - self.tolerance_k

    @property
    def highest_c(self) -> FloatArray:
        """The highest that the medium can have been at each reading [°C]."""
        highest: FloatArray = (
            self.celsius if self.highest_read_c is None else self.highest_read_c
        ) + self.tolerance_k
        return highest

    @classmethod
    def from_readings(cls, readings: Sequence[Reading], epoch: datetime) -> Series:
        """The trusted ones among `readings`, in order of time, in seconds from `epoch`.

        Untrusted readings are left out. Readings of one moment become one: the lowest counts, the
        highest is kept for the upper side, the tolerance is the wider.
        Errors: :class:`ReadingsError` if nothing is left or a value is not a number.
        """
        trusted = [each for each in readings if each.trusted]
        if not trusted:
            raise ReadingsError(
                "There is no trusted reading; take one with a probe that has passed its check."
            )
        table = np.array(
            [
                [(each.at - epoch).total_seconds() for each in trusted],
                [each.celsius for each in trusted],
                [each.tolerance_k for each in trusted],
            ],
            dtype=np.float64,
        ).T
        if not np.isfinite(table).all():
            wrong = trusted[int(np.argmin(np.isfinite(table).all(axis=1)))]
            raise ReadingsError(f"The reading of {wrong.at:%H:%M:%S} is not a number; type it again.")
        table = table[np.argsort(table[:, 0], kind="stable")]
        first = np.flatnonzero(np.diff(table[:, 0], prepend=-np.inf))
        times, celsius, tolerances = table[first, 0], table[:, 1], table[:, 2]
        return cls(
            times,
            np.minimum.reduceat(celsius, first),
            np.maximum.reduceat(tolerances, first),
            np.maximum.reduceat(celsius, first),
        )


def best_estimate(series: Series, start_s: float, end_s: float) -> Knots:
    """Corners (moments, °C) of the most likely course of the medium from `start_s` to `end_s` [s]."""
    _check_span(start_s, end_s)
    times = _corners(series.times_s, start_s, end_s)
    return times, np.interp(times, series.times_s, series.celsius)


def lower_envelope(
    series: Series,
    start_s: float,
    end_s: float,
    *,
    fall_k_per_min: float,
    rise_k_per_min: float,
    floor_c: float = 0.0,
) -> Knots:
    """Corners (moments, °C) of the lowest course of the medium that the readings allow.

    `fall_k_per_min`, `rise_k_per_min` [K/min]: the greatest rates that the medium itself can do;
    infinite is allowed. `floor_c` [°C]: it never falls below, unless a reading did.
    Neighbours further apart than the rates allow: within their tolerances, the straight line between
    them; beyond, the rates were wrong there, and the medium may have been at the lower one all along.
    Errors: :class:`ReadingsError` for an empty span or rates that are not positive.
    """
    return _envelope(
        series.times_s,
        series.lowest_c,
        series.highest_c,
        start_s,
        end_s,
        fall_k_per_min,
        rise_k_per_min,
        floor_c,
    )


def upper_envelope(
    series: Series,
    start_s: float,
    end_s: float,
    *,
    fall_k_per_min: float,
    rise_k_per_min: float,
    ceiling_c: float = 100.0,
) -> Knots:
    """Corners (moments, °C) of the highest course of the medium that the readings allow.

    As :func:`lower_envelope`, turned upside down; `ceiling_c` [°C] is what it never passes.
    """
    times, celsius = _envelope(
        series.times_s,
        -series.highest_c,
        -series.lowest_c,
        start_s,
        end_s,
        rise_k_per_min,
        fall_k_per_min,
        -ceiling_c,
    )
    return times, -celsius


def gaps(series: Series, longest_s: float, start_s: float, end_s: float) -> list[tuple[float, float]]:
    """Spans [s] longer than `longest_s` between `start_s` and `end_s` in which nothing was read.

    A span runs from reading to reading: the last one before and the first one after count, also
    where they lie outside. It begins at `start_s` or ends at `end_s` where there is none.
    Errors: :class:`ReadingsError` for an empty span or a longest time that is not positive.
    """
    _check_span(start_s, end_s)
    if not longest_s > 0.0:
        raise ReadingsError("The longest time between readings must be positive.")
    times = series.times_s
    marks = [float(each) for each in times[(times > start_s) & (times < end_s)]]
    before, after = times[times <= start_s], times[times >= end_s]
    marks.insert(0, float(before[-1]) if before.size else start_s)
    marks.append(float(after[0]) if after.size else end_s)
    return [(a, b) for a, b in pairwise(marks) if b - a > longest_s]


def _envelope(
    read_s: FloatArray,
    lowest_c: FloatArray,
    highest_c: FloatArray,
    start_s: float,
    end_s: float,
    fall_k_per_min: float,
    rise_k_per_min: float,
    floor_c: float,
) -> Knots:
    _check_span(start_s, end_s)
    if not (fall_k_per_min > 0.0 and rise_k_per_min > 0.0):
        raise ReadingsError("The greatest rates of a medium must be positive, in K per minute.")
    # An infinite rate is an instant one; 1e6 K in a second does the same and divides.
    fall, rise = min(fall_k_per_min / 60.0, 1e6), min(rise_k_per_min / 60.0, 1e6)
    floor = min(floor_c, float(lowest_c.min()))
    pins = _pins(read_s, lowest_c, highest_c, fall, rise)
    times = _corners(np.concatenate([read_s, _bends(read_s, pins - floor, fall, rise)]), start_s, end_s)
    return times, _lowest(times, read_s, pins, fall, rise, floor)


def _corners(times_s: FloatArray, start_s: float, end_s: float) -> FloatArray:
    """`start_s`, those of `times_s` in between, in order and no two within `SAME_MOMENT_S`, and `end_s`."""
    inside = np.unique(times_s[(times_s > start_s + SAME_MOMENT_S) & (times_s < end_s - SAME_MOMENT_S)])
    kept = np.ones(inside.size, dtype=bool)
    for close in np.flatnonzero(np.diff(inside) <= SAME_MOMENT_S) + 1:
        last = close - 1
        while not kept[last]:
            last -= 1
        kept[close] = inside[close] - inside[last] > SAME_MOMENT_S
    inside = inside[kept]
    return np.concatenate([[start_s], inside, [end_s]])


def _pins(
    read_s: FloatArray, lowest_c: FloatArray, highest_c: FloatArray, fall: float, rise: float
) -> FloatArray:
    """The lowest at each reading; lower still next to a change that the rates can't explain.

    Such a change may have come at once after the first reading (a fall), or just before the second
    one (a rise), so the higher of the two takes the value of the lower.
    """
    gap = np.diff(read_s)
    fell = lowest_c[:-1] - fall * gap > highest_c[1:]
    rose = lowest_c[1:] - rise * gap > highest_c[:-1]
    pins = lowest_c.copy()
    pins[:-1] = np.where(fell, np.minimum(pins[:-1], lowest_c[1:]), pins[:-1])
    pins[1:] = np.where(rose, np.minimum(pins[1:], lowest_c[:-1]), pins[1:])
    return pins


def _bends(read_s: FloatArray, above: FloatArray, fall: float, rise: float) -> FloatArray:
    """When the lowest course bends between readings; `above` [K] is each pin less the floor."""
    gap, change = np.diff(read_s), np.diff(above)
    meet = (rise * gap - change) / (fall + rise)
    bottom = (meet > 0.0) & (meet < gap)
    # The lines from either side reach the floor before they would meet.
    to_floor, from_floor = above / fall, above / rise
    reaches = np.append(bottom & (to_floor[:-1] < meet), True)
    leaves = np.insert(bottom & (gap - from_floor[1:] > meet), 0, True)
    return np.concatenate(
        [(read_s[:-1] + meet)[bottom], (read_s + to_floor)[reaches], (read_s - from_floor)[leaves]]
    )


def _lowest(
    times: FloatArray, read_s: FloatArray, pins: FloatArray, fall: float, rise: float, floor: float
) -> FloatArray:
    """The lower envelope at `times`: above the lines from both neighbours, never above the chord."""
    after = np.searchsorted(read_s, times, side="left")
    before = np.searchsorted(read_s, times, side="right") - 1
    has_before, has_after = before >= 0, after < read_s.size
    before, after = before.clip(0), after.clip(max=read_s.size - 1)
    falling = np.where(has_before, pins[before] - fall * (times - read_s[before]), -np.inf)
    rising = np.where(has_after, pins[after] - rise * (read_s[after] - times), -np.inf)
    lowest = np.maximum(np.maximum(falling, rising), floor)
    return np.where(has_before & has_after, np.minimum(lowest, np.interp(times, read_s, pins)), lowest)


def _check_span(start_s: float, end_s: float) -> None:
    if not (math.isfinite(start_s) and math.isfinite(end_s) and start_s < end_s):
        raise ReadingsError("The bag must leave the medium after it went in.")
