"""What to do next: one line for each rack of bags and each reading that is due, soonest first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from haccp.record import BagAssessment, Outcome, Step
from kitchen.base import moments
from kitchen.bench.places import PlaceNow
from kitchen.bench.queries import InHand, Snapshot
from kitchen.bench.whereabouts import BagNow, Where
from kitchen.review.merging import numbers_in_words

MOST = 5
# A use-by is a day: it ends with the last minute of it on the kitchen's own clock.
LAST_MINUTE = time(23, 59)


@dataclass(frozen=True)
class Line:
    """One thing to do: what, where, by when, and the one button that does it.

    `waits` where there is no deadline: it can be done now, and stands after what is overdue.
    """

    due: datetime
    what: str
    where: str
    verb: str
    url: str
    waits: bool = False
    note: str = ""

    def key(self, at: datetime) -> tuple[datetime, datetime]:
        """Overdue first, then what can be done now, then what comes."""
        return (max(self.due, at) if self.waits else self.due, self.due)


def lines(snapshot: Snapshot) -> list[Line]:
    """Everything that is to be done, soonest first."""
    found = [line for each in snapshot.batches for line in _of_batch(each, snapshot)]
    found += [line for place in snapshot.places if (line := _reading(place, snapshot.at))]
    return sorted(found, key=lambda line: line.key(snapshot.at))


def for_head_chef(snapshot: Snapshot) -> list[tuple[InHand, str]]:
    """Batches of which something fails a limit, each with its first sentence."""
    found = []
    for each in snapshot.batches:
        findings = each.assessment.all_findings if each.assessment else ()
        failing = [finding for finding in findings if finding.outcome == Outcome.FAILS]
        if failing:
            found.append((each, failing[0].sentence))
    return found


def _reading(place: PlaceNow, at: datetime) -> Line | None:
    if place.due is None or not (place.bags or place.kind == "bath"):
        return None
    every = "no reading yet" if place.read_at is None else f"a reading every {place.every_min} min"
    return Line(place.due, place.name, every, "Read", reverse(f"{place.kind}_read", args=[place.key]))


def step_url(batch: Any, step: str, bags: list[BagNow]) -> str:
    """The address of a step, with these bags ticked."""
    said = {"bags": ",".join(str(bag.number) for bag in bags)} if bags else {}
    query = urlencode({**said, "back": reverse("bench")}, safe="/,")
    return f"{reverse('step', args=[batch.code, step])}?{query}"


def _of_batch(each: InHand, snapshot: Snapshot) -> Iterator[Line]:
    batch, now = each.batch, each.now
    if now.brine_since:
        stay = batch.method.brine_min
        due = now.brine_since + timedelta(minutes=stay or 0)
        url = step_url(batch, "brine-out", [])
        yield Line(due, batch.dish, f"in brine {now.brine}", "Out of brine", url, waits=stay is None)
    elif not now.bags:
        verb, step = ("Into brine", "brine-in") if each.to_brine else ("Seal bags", "seal")
        yield Line(
            batch.entry.happened_at, batch.dish, batch.code, verb, step_url(batch, step, []), waits=True
        )
    for bags in _racks(now.here):
        yield from _of_rack(each, bags, snapshot)


def _racks(bags: list[BagNow]) -> list[list[BagNow]]:
    """Bags that share their place, the moment when they came there, and what is to be done with them."""
    found: dict[tuple[Any, ...], list[BagNow]] = {}
    for bag in bags:
        probed = bag.where == Where.CHILL and bag.core is not None
        key = (bag.where, bag.place, bag.since, probed, bag.to_discard)
        found.setdefault(key, []).append(bag)
    return list(found.values())


def _of_rack(each: InHand, bags: list[BagNow], snapshot: Snapshot) -> Iterator[Line]:
    first, batch = bags[0], each.batch
    assert first.since is not None
    what = f"{numbers_in_words(bag.number for bag in bags)} · {batch.dish}"
    found = [item for bag in bags if (item := each.found(bag))]

    def line(due: datetime, verb: str, step: str, where: str, **more: Any) -> Line:
        return Line(due, what, where, verb, step_url(batch, step, bags), **more)

    if first.to_discard and first.where != Where.BATH:
        yield line(first.since, "Discard", "discard", first.words, waits=True, note="the head chef decided")
        return
    match first.where:
        case Where.SEALED:
            yield line(first.since, "Bag in", "in", _set_point(each, snapshot), waits=True)
        case Where.BATH:
            yield _bag_out(line, each, first, found, snapshot)
        case Where.OUT if batch.method.chill_medium:
            by = soonest(found, Step.CHILL)
            note = f"by {clock(by, snapshot)}" if by else ""
            yield line(first.since, "Into ice", "chill", "out of the bath", waits=True, note=note)
        case Where.OUT:
            yield line(first.since, "Serve", "serve", "out of the bath", waits=True)
        case Where.CHILL:
            yield _in_chill(line, first, found)
        case Where.CHILLED:
            yield line(first.since, "Into fridge", "fridge", "out of the chill", waits=True)
        case Where.FRIDGE:
            yield from _use_by(line, first, found, snapshot)


def clock(at: datetime, snapshot: Snapshot) -> str:
    """A moment on the kitchen's clock, with the date when it is not today."""
    today = moments.local(snapshot.at, snapshot.site.timezone).date()
    return moments.clock(at, snapshot.site.timezone, today)


def _set_point(each: InHand, snapshot: Snapshot) -> str:
    wanted = each.batch.method.set_point_c
    names = [place.name for place in snapshot.baths if place.set_point_c == wanted]
    return f"into {' or '.join(names)}" if names else "no bath runs at its set point"


def _bag_out(line: Any, each: InHand, first: BagNow, found: list[BagAssessment], snapshot: Snapshot) -> Line:
    """The later of the proven end of the hold and the method's own time in the bath."""
    assert first.bath_from is not None
    cooked = first.bath_from + timedelta(minutes=each.batch.method.bath_min)
    proven = [item.hold_until for item in found]
    known = [moment for moment in proven if moment]
    if len(known) < len(proven) or not known:
        return line(cooked, "Bag out", "out", first.place_name, note="hold not proven")
    note = f"hold proven {clock(max(known), snapshot)}"
    return line(max(cooked, *known), "Bag out", "out", first.place_name, note=note)


def _in_chill(line: Any, first: BagNow, found: list[BagAssessment]) -> Line:
    by = soonest(found, Step.CHILL)
    if first.core is None or by:
        return line(by or first.since, "Probe core", "core", first.place_name, waits=by is None)
    return line(first.core[0], "Into fridge", "fridge", first.place_name, waits=True)


def soonest(found: list[BagAssessment], step: Step) -> datetime | None:
    """Until when something can still be done about a step."""
    moments_by = [f.remedy_by for item in found for f in item.findings if f.step == step and f.remedy_by]
    return min(moments_by, default=None)


def _use_by(line: Any, first: BagNow, found: list[BagAssessment], snapshot: Snapshot) -> Iterator[Line]:
    days = [item.use_by for item in found if item.use_by]
    if not days:
        return
    today, last = moments.local(snapshot.at, snapshot.site.timezone).date(), min(days)
    if last > today:
        return
    due = datetime.combine(last, LAST_MINUTE, tzinfo=snapshot.site.zone)
    if last == today:
        yield line(due, "Serve", "serve", first.place_name, note="use-by today")
    else:
        yield line(
            due, "Discard", "discard", first.place_name, note=f"use-by was {last:%a} {last.day} {last:%b}"
        )
