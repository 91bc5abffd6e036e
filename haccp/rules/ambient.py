"""At room temperature for service: all of a bag's stays together, against the time that a row gives.

Where rows are alternatives (a longer time for food that stays under a temperature), the longer one may be
used only where readings prove its condition.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from haccp.case import BagCheck, Case
from haccp.course import gone_at
from haccp.limits import Limit
from haccp.record import Finding, Outcome, ServiceStay, Step
from haccp.rules.figures import asked, in_time, strictest, verdict
from haccp.rules.hot_hold import tolerated
from haccp.rules.service import AMBIENT, HOT, ONCE, end_of, words_of


def check_ambient(case: Case) -> list[Finding]:
    """Food at room temperature for service: all its stays together, against the rows for them."""
    stays = [each for each in case.bag.services if each.kind == AMBIENT]
    if not stays:
        return []
    words = frozenset[str]().union(*(words_of(case, each) for each in stays))
    rows = case.ruleset.limits("serve_ambient", words, quantity="elapsed_time")
    if "served hot" in words:
        hot = tolerated(case.ruleset.limits("hot_hold", words | {HOT}))
        rows = (*rows, hot) if hot is not None else rows
    if not any(row.operator == "<=" for row in rows):
        return []
    return [*_ambient(case, stays, rows), *_marked(case, stays, rows)]


def _ambient(case: Case, stays: list[ServiceStay], rows: tuple[Limit, ...]) -> list[Finding]:
    code = case.bag.code
    most = [row for row in rows if row.operator == "<=" and _open_to(row, stays, rows)]
    if not most:
        most = [min((row for row in rows if row.operator == "<="), key=lambda row: row.amount.seconds)]
    row = _longest(most)
    total_s = sum((end_of(case, each) - each.from_at).total_seconds() for each in stays)
    figure = in_time(row, case.record.seen_at, case.record.seen_at + timedelta(seconds=total_s))
    outcome, tail = verdict(figure, missed=Outcome.FAILS, doubtful=Outcome.UNPROVEN)
    once = ONCE in row.condition
    said = (
        f"Bag {code} was at room temperature for service from {case.clock.time(stays[0].from_at)}, "
        f"{figure.measured} in all; {asked(row)} ({row.whose}){tail}"
    )
    if outcome is Outcome.MEETS and once and len(stays) > 1:
        outcome = Outcome.FAILS
        said = (
            f"Bag {code} was at room temperature for service {len(stays)} times; one single period is "
            f"allowed ({row.whose})."
        )
    remedy, by = None, None
    here = gone_at(case.bag) is None and any(end_of(case, each) == case.record.seen_at for each in stays)
    if here and outcome is Outcome.MEETS:
        by = case.record.seen_at + timedelta(seconds=row.amount.seconds - total_s)
        remedy = f"Serve it by {case.clock.time(by)}, or throw it away."
    elif here:
        remedy = "Throw it away."
    found = [
        case.found(
            "ambient.time",
            Step.FINISH,
            outcome,
            said,
            since=stays[0].from_at,
            remedy=remedy,
            remedy_by=by,
            **figure.figures(*(each.entry for each in stays)),
        )
    ]
    return found + _back_to_cold(case, stays, rows, total_s)


def _longest(rows: Sequence[Limit]) -> Limit:
    """Of the rows of one table the longest; of all others the strictest, tiers below the last left out."""
    tables: dict[str, list[Limit]] = {}
    for row in rows:
        if row.tier not in ("chill again", "use now"):
            tables.setdefault(row.table or row.id, []).append(row)
    longest = [max(each, key=lambda row: row.amount.seconds) for each in tables.values()]
    return min(longest, key=lambda row: (row.amount.seconds, not row.strict))


def _open_to(row: Limit, stays: Sequence[ServiceStay], rows: Sequence[Limit]) -> bool:
    """Whether a row that asks how warm the food was may be used: only where its readings prove it."""
    if row.second is None:
        return True
    readings = [each for stay in stays for each in stay.readings if each.trusted]
    edge_c = row.second.celsius
    starts = [min(stay.readings, key=lambda each: each.at) for stay in stays if stay.readings]
    cold = row.start is None or (
        len(starts) == len(stays)
        and all(each.celsius + each.tolerance_k <= row.start.celsius for each in starts)
    )
    # A reading at the start proves nothing of the end: there must be one later too.
    return (
        cold
        and len(readings) > len(stays)
        and all(each.celsius + each.tolerance_k <= edge_c for each in readings)
    )


def _back_to_cold(
    case: Case, stays: Sequence[ServiceStay], rows: Sequence[Limit], total_s: float
) -> list[Finding]:
    """Food that was out longer than the row lets it go back into the cold."""
    row = strictest([each for each in rows if each.tier == "chill again"])
    last = max(end_of(case, each) for each in stays)
    back = [each.into_at for each in case.bag.store if each.into_at >= last]
    if row is None or not back:
        return []
    figure = in_time(row, last - timedelta(seconds=total_s), last)
    if figure.met:
        return []
    said = (
        f"Bag {case.bag.code} went back into the cold at {case.clock.time(min(back))} after "
        f"{figure.measured} at room temperature in all; {asked(row)} before that ({row.whose})."
    )
    return [
        case.found(
            "ambient.chilled_again",
            Step.FINISH,
            Outcome.FAILS,
            said,
            since=min(back),
            remedy=None if gone_at(case.bag) else "Throw it away.",
            **figure.figures(),
        )
    ]


def _marked(case: Case, stays: Sequence[ServiceStay], rows: Sequence[Limit]) -> list[Finding]:
    """Where the time stands in place of the temperature, the time to throw it away stands on the food."""
    row = next((each for each in rows if each.event == "discarded"), None)
    if row is None or not any(each.marked is False for each in stays):
        return []
    said = f"Bag {case.bag.code} had no mark with the time at which to throw it away, as asked ({row.whose})."
    return [
        case.found(
            "ambient.marked",
            Step.FINISH,
            Outcome.FAILS,
            said,
            limit=row,
            remedy="Throw away what is not marked.",
        )
    ]


CHECKS: list[BagCheck] = [check_ambient]
