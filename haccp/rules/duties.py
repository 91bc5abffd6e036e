"""Duties that a limit puts in words: what was told of them, and the permits that must be there first.

Most of them are of the kitchen and stand in its plan; of a batch only that is judged which somebody told.
A variance is the exception: without it the process may not be used at all.
"""

from __future__ import annotations

from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset
from haccp.record import BatchRecord, DutyTold, Finding, Outcome, Step
from haccp.rules.assays import words_of_food
from haccp.rules.figures import clock_of, of_batch
from haccp.wording import Clock

RULE, VARIANCE = "duty.kept", "duty.variance"
_STEPS = {
    "receive": Step.RECEIVE,
    "raw_hold": Step.RECEIVE,
    "thaw": Step.RECEIVE,
    "parasite": Step.RECEIVE,
    "cure": Step.BRINE,
    "cook": Step.COOK,
    "cool": Step.CHILL,
    "chill_store": Step.STORE,
    "shelf_life": Step.STORE,
    "freeze": Step.STORE,
    "acidity": Step.STORE,
    "probe_check": Step.PROBE,
}


def check_told(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Every duty of which somebody told whether it is kept; the newest word on each counts."""
    clock, rows = clock_of(record), {each.id: each for each in ruleset.rows if each.value is None}
    newest = {each.limit: each for each in sorted(record.duties, key=lambda each: each.at)}
    return [_told(rows[key], told, clock) for key, told in newest.items() if key in rows]


def _told(row: Limit, told: DutyTold, clock: Clock) -> Finding:
    word = "kept" if told.kept else "not kept"
    note = f" ({told.note})" if told.note else ""
    said = f"{row.condition.rstrip('.')}: told as {word} at {clock.time(told.at)}{note} ({row.whose})."
    return of_batch(
        RULE,
        _STEPS.get(row.topic, Step.RECORDS),
        Outcome.MEETS if told.kept else Outcome.TO_REVIEW,
        said,
        limit=row.id,
        remedy=None if told.kept else "Put it right, and log what became of the food.",
        entries=(told.entry,) if told.entry else (),
    )


def check_variance(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """A process for which the regime wants a variance has one: an approval that names the limit."""
    words = words_of_food(record)
    on, dish = record.day, record.method.dish
    found = []
    for row in ruleset.limits("cure", words, quantity="condition"):
        if row.text != "required" or "variance" not in row.condition.lower():
            continue
        if any(each.limit == row.id for each in record.duties):
            continue
        held = any(each.allowance(row.id, words=words, dish=dish, on=on) for each in record.approvals)
        if held:
            said = f"This process needs an approval before it is used ({row.whose}): there is one."
            found.append(of_batch(VARIANCE, Step.BRINE, Outcome.MEETS, said, limit=row.id))
        else:
            said = f"This process needs an approval before it is used ({row.whose}), and none is on record."
            found.append(
                of_batch(
                    VARIANCE,
                    Step.BRINE,
                    Outcome.UNPROVEN,
                    said,
                    limit=row.id,
                    required="an approval of the authority",
                    remedy="Ask the authority; log its approval with reference and day.",
                )
            )
    return found


BATCH_CHECKS: list[BatchCheck] = [check_told, check_variance]
