"""Thawing: cold enough, not too long, and used in time. One finding for each lot that was thawed.

A prerequisite that was not kept is reviewed; the cook that comes after is judged by itself.
"""

from __future__ import annotations

from datetime import datetime

from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset, exact
from haccp.record import BatchRecord, Finding, Outcome, Reading, Step, Thaw
from haccp.rules.figures import Beside, beside, clock_of, in_time, of_batch, strictest, verdict, worst_reading
from haccp.wording import Clock

THAWING, RUNNING_WATER = "thawing", "running water"
IN_RUNNING_WATER = "in running water"
RULE = "thaw.kept"
_FROM_ITS_START = "thaw"


def check_thaws(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Every thaw of a lot of this batch against the rows for the way in which it was thawed."""
    clock = clock_of(record)
    return [found for each in record.thaws if (found := _judged(each, record, ruleset, clock)) is not None]


def words_of(thaw: Thaw) -> frozenset[str]:
    """The words by which the rows for a thaw are chosen."""
    words = thaw.words | {THAWING}
    return words | {RUNNING_WATER} if thaw.how == IN_RUNNING_WATER else words


def _judged(thaw: Thaw, record: BatchRecord, ruleset: Ruleset, clock: Clock) -> Finding | None:
    rows = ruleset.limits("thaw", words_of(thaw))
    figures = [*_temperatures(thaw, rows), *_times(thaw, rows, record)]
    closed = [row for row in rows if row.quantity == "condition" and _asks_open(row)]
    start = f"Lot {thaw.lot} ({thaw.product}) was thawed {thaw.how} from {clock.time(thaw.from_at)}"
    if closed and thaw.pack_open is not None:
        if not thaw.pack_open:
            said = f"{start} in its closed pack; it is to be opened first ({closed[0].whose})."
            return of_batch(
                RULE, Step.RECEIVE, Outcome.TO_REVIEW, said, limit=closed[0].id, entries=_entries(thaw)
            )
        if not figures:
            said = f"{start} out of its pack, as it is to be ({closed[0].whose})."
            return of_batch(RULE, Step.RECEIVE, Outcome.MEETS, said, limit=closed[0].id)
    if not figures:
        wanted = strictest([row for row in rows if row.quantity == "food_temperature"])
        if wanted is None:
            return None
        said = f"{start}, and nobody read it; {wanted.amount} at most is asked ({wanted.whose})."
        return of_batch(RULE, Step.RECEIVE, Outcome.UNPROVEN, said, limit=wanted.id, entries=_entries(thaw))
    worst = min(figures, key=lambda each: (each.met, each.proven))
    doubtful = Outcome.UNPROVEN if worst.row.quantity == "elapsed_time" else Outcome.MEETS
    outcome, tail = verdict(worst, missed=Outcome.TO_REVIEW, doubtful=doubtful)
    said = f"{start}: {_about(worst.row)} {worst.measured}, {worst.required} ({worst.row.whose}){tail}"
    return of_batch(RULE, Step.RECEIVE, outcome, said, **worst.figures(*_entries(thaw)))


def _asks_open(row: Limit) -> bool:
    return "sealed" in row.applies


def _about(row: Limit) -> str:
    if row.quantity == "water_temperature":
        return "the water at"
    return "the food at" if row.quantity == "food_temperature" else "time"


def _entries(thaw: Thaw) -> tuple[str, ...]:
    return tuple(each for each in (thaw.entry, *(r.entry for r in (*thaw.readings, *thaw.water))) if each)


def _temperatures(thaw: Thaw, rows: tuple[Limit, ...]) -> list[Beside]:
    """The warmest reading of the food and of the water, each beside its strictest row."""
    found = []
    for quantity, read in (("food_temperature", thaw.readings), ("water_temperature", thaw.water)):
        row = strictest([each for each in rows if each.quantity == quantity])
        trusted: list[Reading] = [each for each in read if each.trusted]
        if row is not None and trusted:
            found.append(beside(row, worst_reading(row, trusted)))
    return found


def _times(thaw: Thaw, rows: tuple[Limit, ...], record: BatchRecord) -> list[Beside]:
    """How long it thawed where a row counts from its start, and how long it waited thawed through."""
    found = []
    for row in (each for each in rows if each.quantity == "elapsed_time"):
        until = thaw.done_at or record.seen_at
        if row.clock == _FROM_ITS_START:
            found.append(_between(row, thaw, until))
        elif thaw.done_at is not None:
            found.append(in_time(row, thaw.done_at, max(thaw.used_at or record.seen_at, thaw.done_at)))
    return found


def _between(row: Limit, thaw: Thaw, until: datetime) -> Beside:
    """The time of a thaw at most, and where that is too long what its readings prove of it.

    It was warmer than the row's temperature at the least from the first reading above it to the last.
    """
    longest = in_time(row, thaw.from_at, until)
    edge = row.start or row.end
    if longest.met or edge is None:
        return longest
    warm = [each.at for each in thaw.readings if exact(each.celsius) > edge.exact_celsius]
    least = in_time(row, min(warm), max(warm)) if warm else in_time(row, until, until)
    return Beside(row, least.value, longest.value - least.value) if least.met else least


BATCH_CHECKS: list[BatchCheck] = [check_thaws]
