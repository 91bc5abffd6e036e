"""The records themselves: late entries, and series that look copied. Marked, without blame."""

from __future__ import annotations

from datetime import timedelta

from haccp.case import BatchCheck
from haccp.limits import Ruleset
from haccp.record import BatchRecord, Finding, LateEntry, MediumLog, Outcome, Step
from haccp.wording import Clock, plural, span

# Own choices, no source: an entry of another day is looked at; six equal readings in a row are marked.
_LOOKED_AT_AFTER = timedelta(days=1)
_ALIKE = 6


def check_late_entries(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Every entry that was made well after what it tells of."""
    clock = Clock.at(record.timezone, record.day)
    return [_late(each, clock) for each in sorted(record.late_entries, key=lambda each: each.at)]


def _late(entry: LateEntry, clock: Clock) -> Finding:
    late = entry.recorded_at - entry.at
    outcome = Outcome.TO_REVIEW if late >= _LOOKED_AT_AFTER else Outcome.MEETS
    what = entry.what.rstrip(".")
    said = (
        f"{what}, at {clock.time(entry.at)}: entered {span(late.total_seconds())} later, at "
        f"{clock.time(entry.recorded_at)}."
    )
    return Finding(
        rule="records.late",
        step=Step.RECORDS,
        outcome=outcome,
        sentence=said,
        measured=f"{span(late.total_seconds())} late",
        since=entry.at,
        entries=(entry.entry,) if entry.entry else (),
    )


def check_alike(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Series that repeat one value, or repeat another series value by value."""
    clock, found = Clock.at(record.timezone, record.day), []
    for log in record.logs:
        run = _longest_run(log)
        if run >= _ALIKE:
            said = (
                f"{log.name}: {plural(run, 'reading')} in a row are equal to the last digit. That can be a "
                "steady "
                "device; it is marked so that it can be looked at."
            )
            found.append(_marked(said))
    for number, one in enumerate(record.logs):
        for two in record.logs[number + 1 :]:
            values = _values(one)
            if len(values) >= _ALIKE and len(set(values)) > 1 and values == _values(two):
                said = (
                    f"{one.name} and {two.name} have the same {len(values)} readings one after the other; "
                    "marked."
                )
                found.append(_marked(said))
    cores: dict[float, list[str]] = {}
    for bag in record.bags:
        for check in bag.core_checks:
            cores.setdefault(check.reading.celsius, []).append(clock.time(check.reading.at))
    for celsius, times in sorted(cores.items()):
        if len(times) >= _ALIKE:
            found.append(
                _marked(
                    f"{len(times)} core readings from {times[0]} to {times[-1]} are all {celsius:.1f} °C."
                )
            )
    return found


def _values(log: MediumLog) -> list[float]:
    return [each.celsius for each in sorted(log.readings, key=lambda each: each.at)]


def _longest_run(log: MediumLog) -> int:
    """The longest run of equal hand readings; a logger's steady bath is not copied."""
    readings = sorted(log.readings, key=lambda each: each.at)
    longest = run = 0
    before = None
    for each in readings:
        same = before is not None and each.celsius == before.celsius and each.entry != before.entry
        run = run + 1 if same else 1
        longest, before = max(longest, run), each
    return longest


def _marked(said: str) -> Finding:
    return Finding(rule="records.alike", step=Step.RECORDS, outcome=Outcome.MEETS, sentence=said)


BATCH_CHECKS: list[BatchCheck] = [check_late_entries, check_alike]
