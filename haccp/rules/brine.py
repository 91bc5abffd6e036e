"""The brine: raw food in it is chilled food, and is kept cold like it."""

from __future__ import annotations

from haccp.case import BatchCheck, words_of
from haccp.limits import Limit, Ruleset, exact
from haccp.record import BatchRecord, Brining, Finding, Outcome, Reading, Step
from haccp.rules.figures import strictest
from haccp.wording import Clock, difference, temperature


def check_brine_cold(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Each brine in which food lay, against the row for raw food in brine; reviewed where it was too warm."""
    clock, found = Clock.at(record.timezone, record.day), list[Finding]()
    rows = ruleset.limits("raw_hold", words_of(record.method) | {"brined"}, quantity="food_temperature")
    row = strictest([row for row in rows if row.operator != ">="])
    if row is None:
        return found
    for each in record.brinings:
        if each.reading is not None:
            found.append(_judged(each, each.reading, row, clock))
    return found


def _judged(brining: Brining, reading: Reading, row: Limit, clock: Clock) -> Finding:
    # Colder than a band asks for is no trouble here.
    most = row.upper or row.amount
    read = temperature(reading.celsius, row.unit, "up")
    said = f"Brine {brining.brine} read {read} at {clock.time(reading.at)}; {most} at most ({row.whose})"
    if exact(reading.celsius) > most.exact_celsius:
        over = difference(reading.celsius - most.celsius, row.unit)
        outcome, tail = Outcome.TO_REVIEW, f": {over} too warm."
    elif not reading.trusted:
        outcome, tail = Outcome.TO_REVIEW, ": read with a probe that failed its check."
    elif exact(reading.celsius) + exact(reading.tolerance_k) > most.exact_celsius:
        outcome, tail = Outcome.MEETS, ": met as read, not with the probe's tolerance."
    else:
        outcome, tail = Outcome.MEETS, ": met, proven."
    return Finding(
        rule="brine.temperature",
        step=Step.BRINE,
        outcome=outcome,
        sentence=said + tail,
        limit=row.id,
        measured=read,
        required=f"at most {most}",
        entries=(reading.entry,) if reading.entry else (),
    )


BATCH_CHECKS: list[BatchCheck] = [check_brine_cold]
