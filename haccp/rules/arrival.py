"""How a lot came, where that is more than its cold: hot food, frozen food, eggs, food that may come warm."""

from __future__ import annotations

from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset
from haccp.record import BatchRecord, Delivery, Finding, Outcome, Reading, Step
from haccp.rules.figures import asked, beside, clock_of, in_time, of_batch, strictest, verdict
from haccp.wording import Clock

TOPIC = "receive"


def check_arrivals(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Each lot against the rows on hot food, on the air about eggs, on frozen food and on cooling it down."""
    clock, found = clock_of(record), list[Finding]()
    for each in record.deliveries:
        rows = ruleset.limits(TOPIC, each.words)
        found += [*_hot(each, rows, clock), *_air(each, rows, clock), *_hard(each, rows)]
        found += _cooled(each, rows, record)
    return found


def _name(delivery: Delivery) -> str:
    return f"Lot {delivery.lot} ({delivery.product})"


def _hot(delivery: Delivery, rows: tuple[Limit, ...], clock: Clock) -> list[Finding]:
    row = strictest([each for each in rows if each.quantity == "food_temperature" and each.operator == ">="])
    if row is None:
        return []
    if delivery.reading is None:
        said = f"Nobody read how hot {_name(delivery)} was; {asked(row)} ({row.whose})."
        return [of_batch("receive.hot", Step.RECEIVE, Outcome.TO_REVIEW, said, limit=row.id)]
    return [_judged("receive.hot", delivery, row, delivery.reading, "came in hot at", clock)]


def _air(delivery: Delivery, rows: tuple[Limit, ...], clock: Clock) -> list[Finding]:
    row = strictest([each for each in rows if each.quantity == "air_temperature"])
    if row is None or delivery.air is None:
        return []
    return [_judged("receive.air", delivery, row, delivery.air, "came in air at", clock)]


def _judged(rule: str, lot: Delivery, row: Limit, reading: Reading, verb: str, clock: Clock) -> Finding:
    figure = beside(row, reading)
    outcome, tail = verdict(figure, missed=Outcome.TO_REVIEW, doubtful=Outcome.MEETS)
    if not reading.trusted:
        outcome, tail = Outcome.TO_REVIEW, ": read with a probe that failed its check."
    said = f"{_name(lot)} {verb} {figure.measured} at {clock.time(lot.at)}; {asked(row)} ({row.whose}){tail}"
    return of_batch(rule, Step.RECEIVE, outcome, said, **figure.figures(reading.entry))


def _hard(delivery: Delivery, rows: tuple[Limit, ...]) -> list[Finding]:
    """Frozen food came hard, where a row puts that in words and somebody looked."""
    row = next((each for each in rows if each.quantity == "condition" and "frozen" in each.applies), None)
    if row is None or delivery.hard_frozen is None:
        return []
    outcome = Outcome.MEETS if delivery.hard_frozen else Outcome.TO_REVIEW
    how = "hard" if delivery.hard_frozen else "thawed or soft"
    said = f"{_name(delivery)} came {how}; frozen food comes frozen ({row.whose})."
    return [of_batch("receive.frozen", Step.RECEIVE, outcome, said, limit=row.id)]


def _cooled(delivery: Delivery, rows: tuple[Limit, ...], record: BatchRecord) -> list[Finding]:
    """Food that may come warm is cold within the time that a row gives."""
    row = strictest([each for each in rows if each.quantity == "cool_total"])
    if row is None or row.end is None:
        return []
    reading = delivery.reading
    if delivery.chilled_at is None and reading is not None and beside_end(row, reading):
        return []  # it was cold when it came
    done = delivery.chilled_at
    figure = in_time(row, delivery.at, done or record.seen_at)
    needed = f"{row.end} within {row.amount} of its delivery ({row.whose})"
    if done is None:
        said = f"Nothing shows when {_name(delivery)} was at {row.end}; {needed} needed."
        return [of_batch("receive.cooled", Step.RECEIVE, Outcome.UNPROVEN, said, limit=row.id)]
    outcome, tail = verdict(figure, missed=Outcome.FAILS, doubtful=Outcome.FAILS)
    said = f"{_name(delivery)} was at {row.end} after {figure.measured}; {needed} needed{tail}"
    return [of_batch("receive.cooled", Step.RECEIVE, outcome, said, **figure.figures(delivery.entry))]


def beside_end(row: Limit, reading: Reading) -> bool:
    """Whether a reading is provenly at the end of a stage."""
    end = row.end or row.amount
    return reading.trusted and reading.celsius + reading.tolerance_k <= end.celsius


BATCH_CHECKS: list[BatchCheck] = [check_arrivals]
