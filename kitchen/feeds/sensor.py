"""Values with which a sensor says that it has not measured, told from real ones by what is round them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise
from statistics import median
from typing import NamedTuple

# Typical of a sensor that has just been powered up (85), has lost its wire (−127) or has nothing to say.
_PLACEHOLDERS_C = frozenset(Decimal(each) for each in ("85", "-127"))
_PLACEHOLDERS_RAW = frozenset(
    Decimal(each)
    for each in ("999", "999.9", "-999", "-999.9", "9999", "-9999", "850", "-200", "32767", "-32768")
)
# Beyond these no probe of a kitchen reads, whatever it is pushed into.
LOWEST_C, HIGHEST_C = Decimal(-60), Decimal(300)
_NEAR_K = Decimal(1)
_STEPS = 3
_LONGEST_DROPOUT = 3


class Value(NamedTuple):
    """One value of a channel. Values of different segments are no context for each other."""

    raw: Decimal
    celsius: Decimal
    segment: int


def is_placeholder(value: Value) -> bool:
    """Whether the value is one that sensors give when they have not measured."""
    return value.celsius in _PLACEHOLDERS_C or value.raw in _PLACEHOLDERS_RAW


def judge(values: Sequence[Value]) -> dict[int, str]:
    """The places in `values` that are errors of the sensor, with the reason for each.

    A placeholder is a real reading if a value beside its run lies as near as the
    channel usually steps; with nothing near, or nothing at all beside it, it is
    not. A lone zero between two values that are both far from it is a drop-out.
    """
    refused: dict[int, str] = {}
    start = 0
    while start < len(values):
        stop = start + 1
        while (
            stop < len(values)
            and values[stop].segment == values[start].segment
            and (values[stop].celsius == values[start].celsius)
        ):
            stop += 1
        reason = _reason(values, start, stop)
        if reason:
            refused.update(dict.fromkeys(range(start, stop), reason))
        start = stop
    return refused


def _reason(values: Sequence[Value], start: int, stop: int) -> str | None:
    value = values[start]
    suspect = is_placeholder(value)
    zero = value.raw == 0 and stop - start <= _LONGEST_DROPOUT
    if suspect or zero:
        before, after = _context(values, start - 1, -1, value), _context(values, stop, 1, value)
        near = max(_NEAR_K, _STEPS * _usual_step(before, after))
        beside = [abs(side[0] - value.celsius) <= near for side in (before, after) if side]
        if suspect and not any(beside):
            return f"an error value of the sensor ({value.raw}): nothing beside it is near"
        if zero and len(beside) == 2 and not any(beside):
            return "a drop-out of the sensor (0): the readings on both sides are far from it"
    if not LOWEST_C <= value.celsius <= HIGHEST_C:
        return f"outside what a probe in a kitchen can read ({LOWEST_C} to {HIGHEST_C} °C)"
    return None


def _context(values: Sequence[Value], at: int, way: int, value: Value) -> list[Decimal]:
    """Up to five real-looking temperatures beside a run, nearest first, of the same segment."""
    found: list[Decimal] = []
    looked = 0
    while 0 <= at < len(values) and values[at].segment == value.segment and len(found) < 5 and looked < 50:
        if not is_placeholder(values[at]) and LOWEST_C <= values[at].celsius <= HIGHEST_C:
            found.append(values[at].celsius)
        at += way
        looked += 1
    return found


def _usual_step(*sides: list[Decimal]) -> Decimal:
    steps = [abs(one - other) for side in sides for one, other in pairwise(side)]
    return median(steps) if steps else Decimal(0)
