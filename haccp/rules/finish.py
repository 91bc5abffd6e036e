"""Out of the store: within its days, and only if what came before holds."""

from __future__ import annotations

from datetime import date

from haccp.case import BagCheck, Case
from haccp.days import Life, life_of
from haccp.record import CoreCheck, Finding, Outcome, Step
from haccp.rules.cook import HOLDS
from haccp.wording import plural, temperature

SERVED = ("served", "second cook")
DISCARDED = "discarded"


def _whose(case: Case, life: Life) -> str:
    if life.row is None:
        return f"the method keeps it {plural(life.days, 'day')}"
    return f"{plural(life.days, 'day')}, {life.row.whose}"


def check_use_by(case: Case) -> list[Finding]:
    """A bag is served, or gone, by its use-by date."""
    life = life_of(case)
    if life is None or not (case.bag.chill or case.bag.store):
        return []
    bag, clock = case.bag, case.clock
    found = []
    ends = [each for each in bag.finishes if each.kind in SERVED]
    for each in ends:
        day = clock.local_day(each.at)
        if day > life.use_by:
            said = (
                f"Bag {bag.code} was {_ended(each.kind)} on {clock.date(day)}, "
                f"{_days_past(day, life.use_by)} past its "
                f"use-by, {clock.date(life.use_by)} ({_whose(case, life)})."
            )
            found.append(_past(case, life, said, day, remedy=None))
    if found or bag.finishes:
        return found or [_within(case, life)]
    today = clock.local_day(case.record.seen_at)
    if today > life.use_by:
        said = (
            f"Bag {bag.code} is still here on {clock.date(today)}, {_days_past(today, life.use_by)} past its "
            "use-by, "
            f"{clock.date(life.use_by)} ({_whose(case, life)})."
        )
        return [_past(case, life, said, today, remedy="Discard it and log that.")]
    return [_within(case, life)]


def _ended(kind: str) -> str:
    return "served" if kind == "served" else "given its second cook"


def _days_past(day: date, use_by: date) -> str:
    return plural((day - use_by).days, "day")


def _past(case: Case, life: Life, said: str, day: date, *, remedy: str | None) -> Finding:
    return case.found(
        "store.use_by",
        Step.STORE if remedy else Step.FINISH,
        Outcome.FAILS,
        said,
        limit=life.row,
        measured=case.clock.date(day),
        required=f"by {case.clock.date(life.use_by)}",
        margin=f"{_days_past(day, life.use_by)} over",
        remedy=remedy,
    )


def _within(case: Case, life: Life) -> Finding:
    said = f"Use-by of bag {case.bag.code}: {case.clock.date(life.use_by)} ({_whose(case, life)})."
    return case.found(
        "store.use_by",
        Step.STORE,
        Outcome.MEETS,
        said,
        limit=life.row,
        required=f"by {case.clock.date(life.use_by)}",
    )


def check_label(case: Case) -> list[Finding]:
    """A label may shorten the life, never lengthen it."""
    life = life_of(case)
    if life is None or case.bag.use_by is None or case.bag.use_by <= life.use_by:
        return []
    said = (
        f"The label of bag {case.bag.code} says use by {case.clock.date(case.bag.use_by)}; "
        f"{case.clock.date(life.use_by)} is the last day ({_whose(case, life)})."
    )
    return [
        case.found(
            "store.label",
            Step.STORE,
            Outcome.TO_REVIEW,
            said,
            limit=life.row,
            remedy="Put a new label on it.",
        )
    ]


def check_reheat(case: Case) -> list[Finding]:
    """A core that was measured at the second cook, against the reheating row that applies."""
    if not any(each.kind == "second cook" for each in case.bag.finishes):
        return []
    rows = [row for row in case.limits("reheat") if row.quantity in HOLDS and row.value is not None]
    readings = [each for each in case.bag.core_checks if each.step == Step.FINISH and each.reading.trusted]
    if not rows or not readings:
        return []
    row = max(rows, key=lambda each: each.amount.celsius)
    lowest: CoreCheck = min(readings, key=lambda each: each.reading.celsius)
    celsius, low_c = lowest.reading.celsius, lowest.reading.celsius - lowest.reading.tolerance_k
    reached = temperature(celsius, row.unit, "down")
    when = case.clock.time(lowest.reading.at)
    start = f"The core of bag {case.bag.code} was measured at {reached} at {when} in its second cook; "
    if low_c >= row.amount.celsius:
        outcome = Outcome.MEETS
        kept = (
            f" The {row.hold} at it are the cook's to keep: one reading does not time them."
            if row.hold
            else ""
        )
        said = f"{start}{row.amount} needed ({row.whose}): reached, proven.{kept}"
    elif celsius >= row.amount.celsius:
        outcome = Outcome.UNPROVEN
        said = f"{start}{row.printed} needed ({row.whose}): within the probe's tolerance, so not proven."
    else:
        outcome = Outcome.TO_REVIEW
        said = f"{start}{row.printed} needed ({row.whose}) where it is served hot."
    return [
        case.found(
            "finish.reheat",
            Step.FINISH,
            outcome,
            said,
            limit=row,
            measured=reached,
            required=str(row.amount),
            entries=(lowest.reading.entry,) if lowest.reading.entry else (),
        )
    ]


def served_in_spite(case: Case, before: list[Finding]) -> list[Finding]:
    """A bag that was served although something before had failed or was not proven."""
    served = [each for each in case.bag.finishes if each.kind in SERVED]
    bad = [each for each in before if each.outcome in (Outcome.FAILS, Outcome.UNPROVEN)]
    bad = [each for each in bad if each.step in (Step.BAG, Step.COOK, Step.CHILL)]
    if not served or not bad:
        return []
    worst = max(bad, key=lambda each: each.outcome.rank)
    at = min(each.at for each in served)
    word = "failed" if worst.outcome == Outcome.FAILS else "was not proven"
    said = (
        f"Bag {case.bag.code} was {_ended(served[0].kind)} at {case.clock.time(at)} although its "
        f"{worst.step} {word}."
    )
    return [
        case.found(
            "finish.served",
            Step.FINISH,
            worst.outcome,
            said,
            since=at,
            remedy="Say who decided to serve it, and why.",
        )
    ]


CHECKS: list[BagCheck] = [check_use_by, check_label, check_reheat]
