"""Raw food until its cook: kept cold, and not too many days. One finding for each lot that waited."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from haccp.case import BagCheck, BatchCheck, Case
from haccp.days import first_days
from haccp.limits import Limit, Ruleset
from haccp.record import BatchRecord, Finding, Outcome, RawHold, Step
from haccp.rules.figures import Beside, beside, clock_of, of_batch, strictest, verdict, worst_reading
from haccp.rules.receive import KINDS
from haccp.wording import Clock, plural

TEMPERATURE, DAYS = "food_temperature", "days"
_DAY_S = 24 * 60 * 60


def check_raw_holds(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Every lot that waited raw and cold, by its warmest reading and by its days."""
    clock, found = clock_of(record), list[Finding]()
    for each in record.raw_holds:
        rows = ruleset.limits("raw_hold", each.words | {"raw"})
        found += [*_warmth(each, rows, clock), *_days(each, rows, record, clock)]
    return found


def _warmth(hold: RawHold, rows: tuple[Limit, ...], clock: Clock) -> list[Finding]:
    row = strictest([each for each in rows if each.quantity == TEMPERATURE])
    if row is None:
        return []
    name = f"Lot {hold.lot} ({hold.product})"
    trusted = [each for each in hold.readings if each.trusted]
    if not trusted:
        said = (
            f"{name} waited raw from {clock.time(hold.from_at)} and its fridge was not read; {row.printed} "
            f"asked ({row.whose})."
        )
        return [of_batch("raw.temperature", Step.RECEIVE, Outcome.UNPROVEN, said, limit=row.id)]
    worst = worst_reading(row, trusted)
    figure = beside(row, worst)
    if row.upper is not None and not figure.met and worst.celsius < row.upper.celsius:
        figure = _cold_enough(row, figure)
    outcome, tail = verdict(figure, missed=Outcome.TO_REVIEW, doubtful=Outcome.MEETS)
    said = (
        f"{name} waited raw at {figure.measured} at its warmest, at {clock.time(worst.at)}; "
        f"{figure.required} ({row.whose}){tail}"
    )
    return [of_batch("raw.temperature", Step.RECEIVE, outcome, said, **figure.figures(worst.entry))]


def _cold_enough(row: Limit, figure: Beside) -> Beside:
    """Colder than a band asks is a matter of quality: the figure counts as its upper edge does."""
    low, _ = figure.edges
    return Beside(row, figure.value if low is None else max(low, figure.value), figure.tolerance * 0)


def _days(hold: RawHold, rows: tuple[Limit, ...], record: BatchRecord, clock: Clock) -> list[Finding]:
    known = dict(hold.kept_from)
    row = strictest([each for each in rows if each.quantity == DAYS and _event(each) in known])
    if row is None:
        return []
    last = clock.local_day(hold.until or record.seen_at)
    return [_kept(row, f"Lot {hold.lot} ({hold.product})", known[_event(row)], last, None)]


def _event(row: Limit) -> str:
    return row.counts_from or "slaughter"


def check_raw_bag(case: Case) -> list[Finding]:
    """A bag that was sealed raw went into its bath within the days that the rows allow."""
    words = case.words | {"raw", "sealed"}
    kind = KINDS.get(case.record.method.material)
    rows = case.ruleset.limits("raw_hold", words | {kind} if kind else words, quantity=DAYS)
    row = strictest([each for each in rows if each.counts_from == "sealing"])
    sealed = first_days(case).get("sealing")
    if row is None or sealed is None:
        return []
    into = min((each.into_at for each in case.bag.cook), default=None)
    if into is None and case.bag.finishes:
        return []
    last = case.clock.local_day(into or case.record.seen_at)
    if last == sealed:
        return []  # cooked, or to be cooked, on the day of its sealing
    return [_kept(row, "", sealed, last, case.bag.code)]


def _kept(row: Limit, name: str, first: date, last: date, code: str | None) -> Finding:
    """Days from one day to another, counted as the row counts its first."""
    count = (last - first).days + (1 if row.first_day is None else row.first_day)
    figure = Beside(row, Fraction(count * _DAY_S))
    outcome, tail = verdict(figure, missed=Outcome.TO_REVIEW, doubtful=Outcome.TO_REVIEW)
    most = f"{figure.required} ({row.whose})"
    kept = f"kept raw {plural(count, 'day')} from {Clock.date(first)}; {most}{tail}"
    said = f"{name} was {kept}" if code is None else f"Bag {code} was {kept}"
    return of_batch("raw.days", Step.RECEIVE, outcome, said, bag=code, **figure.figures())


CHECKS: list[BagCheck] = [check_raw_bag]
BATCH_CHECKS: list[BatchCheck] = [check_raw_holds]
