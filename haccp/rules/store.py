"""The store: the fridge's readings while a bag lay in it, and the days that it may lie there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from haccp.case import BagCheck, Case
from haccp.course import gone_at
from haccp.limits import Limit, exact
from haccp.record import Finding, MediumLog, Outcome, Reading, Stay, Step
from haccp.wording import difference, listed, plural, span, temperature

_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Kept:
    """One stay of a bag in a fridge: from and until (now, if it is still there), and the log."""

    stay: Stay
    until: datetime
    log: MediumLog

    @property
    def readings(self) -> list[Reading]:
        """Trusted readings while the bag was there, in order."""
        inside = (
            each for each in self.log.readings if each.trusted and self.stay.into_at <= each.at <= self.until
        )
        return sorted(inside, key=lambda each: each.at)


def _stays(case: Case) -> list[Kept]:
    gone, kept = gone_at(case.bag), []
    for stay in case.bag.store:
        log = case.record.log(stay.log)
        ends = [each for each in (stay.out_at, gone, case.record.seen_at) if each is not None]
        until = (
            min(each for each in ends if each >= stay.into_at)
            if any(e >= stay.into_at for e in ends)
            else None
        )
        if log is not None and until is not None:
            kept.append(Kept(stay, until, log))
    return kept


def check_temperature(case: Case) -> list[Finding]:
    """Every reading of the fridge against every limit for chilled food that applies.

    A limit is met if the reading and its tolerance are; missed if the reading itself is on
    the wrong side; between the two it is unproven.
    """
    found = []
    for kept in _stays(case):
        if not kept.readings:
            continue
        # Some codes print the store's temperature as the end of the chill.
        for topic in ("chill_store", "cool"):
            for row in case.limits(topic, "food_temperature"):
                found += _against(case, kept, row)
        for row in case.limits("chill_store", "elapsed_time"):
            if row.tier == "eat within":
                found += _eat_within(case, kept, row)
    return found


def _against(case: Case, kept: Kept, row: Limit) -> list[Finding]:
    upper = row.upper or row.amount
    warmest = max(kept.readings, key=lambda each: each.celsius + each.tolerance_k)
    over = [each for each in kept.readings if exact(each.celsius) > upper.exact_celsius]
    close = [
        each for each in kept.readings if exact(each.celsius) + exact(each.tolerance_k) > upper.exact_celsius
    ]
    figures = {
        "measured": temperature(warmest.celsius, upper.unit, "up"),
        "required": f"at most {upper}",
        "margin": difference(upper.celsius - warmest.celsius, upper.unit)
        + (" over" if over else " to spare"),
    }
    name = kept.log.name
    if not close and row.tier == "destroy":
        return []  # the tier above the limit that is shown already
    if not close:
        said = (
            f"{name} read {temperature(warmest.celsius, upper.unit, 'up')} at its warmest while bag "
            f"{case.bag.code} was in it; {upper} at most ({row.whose}): met at every reading, with its "
            "probe's tolerance."
        )
        return [case.found("store.temperature", Step.STORE, Outcome.MEETS, said, limit=row, **figures)]
    if not over:
        said = (
            f"{name} read {temperature(warmest.celsius, upper.unit, 'up')} while bag {case.bag.code} was in "
            "it, with a "
            f"probe that may be {difference(warmest.tolerance_k, upper.unit)} out; {upper} at most "
            f"({row.whose}): not proven."
        )
        remedy = "Turn the fridge down, or measure between the packs with a finer probe."
        return [
            case.found(
                "store.temperature",
                Step.STORE,
                Outcome.UNPROVEN,
                said,
                limit=row,
                remedy=remedy,
                entries=_entries(close),
                **figures,
            )
        ]
    return [_too_warm(case, kept, row, over, figures)]


def _too_warm(
    case: Case, kept: Kept, row: Limit, over: Sequence[Reading], figures: dict[str, str]
) -> Finding:
    upper = row.upper or row.amount
    since, until = _outage(kept, over)
    warmest = max(over, key=lambda each: each.celsius)
    lasted = f"from {case.clock.time(since)} " + (
        f"to {case.clock.time(until)} ({span((until - since).total_seconds(), 'up')})"
        if until
        else "and still"
    )
    destroy = row.tier == "destroy"
    # Above the store's own temperature the tiers decide what becomes of the food.
    tiers = any(
        each.tier in ("eat within", "destroy") for each in case.ruleset.limits("chill_store", case.words)
    )
    outcome = Outcome.TO_REVIEW if row.tier == "keep" and tiers else Outcome.FAILS
    said = (
        f"{kept.log.name} was above {upper} {lasted} with bag {case.bag.code} in it, up to "
        f"{temperature(warmest.celsius, upper.unit, 'up')}; {upper} at most ({row.whose}): "
        f"{difference(warmest.celsius - upper.celsius, upper.unit)} too warm."
    )
    gone = gone_at(case.bag) is not None
    remedy = None if gone else "Destroy it." if destroy else _cool_again(upper.celsius)
    return case.found(
        "store.temperature",
        Step.STORE,
        outcome,
        said,
        limit=row,
        since=since,
        remedy=remedy,
        entries=_entries(over),
        **figures,
    )


def _cool_again(celsius: float) -> str:
    return (
        f"Into a fridge at or below {temperature(celsius)} now; measure the food between the packs and log "
        "it."
    )


def _entries(readings: Sequence[Reading]) -> tuple[str, ...]:
    return tuple(each.entry for each in readings if each.entry)


def _outage(kept: Kept, over: Sequence[Reading]) -> tuple[datetime, datetime | None]:
    """From the last good reading before the first bad one to the first good one after the last."""
    good = [each.at for each in kept.readings if each not in over]
    first, last = over[0].at, over[-1].at
    since = max((each for each in good if each < first), default=max(kept.stay.into_at, kept.readings[0].at))
    return since, min((each for each in good if each > last), default=None)


def _eat_within(case: Case, kept: Kept, row: Limit) -> list[Finding]:
    """Food that was warmer than one temperature but not than another: eaten within a time."""
    if row.start is None or row.end is None:
        return []
    over = [
        each
        for each in kept.readings
        if row.start.exact_celsius < exact(each.celsius) + exact(each.tolerance_k)
        and exact(each.celsius) <= row.end.exact_celsius
    ]
    certain = [each for each in over if exact(each.celsius) > row.start.exact_celsius]
    if not certain:
        return []
    since, _ = _outage(kept, certain)
    deadline = since + timedelta(seconds=row.amount.seconds)
    gone, code = gone_at(case.bag), case.bag.code
    when = (
        f"{kept.log.name} was above {row.start} since {case.clock.time(since)} with bag {code} in it "
        f"(up to {temperature(max(each.celsius for each in certain), row.start.unit, 'up')})"
    )
    asked = f"it is eaten within {row.amount}, by {case.clock.time(deadline)} ({row.whose})"
    late = (gone or case.record.seen_at) > deadline
    ended_well = gone is not None and all(each.kind == "discarded" for each in case.bag.finishes)
    if late and not ended_well:
        ending = f"it was there until {case.clock.time(gone)}" if gone else "it is still here"
        outcome, remedy, by = Outcome.FAILS, None if gone else "Destroy it.", None
        said = f"{when}: {asked}, but {ending}."
    else:
        outcome = Outcome.TO_REVIEW
        remedy = None if gone else f"Serve it by {case.clock.time(deadline)}, or destroy it."
        by, said = None if gone else deadline, f"{when}: {asked}."
    return [
        case.found(
            "store.eat_within",
            Step.STORE,
            outcome,
            said,
            limit=row,
            since=since,
            remedy=remedy,
            remedy_by=by,
            required=f"within {row.amount}",
            entries=_entries(certain),
        )
    ]


def check_readings(case: Case) -> list[Finding]:
    """Whether the fridge was read as often as asked while the bag was in it."""
    rows = [
        row
        for row in case.ruleset.limits("record_keeping", case.words | {"fridge"}, quantity="checks_per_day")
        if row.value is not None
    ]
    if not rows:
        return []
    row = max(rows, key=lambda each: each.amount.value)
    need = int(row.amount.value)
    found = []
    for kept in _stays(case):
        if kept.until - kept.stay.into_at <= _DAY / need:
            continue
        short = _short_days(case, kept, need)
        if kept.readings and not short:
            continue
        name, code = kept.log.name, case.bag.code
        untrusted = [
            each
            for each in kept.log.readings
            if not each.trusted and kept.stay.into_at <= each.at <= kept.until
        ]
        if kept.readings:
            days = listed([case.clock.date(each) for each in short])
            said = (
                f"{name} was read fewer than {plural(need, 'time')} on {days} with bag {code} in it "
                f"({row.whose})."
            )
        elif untrusted:
            said = (
                f"Every reading of {name} with bag {code} in it was taken with a probe that failed its check."
            )
        else:
            said = (
                f"{name} was not read at all in the {span((kept.until - kept.stay.into_at).total_seconds())} "
                "that bag "
                f"{code} was in it; {plural(need, 'reading')} a day {'is' if need == 1 else 'are'} asked "
                f"({row.whose})."
            )
        found.append(
            case.found(
                "store.readings",
                Step.STORE,
                Outcome.UNPROVEN,
                said,
                limit=row,
                remedy="Read the fridge now, and log readings that someone took.",
                required=f"{plural(need, 'reading')} a day",
                since=kept.stay.into_at,
            )
        )
    return found


def _short_days(case: Case, kept: Kept, need: int) -> list[date]:
    """Whole days of the stay, at the site, with fewer readings than asked."""
    first, last = case.clock.local_day(kept.stay.into_at), case.clock.local_day(kept.until)
    counts: dict[date, int] = {}
    for each in kept.readings:
        day = case.clock.local_day(each.at)
        counts[day] = counts.get(day, 0) + 1
    whole = [first + _DAY * number for number in range(1, (last - first).days)]
    return [day for day in whole if counts.get(day, 0) < need]


def check_stored(case: Case) -> list[Finding]:
    """A chilled bag has a place; one that left the chill and went nowhere has none."""
    bag = case.bag
    if bag.store or bag.finishes or "chilled" not in case.words:
        return []
    left = max((each.out_at for each in bag.chill if each.out_at is not None), default=None)
    if left is None or any(each.out_at is None for each in bag.chill):
        return []
    return [
        case.found(
            "store.place",
            Step.STORE,
            Outcome.UNPROVEN,
            f"Bag {bag.code} left the chill at {case.clock.time(left)} and is in no fridge in the record.",
            since=left,
            remedy="Into the fridge now, and log which.",
        )
    ]


def check_kept_without_days(case: Case) -> list[Finding]:
    """A method that keeps nothing: its bags are served, or gone, on the day of the cook.

    Nobody has said for such a method how long a bag may lie; the rows of the regime still hold
    beside this.
    """
    bag, clock, out_at = case.bag, case.clock, case.out_at
    if case.record.method.life_days > 0 or out_at is None:
        return []
    cooked = clock.local_day(out_at)
    until = clock.local_day(gone_at(bag) or case.record.seen_at)
    ended_well = bool(bag.finishes) and all(each.kind == "discarded" for each in bag.finishes)
    if until <= cooked or ended_well:
        return []
    kept = plural((until - cooked).days, "day")
    day = clock.date(cooked)
    said = f"The method of bag {bag.code} gives no days in a store, only the day of its cook, {day}; "
    if bag.finishes:
        said += f"bag {bag.code} was kept {kept} longer."
    elif bag.store or bag.chill:
        place = "a fridge" if bag.store else "a chiller"
        said += f"{kept} later the record still has bag {bag.code} in {place}."
    else:
        said += f"{kept} later nothing in the record says what became of bag {bag.code}."
    return [
        case.found(
            "store.days",
            Step.STORE,
            Outcome.UNPROVEN,
            said,
            measured=kept,
            required="the day of the cook",
            since=out_at,
            remedy=None
            if bag.finishes
            else "Discard it, or log what became of it. A life in days is part "
            "of a method: write one that has it.",
        )
    ]


CHECKS: list[BagCheck] = [check_temperature, check_readings, check_stored, check_kept_without_days]
