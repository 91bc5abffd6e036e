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
    total = sum((end_of(case, each) - each.from_at for each in stays), timedelta(0))
    most = [row for row in rows if row.operator == "<=" and row.tier not in ("chill again", "use now")]
    found = [_ambient(case, stays, most, total)] if most else []
    return [*found, *_back_to_cold(case, stays, rows, total), *_marked(case, stays, rows)]


def _ambient(case: Case, stays: Sequence[ServiceStay], rows: Sequence[Limit], total: timedelta) -> Finding:
    code, start = case.bag.code, stays[0].from_at
    usable = [row for row in rows if _open_to(row, stays)]
    row = _longest(usable) if usable else min(rows, key=lambda each: each.amount.seconds)
    figure = in_time(row, start, start + total)
    outcome, tail = verdict(figure, missed=Outcome.FAILS, doubtful=Outcome.UNPROVEN)
    if outcome is Outcome.MEETS and not usable:
        outcome, tail = Outcome.UNPROVEN, f": no reading shows that it was {row.second_is} {row.second}."
    said = (
        f"Bag {code} was at room temperature for service from {case.clock.time(start)}, {figure.measured} in "
        f"all; {asked(row)} ({row.whose}){tail}"
    )
    if outcome is Outcome.MEETS and ONCE in row.condition and len(stays) > 1:
        outcome = Outcome.FAILS
        said = (
            f"Bag {code} was at room temperature for service {len(stays)} times; one single period is "
            f"allowed ({row.whose})."
        )
    remedy, by = None, None
    here = gone_at(case.bag) is None and any(end_of(case, each) == case.record.seen_at for each in stays)
    if here and outcome is Outcome.MEETS:
        by = case.record.seen_at + timedelta(seconds=row.amount.seconds) - total
        remedy = f"Serve it by {case.clock.time(by)}, or throw it away."
    elif here:
        remedy = "Throw it away."
    return case.found(
        "ambient.time",
        Step.FINISH,
        outcome,
        said,
        since=start,
        remedy=remedy,
        remedy_by=by,
        **figure.figures(*(each.entry for each in stays)),
    )


def _longest(rows: Sequence[Limit]) -> Limit:
    """Of the rows of one table the longest; of all others the strictest."""
    tables: dict[str, list[Limit]] = {}
    for row in rows:
        tables.setdefault(row.table or row.id, []).append(row)
    longest = [max(each, key=lambda row: row.amount.seconds) for each in tables.values()]
    return min(longest, key=lambda row: (row.amount.seconds, not row.strict))


def _open_to(row: Limit, stays: Sequence[ServiceStay]) -> bool:
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
    case: Case, stays: Sequence[ServiceStay], rows: Sequence[Limit], total: timedelta
) -> list[Finding]:
    """Food that was out longer than the row lets it go back into the cold."""
    row = strictest([each for each in rows if each.tier == "chill again"])
    last = max(end_of(case, each) for each in stays)
    back = [each.into_at for each in case.bag.store if each.into_at >= last]
    if row is None or not back:
        return []
    figure = in_time(row, last - total, last)
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
