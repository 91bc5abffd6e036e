"""Kept hot for service: hot enough at every reading, or below it once and not for long.

A stay that is not over is judged up to now.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from haccp.case import BagCheck, Case
from haccp.course import gone_at
from haccp.limits import Limit
from haccp.record import Finding, Outcome, Reading, ServiceStay, Step
from haccp.rules.figures import asked, beside, in_time, strictest, verdict, worst_reading
from haccp.rules.service import AS_CONTROL, HOT, ONCE, end_of, words_of
from haccp.wording import span


def check_hot_hold(case: Case) -> list[Finding]:
    """Food kept hot: no reading under the row; one that is counts as a time out of control."""
    found = []
    for stay in case.bag.services:
        if stay.kind == HOT:
            words = words_of(case, stay)
            rows = case.ruleset.limits("hot_hold", words)
            row = strictest([each for each in rows if each.quantity == "food_temperature"])
            out = case.ruleset.limits("serve_ambient", words | {AS_CONTROL, "served hot"})
            if row is not None:
                found.append(_kept_hot(case, stay, row, tolerated([*rows, *out])))
    return found


def tolerated(rows: Sequence[Limit]) -> Limit | None:
    """The row that lets hot food be below its temperature for a time."""
    timed = [each for each in rows if each.quantity == "elapsed_time" and each.operator == "<=" and each.end]
    return strictest([each for each in timed if not each.event and each.tier in ("", "destroy")])


def _kept_hot(case: Case, stay: ServiceStay, row: Limit, allowed: Limit | None) -> Finding:
    code, end = case.bag.code, end_of(case, stay)
    readings = sorted((each for each in stay.readings if each.trusted), key=lambda each: each.at)
    since = f"Bag {code} was kept hot from {case.clock.time(stay.from_at)}"
    if not readings:
        said = f"{since} and nobody read it; {asked(row)} ({row.whose})."
        return case.found(
            "hot_hold.temperature",
            Step.FINISH,
            Outcome.UNPROVEN,
            said,
            limit=row,
            required=asked(row),
            since=stay.from_at,
            remedy="Read the core now, and about every two hours." if gone_at(case.bag) is None else None,
        )
    coldest = worst_reading(row, readings)
    figure = beside(row, coldest)
    outcome, tail = verdict(figure, missed=Outcome.FAILS, doubtful=Outcome.UNPROVEN)
    said = (
        f"{since}, {figure.measured} at its coldest, at {case.clock.time(coldest.at)}; {asked(row)} "
        f"({row.whose}){tail}"
    )
    entries = tuple(each.entry for each in readings)
    if outcome is Outcome.FAILS and allowed is not None:
        return _below(case, _periods(stay, row, readings, end), allowed, said, end, entries)
    return case.found(
        "hot_hold.temperature",
        Step.FINISH,
        outcome,
        said,
        since=coldest.at if outcome is not Outcome.MEETS else None,
        **figure.figures(*entries),
    )


def _below(
    case: Case,
    periods: Sequence[tuple[datetime, datetime]],
    allowed: Limit,
    said: str,
    end: datetime,
    entries: tuple[str, ...],
) -> Finding:
    """How long it was below at most, against the time that a row lets it be: once, or all together."""
    once = ONCE in allowed.condition
    total = sum((until - since for since, until in periods), timedelta(0))
    time = in_time(allowed, end - total, end)
    whose = f"{asked(allowed)}{' in one single period' if once else ''} ({allowed.whose})"
    outcome, remedy, by = Outcome.TO_REVIEW, None, None
    below = f"{said} It was below for {span(total.total_seconds(), 'up')} at most; {whose}"
    if once and len(periods) > 1:
        outcome, below = Outcome.FAILS, f"{said} It was below {len(periods)} times; {whose}."
    elif not time.met:
        outcome, below = Outcome.FAILS, f"{below}: {time.margin_said}."
    elif gone_at(case.bag) is None and end == case.record.seen_at:
        by = end + timedelta(seconds=allowed.amount.seconds) - total
        below, remedy = f"{below}.", f"Serve it before {case.clock.time(by)}, or throw it away."
    else:
        below = f"{below}: within it."
    return case.found(
        "hot_hold.temperature",
        Step.FINISH,
        outcome,
        below,
        since=periods[0][0],
        remedy=remedy,
        remedy_by=by,
        **time.figures(*entries),
    )


def _periods(
    stay: ServiceStay, row: Limit, readings: list[Reading], end: datetime
) -> list[tuple[datetime, datetime]]:
    """The periods below a row: each from the last reading that was hot to the next one that is."""
    found: list[tuple[datetime, datetime]] = []
    since: datetime | None = None
    last_hot = stay.from_at
    for each in readings:
        if beside(row, each).met:
            if since is not None:
                found.append((since, each.at))
                since = None
            last_hot = each.at
        else:
            since = since or last_hot
    return [*found, (since, end)] if since is not None else found


def check_served_soon(case: Case) -> list[Finding]:
    """A bag that had its second cook is served within the time that a row gives, unless it was kept hot.

    Its clock starts at the last core reading of the second cook: before it nothing shows that it was over.
    """
    served = min((each.at for each in case.bag.finishes if each.kind == "served"), default=None)
    hot = [each.reading for each in case.bag.core_checks if each.step == Step.FINISH and each.reading.trusted]
    before = [each for each in hot if served is None or each.at <= served]
    rows = [
        row
        for row in case.limits("hot_hold", "elapsed_time")
        if row.clock == "second cook" and row.event == "served"
    ]
    row = strictest(rows)
    if served is None or not before or row is None or any(each.kind == HOT for each in case.bag.services):
        return []
    last = max(before, key=lambda each: each.at)
    figure = in_time(row, last.at, served)
    if figure.met:
        return []
    said = (
        f"Bag {case.bag.code} was served {figure.measured} after the last reading of its second cook; "
        f"{asked(row)} ({row.whose}): {figure.margin_said}, and no reading shows that it was kept hot."
    )
    return [
        case.found(
            "hot_hold.served",
            Step.FINISH,
            Outcome.TO_REVIEW,
            said,
            since=last.at,
            **figure.figures(last.entry),
        )
    ]


CHECKS: list[BagCheck] = [check_hot_hold, check_served_soon]
