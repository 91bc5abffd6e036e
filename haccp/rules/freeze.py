"""Frozen: quickly enough, and kept cold enough in the freezer."""

from __future__ import annotations

from datetime import datetime, timedelta

from haccp.case import BagCheck, Case
from haccp.course import gone_at
from haccp.limits import Limit, exact
from haccp.record import Finding, MediumLog, Outcome, Reading, Stay, Step
from haccp.rules.figures import Beside, asked, beside, in_time, strictest, verdict, worst_reading
from haccp.rules.receive import KINDS
from haccp.wording import span, temperature

FROZEN = "frozen"


def words_of(case: Case) -> frozenset[str]:
    """The words by which the rows for frozen food are chosen."""
    kind = KINDS.get(case.record.method.material)
    words = case.words | {FROZEN}
    return words | {kind} if kind else words


def check_freezer(case: Case) -> list[Finding]:
    """Every freezer in which a bag lay, by its warmest reading; one finding for a freezer.

    A freezer that warmed up is reviewed: what became of the food is judged by the store it then had.
    """
    row = strictest(case.ruleset.limits("freeze", words_of(case), quantity="food_temperature"))
    if row is None:
        return []
    found = []
    for stay, log in _stays(case):
        until = stay.out_at or gone_at(case.bag) or case.record.seen_at
        readings = [each for each in log.readings if each.trusted and stay.into_at <= each.at <= until]
        if not readings:
            continue
        worst = worst_reading(row, readings)
        figure = beside(row, worst)
        outcome, tail = verdict(figure, missed=Outcome.TO_REVIEW, doubtful=Outcome.MEETS)
        said = (
            f"{log.name} read {figure.measured} at its warmest, at {case.clock.time(worst.at)}, with bag "
            f"{case.bag.code} in it; {asked(row)} ({row.whose}){tail}"
        )
        remedy = "Measure the food: is it still hard?" if outcome is Outcome.TO_REVIEW else None
        found.append(
            case.found(
                "freeze.temperature",
                Step.STORE,
                outcome,
                said,
                remedy=remedy,
                since=worst.at if outcome is not Outcome.MEETS else None,
                **figure.figures(worst.entry),
            )
        )
    return found


def _stays(case: Case) -> list[tuple[Stay, MediumLog]]:
    logs = [(stay, case.record.log(stay.log)) for stay in case.bag.store]
    return [(stay, log) for stay, log in logs if log is not None and log.freezer]


def check_frozen_in_time(case: Case) -> list[Finding]:
    """How long a bag took to freeze, from the freezer (or blast freezer) to the core that a row names.

    Only a core reading proves that the core was there.
    """
    rows = case.ruleset.limits("freeze", words_of(case), quantity="cool_stage")
    stays = _stays(case)
    if not rows or not stays:
        return []
    begun = min(stay.into_at for stay, _ in stays)
    return [_in_time(case, row, begun) for row in rows if row.end is not None]


def _in_time(case: Case, row: Limit, begun: datetime) -> Finding:
    code, end = case.bag.code, row.end or row.amount
    start = case.out_at if row.clock == "bath out" and case.out_at is not None else begun
    readings = sorted(
        (each.reading for each in case.bag.core_checks if each.reading.trusted and each.reading.at >= start),
        key=lambda each: each.at,
    )
    there = [each for each in readings if exact(each.celsius) + exact(each.tolerance_k) <= end.exact_celsius]
    warm = [each for each in readings if exact(each.celsius) - exact(each.tolerance_k) > end.exact_celsius]
    deadline = start + timedelta(seconds=row.amount.seconds)
    needed = f"{end} within {row.amount} ({row.whose})"
    if there:
        figure = in_time(row, start, there[0].at)
        if figure.met:
            said = (
                f"The core of bag {code} was frozen to {end} after {figure.measured}; {needed} needed: "
                "met, proven."
            )
            return _found(case, Outcome.MEETS, said, figure, there[0])
    late = [each for each in warm if each.at >= deadline]
    if late:
        figure = in_time(row, start, late[0].at)
        said = (
            f"The core of bag {code} was still at {temperature(late[0].celsius, end.unit, 'up')} after "
            f"{span((late[0].at - start).total_seconds())} of freezing; {needed} needed."
        )
        return _found(case, Outcome.FAILS, said, figure, late[0])
    said = f"No reading shows that the core of bag {code} was frozen in time; {needed} needed."
    open_ = case.record.seen_at <= deadline
    return case.found(
        "freeze.in_time",
        Step.CHILL,
        Outcome.UNPROVEN,
        said,
        limit=row,
        required=f"{end} within {row.amount}",
        remedy=f"Measure the core by {case.clock.time(deadline)}." if open_ else None,
        remedy_by=deadline if open_ else None,
    )


def _found(case: Case, outcome: Outcome, said: str, figure: Beside, reading: Reading) -> Finding:
    return case.found("freeze.in_time", Step.CHILL, outcome, said, **figure.figures(reading.entry))


CHECKS: list[BagCheck] = [check_freezer, check_frozen_in_time]
