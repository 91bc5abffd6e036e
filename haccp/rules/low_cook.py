"""Cooking at low temperature: a bath never under a temperature, and a core not long below one.

Some authorities print no hold for a water bath but two bounds: how cool the bath may be, and how long
food may be in it before its core is hot enough.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from haccp.case import BagCheck, Case
from haccp.course import Course
from haccp.curves import FloatArray
from haccp.lethality import spans_at_or_above
from haccp.limits import Amount, Limit, exact
from haccp.record import Finding, MediumLog, Outcome, Reading, Step
from haccp.wording import difference, span, temperature

BATH_IN, BATH = "bath in", "bath"


def of_bath(rows: Iterable[Limit]) -> list[Limit]:
    """Those of some cook rows that say how cool a bath may be."""
    return [
        row
        for row in rows
        if row.quantity == "bath_temperature" or (row.quantity == "food_temperature" and row.medium == BATH)
    ]


def check_bath_hot_enough(case: Case) -> list[Finding]:
    """The baths of a bag against every row on how cool a bath may be."""
    return [_bath(case, row) for row in of_bath(case.limits("cook")) if case.bag.cook]


def _bath(case: Case, row: Limit) -> Finding:
    baths, edge = _baths(case), row.amount.exact_celsius
    code, unit = case.bag.code, row.unit
    low = [each for each, _ in baths if each.set_point_c is not None and exact(each.set_point_c) < edge]
    read = [reading for _, readings in baths for reading in readings]
    coldest = min(read, key=lambda each: each.celsius, default=None)
    required = f"at least {row.amount}"
    if low:
        set_c = min(each.set_point_c for each in low if each.set_point_c is not None)
        said = (
            f"{low[0].name} was set to {temperature(set_c, unit)} with bag {code} in it; {row.amount} at "
            f"least ({row.whose}): {difference(row.amount.celsius - set_c, unit)} too low."
        )
        return case.found(
            "cook.bath",
            Step.COOK,
            Outcome.FAILS,
            said,
            limit=row,
            measured=temperature(set_c, unit),
            required=required,
        )
    if coldest is None:
        said = f"No reading shows how warm the bath of bag {code} was; {row.amount} at least ({row.whose})."
        return case.found(
            "cook.bath",
            Step.COOK,
            Outcome.UNPROVEN,
            said,
            limit=row,
            required=required,
            remedy="Log readings that someone took.",
        )
    figures = {"measured": temperature(coldest.celsius, unit, "down"), "required": required}
    where = f"The bath of bag {code} read {figures['measured']} at its coldest"
    if exact(coldest.celsius) < edge:
        said = (
            f"{where}, at {case.clock.time(coldest.at)}; {row.amount} at least ({row.whose}): "
            f"{difference(row.amount.celsius - coldest.celsius, unit)} too low. A competent person decides."
        )
        entries = (coldest.entry,) if coldest.entry else ()
        return case.found(
            "cook.bath", Step.COOK, Outcome.TO_REVIEW, said, limit=row, entries=entries, **figures
        )
    said = f"{where}; {row.amount} at least ({row.whose}): met at every reading."
    return case.found("cook.bath", Step.COOK, Outcome.MEETS, said, limit=row, **figures)


def _baths(case: Case) -> list[tuple[MediumLog, list[Reading]]]:
    """The logs of the baths in which the bag was, each with its trusted readings while it was there."""
    found = []
    for stay in case.bag.cook:
        log = case.record.log(stay.log)
        if log is not None:
            until = stay.out_at or case.record.seen_at
            inside = [each for each in log.readings if each.trusted and stay.into_at <= each.at <= until]
            found.append((log, inside))
    return found


@dataclass(frozen=True)
class Below:
    """How long a core was in a bath and below a temperature [s]: at the least, likely, at the most."""

    least_s: float
    likely_s: float
    most_s: float


def check_time_below(case: Case) -> list[Finding]:
    """How long the core was in the bath and not yet as hot as a row asks, against the time of the row."""
    course = case.heat.course
    if course is None:
        return []
    rows = [
        row for row in case.limits("cook", "elapsed_time") if row.clock == BATH_IN and row.end is not None
    ]
    return [found for row in rows if (found := _below(case, course, row, row.end)) is not None]


def _below(case: Case, course: Course, row: Limit, end: Amount | None) -> Finding | None:
    if end is None:
        return None
    time = _time_below(case, course, end.celsius)
    allowed, code = row.amount.seconds, case.bag.code
    asked = f"{row.amount} at most ({row.whose})"
    required = f"at most {row.amount} below {end}"
    if time.most_s <= allowed and not (course.in_bath and _still_below(case, end)):
        said = (
            f"The core of bag {code} was in the bath and below {end} for {span(time.most_s, 'up')} at the "
            f"very most; {asked}: met, proven."
        )
        return case.found(
            "cook.time_below",
            Step.COOK,
            Outcome.MEETS,
            said,
            limit=row,
            measured=f"{span(time.most_s, 'up')} at the very most",
            required=required,
            margin=f"{span(allowed - time.most_s)} to spare",
        )
    if time.least_s > allowed:
        said = (
            f"The core of bag {code} was in the bath and below {end} for {span(time.least_s)} or more; "
            f"{asked}: {span(time.least_s - allowed, 'up')} too long, proven."
        )
        return case.found(
            "cook.time_below",
            Step.COOK,
            Outcome.FAILS,
            said,
            limit=row,
            measured=f"{span(time.least_s)} or more",
            required=required,
            margin=f"{span(time.least_s - allowed, 'up')} over",
        )
    if course.in_bath and time.most_s <= allowed:
        by = case.heat.moment(_begun_s(course) + allowed)
        said = (
            f"The core of bag {code} is in the bath and not yet at {end} by what is proven; {asked}, so by "
            f"{case.clock.time(by)}."
        )
        remedy = f"Its core at {end}, or the bag out of the bath, by {case.clock.time(by)}."
        return case.found(
            "cook.time_below",
            Step.COOK,
            Outcome.UNPROVEN,
            said,
            limit=row,
            required=required,
            remedy=remedy,
            remedy_by=by,
        )
    said = (
        f"By the best estimate the core of bag {code} was in the bath and below {end} for "
        f"{span(time.likely_s, 'up')}, and {span(time.most_s, 'up')} at the very most; {asked}: not proven."
    )
    return case.found(
        "cook.time_below",
        Step.COOK,
        Outcome.UNPROVEN,
        said,
        limit=row,
        measured=f"{span(time.most_s, 'up')} at the very most",
        required=required,
        best=span(time.likely_s, "up"),
        remedy="Log the core readings and bath readings that someone took.",
    )


def _begun_s(course: Course) -> float:
    return min((leg.start_s for leg in course.legs if leg.step == Step.COOK), default=0.0)


def _still_below(case: Case, end: Amount) -> bool:
    """Whether the core is not provenly at a temperature now."""
    curves = case.heat.curves
    return curves is None or not case.heat.proves(Step.COOK) or float(curves.low_c[-1]) < end.celsius


def _time_below(case: Case, course: Course, celsius: float) -> Below:
    """Without proven curves all the time in the bath may have been below, and none of it."""
    legs = [(leg.start_s, leg.end_s) for leg in course.legs if leg.step == Step.COOK]
    whole_s = math.fsum(end - start for start, end in legs)
    curves = case.heat.curves
    if curves is None or not case.heat.proves(Step.COOK):
        return Below(0.0, whole_s, whole_s)

    def below_s(core_c: FloatArray) -> float:
        hot = spans_at_or_above(curves.times_s, core_c, celsius)
        return whole_s - math.fsum(
            max(0.0, min(end, until) - max(start, since)) for start, end in legs for since, until in hot
        )

    return Below(below_s(curves.high_c), below_s(curves.best_c), below_s(curves.low_c))


CHECKS: list[BagCheck] = [check_bath_hot_enough, check_time_below]
