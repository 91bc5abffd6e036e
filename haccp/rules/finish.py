"""Out of the store: within its days, and only if what came before holds."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haccp.case import BagCheck, Case
from haccp.days import Life, life_of
from haccp.record import Finding, Outcome, Reading, Step
from haccp.rules.cook import HOLDS, ONE_THING
from haccp.rules.service import HOT
from haccp.wording import plural, span, temperature

SERVED = ("served", "second cook")
DISCARDED = "discarded"


def _whose(case: Case, life: Life) -> str:
    if life.moved_by:
        return f"moved forward, for its store was warm enough for {life.moved_by}"
    if life.row is None:
        return f"the method keeps it {plural(life.days, 'day')}"
    return f"{plural(life.days, 'day')}, {life.row.whose}"


def check_use_by(case: Case) -> list[Finding]:
    """A bag is served, or gone, by its use-by date."""
    life = life_of(case)
    if life is None or not (case.bag.chill or case.bag.store):
        return []
    bag, clock = case.bag, case.clock
    if life.use_by is None:
        return [_frozen(case, life)]
    found, use_by = list[Finding](), life.use_by
    ends = [each for each in bag.finishes if each.kind in SERVED]
    for each in ends:
        day = clock.local_day(each.at)
        if day > use_by:
            said = (
                f"Bag {bag.code} was {_ended(each.kind)} on {clock.date(day)}, "
                f"{_days_past(day, use_by)} past its use-by, {clock.date(use_by)} ({_whose(case, life)})."
            )
            found.append(_past(case, life, use_by, said, day, remedy=None))
    if found or bag.finishes:
        return found or [_within(case, life, use_by)]
    today = clock.local_day(case.record.seen_at)
    if today > use_by:
        said = (
            f"Bag {bag.code} is still here on {clock.date(today)}, {_days_past(today, use_by)} past its "
            "use-by, "
            f"{clock.date(use_by)} ({_whose(case, life)})."
        )
        return [_past(case, life, use_by, said, today, remedy="Discard it and log that.")]
    return [_within(case, life, use_by)]


def _ended(kind: str) -> str:
    return "served" if kind == "served" else "given its second cook"


def _days_past(day: date, use_by: date) -> str:
    return plural((day - use_by).days, "day")


def _past(case: Case, life: Life, use_by: date, said: str, day: date, *, remedy: str | None) -> Finding:
    return case.found(
        "store.use_by",
        Step.STORE if remedy else Step.FINISH,
        Outcome.FAILS,
        said,
        limit=life.row,
        measured=case.clock.date(day),
        required=f"by {case.clock.date(use_by)}",
        margin=f"{_days_past(day, use_by)} over",
        remedy=remedy,
    )


def _within(case: Case, life: Life, use_by: date) -> Finding:
    said = f"Use-by of bag {case.bag.code}: {case.clock.date(use_by)} ({_whose(case, life)})."
    return case.found(
        "store.use_by",
        Step.STORE,
        Outcome.MEETS,
        said,
        limit=life.row,
        required=f"by {case.clock.date(use_by)}",
    )


def _frozen(case: Case, life: Life) -> Finding:
    """Frozen, its days stand still; the one on which it is thawed is the first that counts again."""
    left = life.days_left or 0
    said = (
        f"In the freezer the days of bag {case.bag.code} stand still: {plural(left, 'day')} left, the day of "
        f"thawing included ({_whose(case, life)})."
    )
    outcome, remedy = Outcome.MEETS, None
    if left < 1:
        outcome, remedy = Outcome.FAILS, "Discard it and log that."
    return case.found("store.use_by", Step.STORE, outcome, said, limit=life.row, remedy=remedy)


def check_label(case: Case) -> list[Finding]:
    """A label may shorten the life, never lengthen it."""
    life = life_of(case)
    if life is None or life.use_by is None or case.bag.use_by is None or case.bag.use_by <= life.use_by:
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
    """Cores that were measured at the second cook, against the reheating row that applies.

    One reading proves a temperature and no hold: where a hold is asked for, two readings must span
    it with none between them that is too low, or one must meet a row of no hold that is at least
    as hot. Readings of one moment count by the lowest; what was read before it was heated on
    counts no more.
    """
    if not any(each.kind == "second cook" for each in case.bag.finishes):
        return []
    hot = any(each.kind == HOT for each in case.bag.services)
    every = case.ruleset.limits("reheat", case.words | {HOT} if hot else case.words)
    rows = [row for row in every if row.quantity in HOLDS and row.value is not None]
    readings = _by_the_lowest(
        [each.reading for each in case.bag.core_checks if each.step == Step.FINISH and each.reading.trusted]
    )
    if not rows or not readings:
        return []
    row = max(rows, key=lambda each: each.amount.celsius)
    edge_c = row.amount.celsius
    held_s = _longest_held(readings, edge_c)
    needed_s = row.hold.seconds if row.hold else 0.0
    instant_c = min(
        (
            each.amount.celsius
            for each in rows
            if not (each.hold and each.hold.value) and each.amount.celsius >= edge_c
        ),
        default=None,
    )
    hottest = max(readings, key=_lowest_c)
    last = readings[-1]
    shown = hottest if held_s is not None else last
    reached = temperature(shown.celsius, row.unit, "down")
    start = (
        f"The core of bag {case.bag.code} was measured at {reached} at {case.clock.time(shown.at)} in its "
        "second cook; "
    )
    remedy = None
    if instant_c is not None and _lowest_c(hottest) >= instant_c:
        outcome, said = Outcome.MEETS, f"{start}{row.printed} needed ({row.whose}): met, proven."
    elif held_s is not None and held_s >= needed_s:
        outcome, said = Outcome.MEETS, f"{start}{row.printed} needed ({row.whose}): met, proven."
        if needed_s:
            said = (
                f"The core of bag {case.bag.code} was measured at {row.amount} or above over "
                f"{span(held_s)} of its second cook; {row.printed} needed ({row.whose}): met by its readings."
            )
    elif held_s is not None and _lowest_c(last) >= edge_c:
        outcome = Outcome.UNPROVEN
        remedy = f"Keep it hot and read the core again {row.hold} after the first reading; the lowest counts."
        said = (
            f"{start}{row.printed} needed ({row.whose}): {row.amount} is reached, proven, but no two "
            f"readings span the {row.hold}."
        )
    elif last.celsius >= edge_c:
        outcome = Outcome.UNPROVEN
        remedy = "Heat it on and read the core again."
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
            required=row.printed,
            remedy=remedy,
            entries=tuple(each.entry for each in readings if each.entry),
        )
    ]


def _lowest_c(reading: Reading) -> float:
    return reading.celsius - reading.tolerance_k


def _by_the_lowest(readings: Sequence[Reading]) -> list[Reading]:
    """Readings in order of time, without those beside which a lower one was taken of the same thing."""
    ordered = sorted(readings, key=lambda each: each.at)
    return [
        each
        for each in ordered
        if all(
            _lowest_c(other) >= _lowest_c(each) for other in ordered if abs(other.at - each.at) < ONE_THING
        )
    ]


def _longest_held(readings: Sequence[Reading], celsius: float) -> float | None:
    """The longest time [s] between readings that are at `celsius` and none under it; None if none is."""
    longest: float | None = None
    first: Reading | None = None
    for each in readings:
        if _lowest_c(each) < celsius:
            first = None
            continue
        first = first or each
        longest = max(longest or 0.0, (each.at - first.at).total_seconds())
    return longest


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
