"""What is known of one chill stage of a bag: its clock, its end by proof and by best estimate.

A stage whose starting temperature was never reached starts when the bag left the bath.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from haccp.bounds import ProvenCurves
from haccp.case import Case
from haccp.cooling import first_at_or_below, longest_stage, stage
from haccp.limits import Amount, Limit
from haccp.record import Reading, Step

_ONE_THING_S = 120.0
# The core cools ever more slowly once it has lost this share of its excess: from there on a straight line
# through two readings is the quickest course that is possible in the same medium.
_PAST_THE_BEND = 0.7


@dataclass(frozen=True)
class Clocked:
    """One row with its clock: `start_s`, `deadline_s` [s of the curves] and what started it."""

    row: Limit
    end: Amount
    start_s: float
    deadline_s: float
    best_start_s: float
    started_by: str


def clocked_by(case: Case, row: Limit, end: Amount, out_at: datetime) -> Clocked:
    """The clock of one row for a bag that left its bath at `out_at`; `end` is where the stage ends."""
    heat, out_s = case.heat, case.heat.seconds(out_at)
    start_s, best_s, started_by = out_s, out_s, "leaving the bath"
    if row.clock == "chill in":
        begun = min((each.into_at for each in case.bag.chill), default=None)
        if begun is not None:
            start_s = best_s = heat.seconds(begun)
            started_by = "the start of the chill"
        else:
            # Not begun yet: the stage can end no later than if it had begun at the last moment allowed.
            start_s += sum(each.amount.seconds for each in case.limits("cool") if each.event == "chill in")
            best_s, started_by = start_s, "the latest start allowed"
    elif row.clock == "core" and row.start is not None:
        curves = chill_curves(case)
        if curves is not None:
            sure = longest_stage(
                curves.times_s,
                curves.low_c,
                curves.high_c,
                from_c=row.start.celsius,
                to_c=end.celsius,
                clock_start_s=out_s,
            )
            likely = stage(
                curves.times_s, curves.best_c, from_c=row.start.celsius, to_c=end.celsius, clock_start_s=out_s
            )
            start_s, best_s = sure.start_s, likely.start_s
            if start_s != out_s:
                started_by = f"the core's last moment at {row.start}"
    return Clocked(row, end, start_s, start_s + row.amount.seconds, best_s, started_by)


def likely_curves(case: Case) -> ProvenCurves | None:
    """The curves where they reach beyond the bath; what they show may be no more than an estimate."""
    curves, out_at = case.heat.curves, case.out_at
    if curves is None or out_at is None or case.heat.void:
        return None
    return curves if curves.times_s[-1] > case.heat.seconds(out_at) else None


def chill_curves(case: Case) -> ProvenCurves | None:
    """The curves where they may prove something of the chill."""
    return likely_curves(case) if case.heat.proves(Step.CHILL) else None


def core_readings(case: Case) -> list[Reading]:
    """Trusted core readings after the bath; of several of one moment the warmest counts."""
    if case.out_at is None:
        return []
    after = sorted(
        (
            each.reading
            for each in case.bag.core_checks
            if each.reading.trusted and each.reading.at >= case.out_at and each.step != Step.FINISH
        ),
        key=lambda each: each.at,
    )
    return [
        each
        for each in after
        if all(
            other.celsius <= each.celsius
            for other in after
            if abs((other.at - each.at).total_seconds()) <= _ONE_THING_S
        )
    ]


def proven_end(case: Case, clocked: Clocked) -> tuple[float, str] | None:
    """When the core was provenly at the end of the stage, and by what; None if that is not proven."""
    ends: list[tuple[float, str]] = []
    for each in core_readings(case):
        if each.celsius + each.tolerance_k <= clocked.end.celsius:
            ends.append((case.heat.seconds(each.at), "measured in the core"))
            break
    curves = chill_curves(case)
    if curves is not None and case.out_at is not None:
        crossed = first_at_or_below(
            curves.times_s, curves.high_c, clocked.end.celsius, case.heat.seconds(case.out_at)
        )
        if crossed is not None:
            ends.append((crossed, curves.basis))
    return min(ends, default=None)


def likely_end(case: Case, clocked: Clocked) -> float | None:
    """When the core was there by the best estimate: between two readings, or by the best curve.

    The straight line between a warm and a cold reading is an interpolation, never a proof. Nor
    is the curve of a bag whose chill was not read.
    """
    ends: list[float] = []
    warm: Reading | None = None
    for each in core_readings(case):
        if each.celsius <= clocked.end.celsius:
            at_s = case.heat.seconds(each.at)
            if warm is not None:
                share = (warm.celsius - clocked.end.celsius) / (warm.celsius - each.celsius)
                before_s = case.heat.seconds(warm.at)
                at_s = before_s + share * (at_s - before_s)
            ends.append(at_s)
            break
        warm = each
    curves = likely_curves(case)
    if curves is not None and case.out_at is not None:
        crossed = first_at_or_below(
            curves.times_s, curves.best_c, clocked.end.celsius, case.heat.seconds(case.out_at)
        )
        ends += [] if crossed is None else [crossed]
    return min(ends, default=None)


@dataclass(frozen=True)
class Slope:
    """Two core readings in one medium and the earliest moment [s] at which they let the stage end."""

    one: Reading
    two: Reading
    arrives_s: float


def too_flat(case: Case, clocked: Clocked) -> Slope | None:
    """The slope of the newest two readings, if it proves that the stage ends too late in this medium.

    At its steepest within the probes' tolerance; not in the slow beginning of a chill,
    where the slope still grows.
    """
    readings, course = core_readings(case), case.heat.course
    if len(readings) < 2 or course is None or not course.legs:
        return None
    one, two = readings[-2:]
    one_s, two_s = case.heat.seconds(one.at), case.heat.seconds(two.at)
    leg = course.legs[-1]
    if leg.log is None or one_s < leg.start_s or two_s >= clocked.deadline_s:
        return None
    read = [each.celsius for each in leg.log.readings if each.trusted]
    medium_c = min(read) if read else min(clocked.end.celsius, 0.0)
    hottest = max(case.record.method.set_point_c, *(each.celsius for each in readings))
    if one.celsius - medium_c > _PAST_THE_BEND * (hottest - medium_c):
        return None
    fall = (one.celsius + one.tolerance_k) - (two.celsius - two.tolerance_k)
    if fall <= 0.0:
        return None
    left = two.celsius - two.tolerance_k - clocked.end.celsius
    arrives_s = two_s + left * (two_s - one_s) / fall
    return Slope(one, two, arrives_s) if arrives_s > clocked.deadline_s else None
