"""The cook: did the middle of the bag get hot enough for long enough, by what is proven?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import timedelta

import numpy as np

from haccp.bounds import ProvenCurves
from haccp.case import BagCheck, Case
from haccp.holds import Held, best_held, first_met
from haccp.limits import Limit, Table
from haccp.record import Finding, Outcome, Step
from haccp.targets import adding_up
from haccp.wholecurve import Worth, along_the_table, by_targets
from haccp.wording import difference, span, temperature

HOLDS = ("core_hold", "core_temperature")
_NOT_SAID = "As far as its text was seen, it does not say that times at several temperatures may be added up."
# Readings of one core within this time are readings of one thing: the lowest counts. Own choice.
ONE_THING = timedelta(minutes=2)


def cook_tables(case: Case) -> list[tuple[Table, list[Limit]]]:
    """The tables of cook rows that the food triggers; each of them must be met."""
    tables: dict[str, tuple[Table, list[Limit]]] = {}
    for row in case.limits("cook"):
        if row.quantity in HOLDS:
            table = case.ruleset.table(row)
            tables.setdefault(table.key, (table, []))[1].append(row)
    return list(tables.values())


def check_hold(case: Case) -> list[Finding]:
    """The hold of every table that applies; several are all to be met, so the strictest governs."""
    tables = cook_tables(case)
    if case.heat.course is None:
        return _not_cooked(case)
    if not tables:
        said = (
            f"{case.ruleset.name} prints no cook limit that applies to this food "
            f"({', '.join(sorted(case.record.method.attributes)) or 'no attributes given'})."
        )
        return [
            case.found(
                "cook.hold",
                Step.COOK,
                Outcome.UNPROVEN,
                said,
                remedy="Check the attributes of the method, or ask the authority which limit holds.",
            )
        ]
    if not case.heat.proves(Step.COOK) or case.heat.curves is None:
        return [*_doubts(case), *(each for pair in tables for each in _measured(case, *pair))]
    return [_hold(case, table, rows, case.heat.curves) for table, rows in tables]


def _not_cooked(case: Case) -> list[Finding]:
    later = case.bag.chill or case.bag.store or case.bag.finishes
    if later:
        said = (
            f"Bag {case.bag.code} has no stay in a bath in the record, but it was chilled, stored or "
            "finished."
        )
        remedy = "Log when it was in the bath, as a late entry; without it the cook stays unproven."
    else:
        said = f"Bag {case.bag.code} has not been in the bath yet."
        remedy = "Log when it goes in."
    rule = "cook.hold" if later else "cook.begun"
    return [case.found(rule, Step.COOK, Outcome.UNPROVEN, said, remedy=remedy)]


def _doubts(case: Case) -> list[Finding]:
    return [
        case.found(
            "cook.evidence",
            Step.COOK,
            Outcome.UNPROVEN,
            each.sentence,
            remedy=each.remedy,
            since=each.since,
        )
        for each in case.heat.doubts
        if each.step in (Step.COOK, Step.BAG)
    ]


def _measured(case: Case, table: Table, rows: Sequence[Limit]) -> list[Finding]:
    """Without a curve only a measured core can prove a row, and only one without a hold.

    Of several readings of one thing the lowest counts.
    """
    instant = [row for row in rows if row.quantity == "core_temperature" or not (row.hold and row.hold.value)]
    readings = [
        each.reading for each in case.bag.core_checks if each.step == Step.COOK and each.reading.trusted
    ]
    for reading in readings:
        together = [each for each in readings if abs(each.at - reading.at) <= ONE_THING]
        lowest = min(together, key=lambda each: each.celsius - each.tolerance_k)
        low_c = lowest.celsius - lowest.tolerance_k
        met = [row for row in instant if low_c >= row.amount.celsius]
        if met:
            row = max(met, key=lambda each: each.amount.celsius)
            said = (
                f"The core of bag {case.bag.code} was measured at "
                f"{temperature(lowest.celsius, row.unit, 'down')} at "
                f"{case.clock.time(lowest.at)}; "
                f"{row.amount} needed ({table.name}): met by measurement, though the bath's record has a "
                "hole."
            )
            return [case.found("cook.measured", Step.COOK, Outcome.MEETS, said, limit=row)]
    return []


def _hold(case: Case, table: Table, rows: Sequence[Limit], curves: ProvenCurves) -> Finding:
    low = best_held(rows, curves.times_s, curves.low_c)
    likely = best_held(rows, curves.times_s, curves.best_c)
    if low.met:
        return _met(case, table, low, likely, curves)
    if case.heat.course is not None and case.heat.course.in_bath:
        return _running(case, table, rows, low, curves)
    added = along_the_table(case, table, rows, curves)
    if added is not None and added.enough:
        return _by_the_whole_curve(case, table, low, likely, [added], curves)
    if likely.met:
        return _open(case, table, low, likely, curves)
    reckoned = by_targets(case, low.row, curves)
    if not (reckoned and all(each.enough for each in reckoned)):
        reckoned = []
    if reckoned and low.row.regime in adding_up():
        return _by_the_whole_curve(case, table, low, likely, reckoned, curves)
    return _missed(case, table, rows, low, likely, reckoned, curves)


def _reached(hold: Held) -> str:
    """How far a hold came: ``41 min at 60 °C or above``, or the temperature; rounded down either way."""
    if hold.needed_s == 0.0 or not hold.spans:
        return temperature(hold.highest_c, hold.row.unit, "down")
    return f"{span(hold.held_s)} at {hold.row.amount} or above"


def _figures(low: Held, likely: Held) -> dict[str, object]:
    """The figures of a hold apart from its sentence."""
    unit, row = low.row.unit, low.row
    if low.needed_s == 0.0 or not low.spans:
        short = row.amount.celsius - low.highest_c
        return {
            "measured": _reached(low),
            "required": row.printed,
            "margin": f"{difference(short, unit)} {'short' if short > 0 else 'to spare'}",
            "best": temperature(likely.highest_c, unit, "down"),
        }
    over = low.held_s - low.needed_s
    return {
        "measured": f"{span(low.held_s)} at {row.amount}",
        "required": row.printed,
        "margin": f"{span(over)} to spare" if over >= 0 else f"{span(-over, 'up')} short",
        "measured_value": low.held_s / 60.0,
        "required_value": low.needed_s / 60.0,
        "unit": "min",
        "best": _reached(likely),
    }


def _met(case: Case, table: Table, low: Held, likely: Held, curves: ProvenCurves) -> Finding:
    if low.needed_s == 0.0:
        said = (
            f"Core of bag {case.bag.code} reached {temperature(low.highest_c, low.row.unit, 'down')}; "
            f"{low.row.amount} needed ({table.name}): met, proven."
        )
    else:
        said = (
            f"Core of bag {case.bag.code} held {span(low.held_s)} at {low.row.amount} or above; "
            f"{low.row.hold} needed "
            f"({table.name}): met with {span(low.held_s - low.needed_s)} to spare, proven."
        )
    return case.found(
        "cook.hold",
        Step.COOK,
        Outcome.MEETS,
        said,
        limit=low.row,
        basis=curves.basis,
        **_figures(low, likely),
    )


def _running(case: Case, table: Table, rows: Sequence[Limit], low: Held, curves: ProvenCurves) -> Finding:
    code, name = case.bag.code, table.name
    far = f"{low.row.amount} or above is proven for {span(low.held_s)} so far; {low.row.hold} needed ({name})"
    if not low.spans or low.needed_s == 0.0:
        far = (
            f"{temperature(max(float(curves.low_c[-1]), float(curves.low_c[0])), low.row.unit, 'down')} is "
            "proven for "
            f"the core so far; {low.row.printed} needed ({name})"
        )
    ahead = case.heat.forecast
    coming = None if ahead is None else first_met(rows, ahead.times_s, ahead.low_c)
    figures = _figures(low, low)
    figures["best"] = f"{temperature(float(curves.best_c[-1]), low.row.unit, 'down')} now"
    if coming is None or coming.ends_s is None:
        lowest = min((row.amount for row in rows), key=lambda each: each.celsius)
        return case.found(
            "cook.hold",
            Step.COOK,
            Outcome.UNPROVEN,
            f"Bag {code} is still in the bath: {far}. As the bath stands it will not be met.",
            limit=low.row,
            remedy=f"Raise the bath well above {lowest} and log it.",
            basis=curves.basis,
            **figures,
        )
    until = case.heat.moment(coming.ends_s)
    what = f"{coming.row.printed} ({name})"
    return case.found(
        "cook.hold",
        Step.COOK,
        Outcome.UNPROVEN,
        f"Bag {code} is still in the bath: {far}. If the bath stays in its band, {what} is met at "
        f"{case.clock.time_up(until)}.",
        limit=coming.row,
        remedy=f"Keep it in the bath until {case.clock.time_up(until)}.",
        remedy_by=until,
        basis=curves.basis,
        **figures,
    )


def _by_the_whole_curve(
    case: Case, table: Table, low: Held, likely: Held, worth: Sequence[Worth], curves: ProvenCurves
) -> Finding:
    """No row was kept, but the curve as a whole is worth what is asked: to review, never met."""
    allowed = adding_up().get(low.row.regime, _NOT_SAID)
    said = (
        f"No row of the {table.name} was kept by bag {case.bag.code}: {_shortfall(low)}. {_worth(worth)}. "
        f"{allowed} A competent person decides."
    )
    return case.found(
        "cook.whole_curve",
        Step.COOK,
        Outcome.TO_REVIEW,
        said,
        limit=low.row,
        basis=f"{curves.basis}; {worth[0].way[0].lower()}{worth[0].way[1:]}, {worth[0].counted}",
        since=case.out_at,
        **_figures(low, likely),
    )


def _worth(worth: Sequence[Worth]) -> str:
    """What the whole curve is worth in words: the reduction rounded down, what is asked rounded up."""
    parts = []
    for each in worth:
        grown = math.ceil(each.grown * 10.0 - 1e-6) / 10.0
        asked = f"{each.target:g} log"
        if grown:
            asked += f" and {grown:g} log for what can have grown on the way up"
        parts.append(
            f"{math.floor(each.proven * 10.0 + 1e-6) / 10.0:g} log of {each.organism}, {asked} needed"
        )
    return f"{worth[0].way} the whole curve is worth {'; '.join(parts)}"


def _shortfall(low: Held) -> str:
    """What is proven, and what was asked."""
    if not low.spans or low.needed_s == 0.0:
        short = difference(low.row.amount.celsius - low.highest_c, low.row.unit)
        return f"{_reached(low)} is proven, {short} under {low.row.amount}"
    return f"{low.row.amount} or above is proven for {span(low.held_s)}, {low.row.hold} asked"


def _open(case: Case, table: Table, low: Held, likely: Held, curves: ProvenCurves) -> Finding:
    said = (
        f"Of the core of bag {case.bag.code} too little is proven: {_shortfall(low)} ({table.name}). The "
        f"best estimate is {_reached(likely)}, but what the readings leave open is too much to be sure."
    )
    return case.found(
        "cook.hold",
        Step.COOK,
        Outcome.UNPROVEN,
        said,
        limit=low.row,
        since=case.out_at,
        basis=curves.basis,
        remedy=_back_into_the_bath(case),
        **_figures(low, likely),
    )


def _missed(
    case: Case,
    table: Table,
    rows: Sequence[Limit],
    low: Held,
    likely: Held,
    reckoned: Sequence[Worth],
    curves: ProvenCurves,
) -> Finding:
    """Missed by what is proven and by the best estimate; what it is `reckoned` to be worth lifts nothing."""
    code = case.bag.code
    # It is proven to have missed only if the most that the readings allow misses too.
    surely = not best_held(rows, curves.times_s, curves.high_c).met
    tail = ", proven." if surely else "."
    if not low.spans or low.needed_s == 0.0:
        short = difference(low.row.amount.celsius - low.highest_c, low.row.unit)
        said = (
            f"{_reached(low)} is proven for the core of bag {code}; {low.row.printed} needed ({table.name}): "
            f"{short} short{tail}"
        )
    elif surely:
        said = (
            f"Core of bag {code} held {_reached(low)}; {low.row.hold} needed ({table.name}): "
            f"{span(low.needed_s - low.held_s, 'up')} short{tail}"
        )
    else:
        said = (
            f"{_reached(low)} is proven for the core of bag {code}; {low.row.hold} needed ({table.name}): "
            f"{span(low.needed_s - low.held_s, 'up')} short{tail}"
        )
    said += f" The best estimate misses it too: {_reached(likely)}."
    if reckoned:
        said += f" {_worth(reckoned)}; a model lifts no rule. {_NOT_SAID}"
    return case.found(
        "cook.hold",
        Step.COOK,
        Outcome.FAILS,
        said,
        limit=low.row,
        since=case.out_at,
        basis=curves.basis,
        remedy=_back_into_the_bath(case),
        **_figures(low, likely),
    )


def _back_into_the_bath(case: Case) -> str | None:
    """What can still be done for a bag that left the bath too early: only before its chill."""
    if case.bag.chill or case.bag.store or case.bag.finishes:
        return None
    return (
        "Back into the bath at once, and log it: the hold goes on counting, and the time of both come-ups "
        "counts "
        "together. If not at once, discard it."
    )


def check_core_readings(case: Case) -> list[Finding]:
    """A measured core below the proven one says that the calculation does not fit this bag."""
    curves = case.heat.curves
    if curves is None or case.heat.course is None or case.heat.void:
        return []
    readings = sorted(
        (each.reading for each in case.bag.core_checks if each.step == Step.COOK and each.reading.trusted),
        key=lambda each: each.at,
    )
    found = []
    for number, reading in enumerate(readings):
        at_s = case.heat.seconds(reading.at)
        if not curves.times_s[0] <= at_s <= curves.times_s[-1]:
            continue
        together = [each for each in readings if abs(each.at - reading.at) <= ONE_THING]
        lowest = min(together, key=lambda each: each.celsius)
        if lowest is not reading or any(each is lowest for each in readings[:number]):
            continue
        proven_c = float(np.interp(at_s, curves.times_s, curves.low_c))
        if reading.celsius + reading.tolerance_k < proven_c:
            found.append(
                _contradiction(case, reading.celsius, proven_c, case.clock.time(reading.at), reading.entry)
            )
    return found


def _contradiction(case: Case, celsius: float, proven_c: float, when: str, entry: str) -> Finding:
    unit = next((row.unit for _, rows in cook_tables(case) for row in rows), "degC")
    said = (
        f"The core of bag {case.bag.code} was measured at {temperature(celsius, unit)} at {when}, where the "
        "bath's "
        f"readings would give at least {temperature(proven_c, unit, 'down')}. The bag is thicker, colder at "
        "the start "
        "or less in the water than was logged, or the needle was not in the middle."
    )
    return case.found(
        "cook.core_reading",
        Step.COOK,
        Outcome.TO_REVIEW,
        said,
        measured=temperature(celsius, unit),
        required=f"at least {temperature(proven_c, unit, 'down')}",
        margin=f"{difference(proven_c - celsius, unit)} too low",
        remedy="Measure again in the middle of the thickest place; the lowest reading counts.",
        entries=(entry,) if entry else (),
    )


CHECKS: list[BagCheck] = [check_hold, check_core_readings]
