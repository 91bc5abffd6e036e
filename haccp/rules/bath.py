"""The bath itself: its set point, its band and its readings while bags were in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from haccp.case import BatchCheck, words_of
from haccp.course import missed
from haccp.limits import Ruleset
from haccp.record import BatchRecord, Finding, MediumLog, Outcome, Reading, Step
from haccp.rules.cook import HOLDS
from haccp.wording import Clock, difference, listed, span, temperature


@dataclass(frozen=True)
class Used:
    """A bath log with the time in which bags of the batch were in the bath."""

    log: MediumLog
    start: datetime
    end: datetime
    running: bool

    @property
    def readings(self) -> list[Reading]:
        """Trusted readings while bags were in, in order."""
        inside = (each for each in self.log.readings if each.trusted and self.start <= each.at <= self.end)
        return sorted(inside, key=lambda each: each.at)

    @property
    def last_before(self) -> Reading | None:
        """The last trusted reading before the first bag went in."""
        before = (each for each in self.log.readings if each.trusted and each.at < self.start)
        return max(before, key=lambda each: each.at, default=None)

    def doubted_between(self, start: datetime, end: datetime) -> bool:
        """Whether the bath was read in a span, though only by a probe that failed its check."""
        return any(not each.trusted and start <= each.at <= end for each in self.log.readings)


def _used(record: BatchRecord) -> list[Used]:
    found = []
    for log in record.logs:
        stays = [stay for bag in record.bags for stay in bag.cook if stay.log == log.key]
        stays = [stay for stay in stays if stay.into_at < record.seen_at]
        if not stays:
            continue
        running = any(each.out_at is None for each in stays)
        ends = [each.out_at or record.seen_at for each in stays]
        found.append(Used(log, min(each.into_at for each in stays), min(max(ends), record.seen_at), running))
    return found


def check_set_point(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """The bath is set as the method says, and above the limit: the core only approaches the bath."""
    method, found = record.method, []
    rows = [row for row in ruleset.limits("cook", words_of(method)) if row.quantity in HOLDS]
    for used in _used(record):
        set_c, name = used.log.set_point_c, used.log.name
        if set_c is None:
            continue
        if set_c < method.set_point_c:
            said = (
                f"{name} was set to {temperature(set_c)}; the method says {temperature(method.set_point_c)}: "
                f"{difference(method.set_point_c - set_c)} too low."
            )
            found.append(
                Finding(
                    rule="bath.set_point",
                    step=Step.COOK,
                    outcome=Outcome.TO_REVIEW,
                    sentence=said,
                    measured=temperature(set_c),
                    required=temperature(method.set_point_c),
                    margin=f"{difference(method.set_point_c - set_c)} too low",
                    since=used.start,
                )
            )
        for table in {row.table or row.id for row in rows}:
            own = [row for row in rows if (row.table or row.id) == table]
            row = min(own, key=lambda each: each.amount.celsius)
            if set_c <= row.amount.celsius:
                said = (
                    f"{name} was set to {temperature(set_c, row.unit)}, not above the lowest temperature "
                    "that counts, "
                    f"{row.amount} ({ruleset.table(row).name}): a core only comes near its bath and never "
                    "gets there."
                )
                found.append(
                    Finding(
                        rule="bath.set_point",
                        step=Step.COOK,
                        outcome=Outcome.TO_REVIEW,
                        sentence=said,
                        limit=row.id,
                        measured=temperature(set_c, row.unit),
                        required=f"above {row.amount}",
                        since=used.start,
                        remedy="Set it above the limit by its band and by what the core lags."
                        if used.running
                        else None,
                    )
                )
    return found


def check_band(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Readings outside the bath's band while bags were in it: since when, how deep, how long."""
    clock, found = Clock.at(record.timezone, record.day), []
    for used in _used(record):
        log, readings = used.log, used.readings
        if log.set_point_c is None or log.band_k is None:
            continue
        for episode in _episodes(readings, log.set_point_c, log.band_k):
            found.append(_outside(used, log.set_point_c, log.band_k, episode, readings, clock))
    return found


def _episodes(readings: list[Reading], set_c: float, band_k: float) -> list[list[Reading]]:
    episodes: list[list[Reading]] = []
    before = 0
    for each in readings:
        side = 0
        # A band is printed in tenths; a rest of a millionth is an error of floats.
        if abs(each.celsius - set_c) > band_k + 1e-6:
            side = 1 if each.celsius > set_c else -1
        if side and side == before:
            episodes[-1].append(each)
        elif side:
            episodes.append([each])
        before = side
    return episodes


def _outside(
    used: Used, set_c: float, band_k: float, episode: list[Reading], readings: list[Reading], clock: Clock
) -> Finding:
    below = episode[0].celsius < set_c
    worst = min(episode, key=lambda each: each.celsius if below else -each.celsius)
    good = [each.at for each in readings if each not in episode]
    since = max((each for each in good if each < episode[0].at), default=used.start)
    until = min((each for each in good if each > episode[-1].at), default=None)
    lasted = f"from {clock.time(since)} "
    if until:
        lasted += f"to {clock.time(until)}, {span((until - since).total_seconds(), 'up')} at most"
    else:
        lasted += "and still" if used.running else "until the bags were out"
    deep = abs(worst.celsius - set_c)
    name = used.log.name
    hot_before = used.last_before is not None and used.last_before.celsius >= set_c - band_k - 1e-6
    heating = below and since == used.start and episode[0] is readings[0] and not hot_before
    start = (
        f"{name} was not yet hot when bags went in: below"
        if heating
        else f"{name} was {'below' if below else 'above'}"
    )
    said = (
        f"{start} its band ({temperature(set_c)} ± {difference(band_k)}) {lasted}; "
        f"{temperature(worst.celsius)} at the {'lowest' if below else 'highest'}, {difference(deep)} from "
        "its set point."
    )
    return Finding(
        rule="bath.band",
        step=Step.COOK,
        outcome=Outcome.TO_REVIEW,
        sentence=said,
        measured=temperature(worst.celsius),
        required=f"{temperature(set_c - band_k)} to {temperature(set_c + band_k)}",
        margin=f"{difference(deep - band_k)} outside",
        since=since,
        remedy="Find out why, and bring it back; the bags are judged by the readings as they were."
        if until is None and used.running
        else None,
        entries=tuple(each.entry for each in episode if each.entry),
    )


def check_readings_due(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Readings that were due and are not there; the proven curve counts the worst that the gap allows."""
    clock, found = Clock.at(record.timezone, record.day), []
    for used in _used(record):
        end_s = (used.end - used.start).total_seconds()
        holes = missed(used.log, used.start, 0.0, end_s)
        if not holes or not used.log.interval_min:
            continue
        spans = [(used.start + timedelta(seconds=a), used.start + timedelta(seconds=b)) for a, b in holes]
        when = listed([f"between {clock.time(a)} and {clock.time(b)}" for a, b in spans])
        doubted = any(used.doubted_between(a, b) for a, b in spans)
        lacking = "has no reading that counts" if doubted else "was not read"
        longest = max(b - a for a, b in holes)
        found.append(
            Finding(
                rule="bath.readings",
                step=Step.RECORDS,
                outcome=Outcome.TO_REVIEW,
                sentence=(
                    f"{used.log.name} {lacking} {when}; a reading is due every {used.log.interval_min:g} "
                    "min. What it "
                    "may have done in between is counted against the bags."
                ),
                measured=f"{span(longest, 'up')} without a reading",
                required=f"every {used.log.interval_min:g} min",
                remedy="Read the bath now." if used.running else "Log a reading that someone took.",
            )
        )
    return found


BATCH_CHECKS: list[BatchCheck] = [check_set_point, check_band, check_readings_due]
