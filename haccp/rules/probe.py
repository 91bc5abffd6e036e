"""Probes: what a check in ice or boiling water says, and how far back a failed one reaches."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from haccp.case import BatchCheck
from haccp.errors import HaccpError
from haccp.limits import Limit, Ruleset, exact
from haccp.probes import CheckMedium, boiling_point_c, judge_check
from haccp.record import BatchRecord, Finding, Outcome, ProbeCheck, Reading, Step
from haccp.rules.figures import Beside, verdict
from haccp.wording import Clock, difference, plural, temperature

_MEDIA = {"ice": "melting ice", "boiling": "boiling water"}


@dataclass(frozen=True)
class ProbeVerdict:
    """What a probe check says: whether it passed, by which limit, and a sentence for the cook."""

    passed: bool
    limit: str | None
    sentence: str


def _row(medium: str, ruleset: Ruleset) -> Limit | None:
    """The row for a medium: one printed for it, or the accuracy of a food thermometer.

    Where the regime prints none, a row that it takes as advice stands in: a probe must be judged.
    """
    rows = _printed(ruleset)
    for wanted in (medium, "food"):
        for row in rows:
            if row.medium == wanted:
                return row
    return None


def _printed(ruleset: Ruleset) -> list[Limit]:
    """The rows that print how far a probe may be off; those taken as advice where there are no others."""
    every = (ruleset.limits("probe_check"), ruleset.limits("probe_check", advice=True))
    own, taken = ([row for row in rows if row.upper is not None] for rows in every)
    return own or taken


def judge_probe_check(medium: str, celsius: float, altitude_m: float, ruleset: Ruleset) -> ProbeVerdict:
    """Judge one check of a probe in "ice" or "boiling" water.

    `celsius` as read [°C]; `altitude_m` of the kitchen [m]. Raises :class:`HaccpError`
    for another medium or a reading that is no number.
    """
    row = _row(medium, ruleset)
    if row is None or row.upper is None:
        return ProbeVerdict(
            False, None, f"{ruleset.name} prints no limit for a check in {medium}; ask the authority."
        )
    low_c, high_c = row.amount.celsius, row.upper.celsius
    if row.quantity == "accuracy":
        # An accuracy is an error either way, so its edges lie about the true temperature.
        sea_level_c = boiling_point_c(0.0) if medium == "boiling" else 0.0
        low_c, high_c = sea_level_c + low_c, sea_level_c + high_c
    verdict = judge_check(medium, celsius, altitude_m, low_c=low_c, high_c=high_c)
    band = f"{temperature(verdict.low_c)} to {temperature(verdict.high_c)}"
    where = _MEDIA[str(verdict.medium)]
    tail = "passed." if verdict.meets else "failed: do not use the probe until it is put right."
    if not verdict.meets:
        off = difference(abs(verdict.error_k))
        tail = f"{off} out, failed: do not use the probe until it is put right."
    here = " at this altitude" if verdict.medium == CheckMedium.BOILING and altitude_m else ""
    said = f"{temperature(celsius)} in {where}; {band}{here} ({row.whose}): {tail}"
    return ProbeVerdict(verdict.meets, row.id, said)


def _readings(record: BatchRecord) -> Iterable[Reading]:
    """Every reading on which this batch rests."""
    inside = _span(record)
    for log in record.logs:
        for each in log.readings:
            if inside[0] <= each.at <= inside[1]:
                yield each
    for bag in record.bags:
        for check in bag.core_checks:
            yield check.reading


def _span(record: BatchRecord) -> tuple[datetime, datetime]:
    starts = [each.into_at for bag in record.bags for each in (*bag.cook, *bag.chill, *bag.store)]
    ends = [each.at for bag in record.bags for each in bag.finishes]
    open_ended = any(not bag.finishes for bag in record.bags)
    end = record.seen_at if open_ended or not ends else max(ends)
    return min(starts, default=record.seen_at), end


def check_failed(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Readings that do not count because their probe failed a check."""
    clock = Clock.at(record.timezone, record.day)
    doubted: dict[str, list[Reading]] = {}
    for each in _readings(record):
        if not each.trusted:
            doubted.setdefault(each.probe, []).append(each)
    found = []
    for probe, readings in sorted(doubted.items()):
        checks = [each for each in record.probe_checks if each.probe == probe]
        failed = [each for each in checks if not _passes(each, record, ruleset)]
        first = min(each.at for each in readings)
        reason = "it failed its check"
        if failed:
            culprit = min(failed, key=lambda each: abs(each.at - first))
            verdict = judge_probe_check(culprit.medium, culprit.celsius, record.altitude_m, ruleset)
            reason = f"its check at {clock.time(culprit.at)}: {verdict.sentence}"
        good = max((each.at for each in checks if each not in failed and each.at <= first), default=None)
        since = (
            f"since its last good check at {clock.time(good)}"
            if good
            else "and no good check is on record before"
        )
        said = (
            f"{plural(len(readings), 'reading')} of probe {probe} do not count {since}; {reason}"
            if len(readings) > 1
            else f"One reading of probe {probe} does not count {since}; {reason}"
        )
        found.append(
            Finding(
                rule="probe.failed",
                step=Step.PROBE,
                outcome=Outcome.TO_REVIEW,
                sentence=said if said.endswith(".") else f"{said}.",
                limit=next((row.id for row in _printed(ruleset)), None),
                since=good,
                remedy="Judge each bag by what is left; check the probe again or take it out of use.",
                entries=tuple(each for each in _entries(failed, readings) if each),
            )
        )
    return found


def _entries(failed: list[ProbeCheck], readings: list[Reading]) -> list[str]:
    return [*(each.entry for each in failed), *(each.entry for each in readings)]


def _passes(check: ProbeCheck, record: BatchRecord, ruleset: Ruleset) -> bool:
    try:
        return judge_probe_check(check.medium, check.celsius, record.altitude_m, ruleset).passed
    except HaccpError:
        return False


def check_interval(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Each probe was checked within the interval before its readings."""
    rows = ruleset.limits("probe_check", quantity="interval")
    if not rows:
        return []
    row = rows[0]
    clock = Clock.at(record.timezone, record.day)
    latest: dict[str, datetime] = {}
    for each in _readings(record):
        if each.probe and each.trusted:
            latest[each.probe] = max(each.at, latest.get(each.probe, each.at))
    found = []
    for probe, used in sorted(latest.items()):
        passed = [
            each.at
            for each in record.probe_checks
            if each.probe == probe and each.at <= used and _passes(each, record, ruleset)
        ]
        last = max(passed, default=None)
        if last is not None and _within(last, used, row):
            continue
        known = f"was last checked at {clock.time(last)}" if last else "has no good check on record"
        said = (
            f"Probe {probe} {known} and was used at {clock.time(used)}; {row.amount} at most between checks "
            f"({row.whose})."
        )
        found.append(
            Finding(
                rule="probe.interval",
                step=Step.PROBE,
                outcome=Outcome.TO_REVIEW,
                sentence=said,
                limit=row.id,
                required=f"every {row.amount}",
                since=last,
                remedy="Check it in ice and in boiling water now; a good check clears what was read before.",
            )
        )
    return found


def _within(last: datetime, used: datetime, row: Limit) -> bool:
    if row.unit != "month":
        return (used - last).total_seconds() <= row.amount.seconds
    months = last.month - 1 + int(row.amount.value)
    year, month = last.year + months // 12, months % 12 + 1
    day = min(last.day, calendar.monthrange(year, month)[1])
    return used <= last.replace(year=year, month=month, day=day)


def check_bath_probe(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """A regime that asks more of a bath's thermometer than of others: its last check in ice is as close."""
    rows = [row for row in ruleset.limits("probe_check", quantity="accuracy") if row.medium == "bath"]
    stays = {each.log for bag in record.bags for each in bag.cook}
    used: dict[str, datetime] = {}
    for log in record.logs:
        for each in log.readings if log.key in stays else ():
            used[each.probe] = max(each.at, used.get(each.probe, each.at))
    found = []
    for row in rows:
        for probe, until in sorted(used.items()):
            checks = [
                each
                for each in record.probe_checks
                if each.probe == probe and each.medium == CheckMedium.ICE and each.at <= until
            ]
            if checks:
                found.append(_bath_probe(max(checks, key=lambda each: each.at), row))
    return found


def _bath_probe(check: ProbeCheck, row: Limit) -> Finding:
    figure = Beside(row, exact(check.celsius))
    outcome, tail = verdict(figure, missed=Outcome.TO_REVIEW, doubtful=Outcome.TO_REVIEW)
    said = (
        f"Probe {check.probe} was {figure.measured} in melting ice at its last check; {row.printed} is asked "
        f"of a bath's thermometer ({row.whose}){tail}"
    )
    return Finding(
        rule="probe.bath", step=Step.PROBE, outcome=outcome, sentence=said, **figure.figures(check.entry)
    )


BATCH_CHECKS: list[BatchCheck] = [check_failed, check_interval, check_bath_probe]
