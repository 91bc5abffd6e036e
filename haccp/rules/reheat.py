"""The second cook: begun in time, hot in time, and once only. How hot it must be stands in `finish`."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from haccp.case import BagCheck, Case
from haccp.limits import Limit
from haccp.record import Finding, Outcome, Reading, Step
from haccp.rules.cook import HOLDS
from haccp.rules.figures import asked, in_time, strictest, verdict

SECOND_COOK, _WITHIN = "second cook", "reached within"


def check_begun(case: Case) -> list[Finding]:
    """From the store to the second cook, where a row says how long that may take."""
    rows = [row for row in _timed(case) if row.event == SECOND_COOK and row.start is None]
    row, left, begun = strictest(rows), _left_store(case), _first(case)
    if row is None or left is None or begun is None or begun < left:
        return []
    figure = in_time(row, left, begun)
    outcome, tail = verdict(figure, missed=Outcome.TO_REVIEW, doubtful=Outcome.TO_REVIEW)
    said = (
        f"The second cook of bag {case.bag.code} began {figure.measured} after it left the store; "
        f"{asked(row)} ({row.whose}){tail}"
    )
    return [case.found("reheat.begun", Step.FINISH, outcome, said, since=left, **figure.figures())]


def check_hot_in_time(case: Case) -> list[Finding]:
    """From the store to the first reading that is hot enough, where a row says how long that may take.

    The clock starts when the bag left the store, or with its second cook where that is not told: food is
    no warmer then than its store.
    """
    row = strictest([row for row in _timed(case) if row.start is not None or row.event != SECOND_COOK])
    start = _left_store(case) or _first(case)
    target = _target(case)
    if row is None or start is None or target is None or _first(case) is None:
        return []
    readings = _readings(case, start)
    hot = [each for each in readings if each.celsius - each.tolerance_k >= target.amount.celsius]
    code = case.bag.code
    if hot:
        figure = in_time(row, start, hot[0].at)
        outcome, tail = verdict(figure, missed=Outcome.FAILS, doubtful=Outcome.FAILS)
        said = (
            f"The core of bag {code} was at {target.amount} {figure.measured} after it left the cold; "
            f"{asked(row)} ({row.whose}){tail}"
        )
        return [
            case.found("reheat.time", Step.FINISH, outcome, said, since=start, **figure.figures(hot[0].entry))
        ]
    late = [each for each in readings if not in_time(row, start, each.at).met]
    if not late:
        return []  # how hot it was is another check's to say; it was not late as far as was read
    figure = in_time(row, start, late[0].at)
    said = (
        f"The core of bag {code} was not at {target.amount} {figure.measured} after it left the cold; "
        f"{asked(row)} ({row.whose}): {figure.margin_said}."
    )
    return [
        case.found(
            "reheat.time", Step.FINISH, Outcome.FAILS, said, since=start, **figure.figures(late[0].entry)
        )
    ]


def check_once(case: Case) -> list[Finding]:
    """Food is reheated once: a second cook after a second cook is reviewed.

    No row prints it as a figure. Where a row of reheating applies, its source is named.
    """
    again = sorted(each.at for each in case.bag.finishes if each.kind == SECOND_COOK)[1:]
    if not again:
        return []
    row = _target(case)
    whose = f" ({row.whose})" if row is not None else ""
    said = (
        f"Bag {case.bag.code} had its second cook {len(again) + 1} times, the last at "
        f"{case.clock.time(again[-1])}; food is reheated once only{whose}."
    )
    return [case.found("reheat.once", Step.FINISH, Outcome.TO_REVIEW, said, limit=row, since=again[0])]


def _timed(case: Case) -> list[Limit]:
    """The rows of reheating that give a time: by itself, or beside the temperature that is to be reached."""
    rows = list(case.limits("reheat", "elapsed_time"))
    for row in case.limits("reheat"):
        if row.quantity in HOLDS and row.second is not None and row.second_is == _WITHIN:
            rows.append(
                replace(row, operator="<=", value=row.second.value, unit=row.second.unit, second=None)
            )
    return rows


def _target(case: Case) -> Limit | None:
    """The hottest row of reheating that applies."""
    rows = [row for row in case.limits("reheat") if row.quantity in HOLDS]
    return strictest([row for row in rows if row.value is not None])


def _first(case: Case) -> datetime | None:
    return min((each.at for each in case.bag.finishes if each.kind == SECOND_COOK), default=None)


def _left_store(case: Case) -> datetime | None:
    """When the bag left its last store before the second cook; None where no move says it."""
    begun = _first(case)
    ends = [each.out_at for each in case.bag.store if each.out_at is not None]
    return max((each for each in ends if begun is None or each <= begun), default=None)


def _readings(case: Case, start: datetime) -> list[Reading]:
    every = (each.reading for each in case.bag.core_checks if each.step == Step.FINISH)
    return sorted((each for each in every if each.trusted and each.at >= start), key=lambda each: each.at)


CHECKS: list[BagCheck] = [check_begun, check_hot_in_time, check_once]
