"""The Larder page: one ledger of lots, brines, probes, places and methods, each with what is due.

Rows of rooms above this one (brines, readings, methods) are reached from the site and from the
places they belong to, so that nothing is imported upwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.urls import reverse

from haccp import brine as brine_science
from kitchen.base import moments
from kitchen.base.filters import temperature
from kitchen.equipment import checking
from kitchen.larder.actions import closings
from kitchen.ledger.models import standing

# A lot past its use-by, closed or rejected stays on the page this long; a brine as long as it may be in use.
SHOWN = timedelta(days=14)


@dataclass(frozen=True)
class Line:
    """One line of the ledger: the thing, facts about it, what is due, and whether it is overdue.

    `link` is the page of the thing; `verb` and `act` are a button and where it leads.
    """

    thing: Any
    facts: tuple[str, ...]
    due: str = ""
    overdue: bool = False
    outcome: str = ""
    link: str = ""
    verb: str = ""
    act: str = ""


@dataclass(frozen=True)
class Page:
    """The whole ledger."""

    lots: list[Line]
    past_lots: list[Line]
    not_closed: int
    brines: list[Line]
    probes: list[Line]
    baths: list[Line]
    chillers: list[Line]
    fridges: list[Line]
    methods: list[Line]
    people: list[Any]
    tablets: list[Any]


def of(site: Any, now: datetime) -> Page:
    """The ledger of a site at a moment."""
    today = moments.local(now, site.timezone).date()
    lots = _lots(site, now, today)
    past = [line for line, over in lots if over]
    return Page(
        lots=[line for line, over in lots if not over],
        past_lots=past,
        not_closed=sum(line.overdue for line in past),
        brines=_brines(site, now),
        probes=_probes(site, now, today),
        baths=[_bath(each, site, now) for each in site.baths.select_related("probe")],
        chillers=[_chiller(each, site, now) for each in site.chillers.select_related("probe")],
        fridges=[_fridge(each, site, now) for each in site.fridges.select_related("probe")],
        methods=_methods(site),
        people=list(site.people.filter(is_active=True).order_by("name")),
        tablets=list(site.tablets.filter(revoked_at__isnull=True).order_by("name")),
    )


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _lots(site: Any, now: datetime, today: date) -> list[tuple[Line, bool]]:
    """Each lot, and whether it is past: closed, rejected or beyond its use-by."""
    lines = []
    ended = {each.lot.code: each for each in closings(site)}
    for lot in standing(site.lots.all()).order_by("use_by", "-at"):
        past = bool(lot.use_by and lot.use_by < today)
        end = ended.get(lot.code)
        over = end.at if end else None if lot.accepted else lot.at
        if (past and today - lot.use_by > SHOWN) or (over and now - over > SHOWN):
            continue
        received = f"received {moments.clock(lot.at, site.timezone, today)}"
        if end:
            note = f": {end.note}" if end.note else ""
            due = f"{end.how} {moments.clock(end.at, site.timezone, today)}{note}"
        elif not lot.accepted:
            due = f"rejected: {lot.reason}" if lot.reason else "rejected"
        elif lot.use_by is None:
            due = "no use-by given"
        elif past:
            due = f"past its use-by of {_day(lot.use_by)}"
        else:
            due = "use by today" if lot.use_by == today else f"use by {_day(lot.use_by)}"
        overdue = past and lot.accepted and not end
        verb, act = (
            ("Open again", "lot_open") if end else ("Close", "lot_close") if lot.accepted else ("", "")
        )
        address = reverse(act, args=[lot.pk]) if act else ""
        link = reverse("lot", args=[lot.pk])
        line = Line(lot, (lot.supplier, received), due, overdue=overdue, link=link, verb=verb, act=address)
        lines.append((line, past or bool(end) or not lot.accepted))
    return lines


def _brines(site: Any, now: datetime) -> list[Line]:
    lines = []
    for brine in standing(site.brines.filter(at__gte=now - SHOWN)).order_by("-at"):
        percent = brine_science.percent_from_parts(float(brine.salt_g), float(brine.water_g))
        strength = f"{percent:.1f} % w/w"
        made = f"made {moments.clock(brine.at, site.timezone, moments.local(now, site.timezone).date())}"
        lines.append(Line(brine, (strength, made), f"{moments.span(now - brine.at)} old"))
    return lines


def _probes(site: Any, now: datetime, today: date) -> list[Line]:
    lines = []
    for probe in site.probes.order_by("out_of_use", "name"):
        last = standing(probe.checks.all()).order_by("-at", "-pk").first()
        link = reverse("probe", args=[probe.pk])
        facts = [f"± {probe.tolerance_k.normalize():f} °C"]
        if last:
            facts.append(f"checked {moments.clock(last.at, site.timezone, today)}")
        if probe.out_of_use:
            lines.append(Line(probe, (*facts, "out of use"), link=link))
            continue
        outcome = "" if last is None else "meets limits" if last.passed else "fails limits"
        if last is None:
            due, overdue = "never checked: check it now", True
        elif not last.passed:
            due, overdue = "failed its check", True
        else:
            until = checking.due_after(site, moments.local(last.at, site.timezone).date())
            overdue = bool(until and until < today)
            due = "" if until is None else f"check {'was due' if overdue else 'due'} {_day(until)}"
        check = reverse("probe_check", args=[probe.pk])
        lines.append(Line(probe, tuple(facts), due, overdue, outcome, link, "Check", check))
    return lines


def _last_reading(place: Any) -> Any:
    return standing(place.readings.all()).order_by("-at", "-pk").first()


def _read(reading: Any, site: Any, now: datetime) -> str:
    today = moments.local(now, site.timezone).date()
    return f"{temperature(reading.celsius, site)} at {moments.clock(reading.at, site.timezone, today)}"


def _bath(bath: Any, site: Any, now: datetime) -> Line:
    log = bath.logs.filter(ended__isnull=True).first()
    facts = [f"{bath.volume_l.normalize():f} litres"]
    if log is None:
        return Line(bath, tuple(facts), "not running")
    facts.append(f"set to {temperature(log.set_point_c, site)}")
    act = reverse("bath_read", args=[log.pk])
    return _with_reading(bath, facts, _last_reading(log), log.started_at, site, now, act)


def _chiller(place: Any, site: Any, now: datetime) -> Line:
    """A chiller is read while bags are in it, so that nothing is due by the clock alone."""
    reading = _last_reading(place)
    facts = (_read(reading, site, now),) if reading else ("no reading yet",)
    return Line(place, facts, verb="Read", act=reverse("chiller_read", args=[place.pk]))


def _fridge(place: Any, site: Any, now: datetime) -> Line:
    act = reverse("fridge_read", args=[place.pk])
    return _with_reading(place, [], _last_reading(place), None, site, now, act)


def _with_reading(
    place: Any, facts: list[str], reading: Any, since: datetime | None, site: Any, now: datetime, act: str
) -> Line:
    facts.append(_read(reading, site, now) if reading else "no reading yet")
    start = reading.at if reading else since
    if start is None:
        return Line(place, tuple(facts), "read it now", True, verb="Read", act=act)
    at = start + timedelta(minutes=place.every_min)
    today = moments.local(now, site.timezone).date()
    clock = moments.clock(at, site.timezone, today)
    due = f"reading was due {clock}" if at < now else f"reading due {clock}"
    return Line(place, tuple(facts), due, at < now, verb="Read", act=act)


def _methods(site: Any) -> list[Line]:
    lines = []
    for dish in site.dishes.prefetch_related("methods__signed"):
        versions = sorted(dish.methods.all(), key=lambda each: each.version)
        signed = [each for each in versions if each.signed_id]
        facts = (f"version {signed[-1].version} signed",) if signed else ("none signed",)
        draft = versions[-1] if versions and not versions[-1].signed_id else None
        due = f"version {draft.version} waits for a signature" if draft else ""
        link = reverse("method", args=[(draft or signed[-1]).pk])
        lines.append(Line(dish, facts, due, link=link))
    return lines
