"""Replay the written week through the actions, judge every batch once, and verify the chain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.db import transaction

from kitchen.base.refusals import Refused
from kitchen.batches.models import Batch
from kitchen.ledger.chain import Hand
from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify
from kitchen.management.demo.doing import DOINGS
from kitchen.management.demo.script import Line, ScriptError, Week
from kitchen.management.demo.stage import Stage
from kitchen.methods.models import Dish
from kitchen.people import actions as people
from kitchen.people.models import Site
from kitchen.review.assessing import refresh
from kitchen.review.landing import quiet


@dataclass(frozen=True)
class Told:
    """What there is after a replay; `batches` by the names that the script gives them."""

    site: Site
    batches: dict[str, Batch]
    dishes: int
    entries: int
    head: str


def replay(week: Week) -> Told:
    """Tell the whole week to the app: all of it, or nothing.

    Raises `ScriptError` naming the line that an action refused, and where the chain does not hold.
    """
    with transaction.atomic(), quiet():
        stage = _open(week)
        for line in week.lines:
            _tell(stage, week, line)
    for batch in stage.batches.values():
        refresh(batch, week.clock.now)
    verdict = verify(stage.site)
    if verdict.flaw:
        raise ScriptError(f"The chain of {stage.site.name} does not hold: {verdict.flaw.reason}.")
    return Told(
        site=stage.site,
        batches=stage.batches,
        dishes=Dish.objects.filter(site=stage.site, methods__batches__isnull=False).distinct().count(),
        entries=verdict.count,
        head=verdict.head,
    )


def _open(week: Week) -> Stage:
    """Open the site and bring its people in."""
    place = week.place
    opened = week.clock.moment(place["opened"])
    site = people.open_site(now=opened, **place["site"])
    stage = Stage(site, place["tablet"])
    for each in place["people"]:
        stage.people[each["code"]] = people.add_person(
            site=site, hand=Hand(site=site, now=opened), **{**each, "cook_code": each.get("cook_code", "")}
        )
    return stage


def _tell(stage: Stage, week: Week, line: Line) -> None:
    facts = dict(line.facts)
    name = facts.pop("id", None)
    if line.do not in DOINGS:
        raise ScriptError(f"{line.where}: nothing is named “{line.do}”.")
    try:
        made = DOINGS[line.do](stage, week, line, facts)
    except (Refused, ObjectDoesNotExist, KeyError, TypeError, ValueError, ScriptError) as error:
        raise ScriptError(f"{line.where} ({line.do}, {line.at:%d %b %H:%M} UTC): {error}") from error
    if name:
        stage.named[name] = _entry_of(made)


def _entry_of(made: Any) -> Entry:
    return made if isinstance(made, Entry) else made.entry
