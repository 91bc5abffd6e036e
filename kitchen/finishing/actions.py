"""What is done at service."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from kitchen.base.possible import FOOD_C, possible
from kitchen.base.refusals import Refused
from kitchen.batches.actions import bags_of, named
from kitchen.batches.models import Bag
from kitchen.equipment.models import Probe
from kitchen.finishing.models import Finish, KeptForService, ServiceReading
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects

ENDS = (Finish.Kind.SERVED, Finish.Kind.DISCARDED)


def gone(bag: Bag) -> Finish | None:
    """The serving or discarding that ended a bag, if it has ended."""
    return standing(bag.finishes.filter(kind__in=ENDS)).order_by("at").first()


def finish_bags(
    *,
    bags: Sequence[Bag],
    kind: str,
    hand: Hand,
    at: datetime | None = None,
    note: str = "",
    portions: int | None = None,
) -> Entry:
    """Bags of one batch get their second cook, are served, or are discarded."""
    if kind == Finish.Kind.DISCARDED and not note.strip():
        raise Refused("Say why it is discarded.", "note")
    if not taken_before(hand):
        for bag in bags:
            ended = gone(bag)
            if ended:
                raise Refused(f"Bag {bag.number} was {ended.kind} already.", "bags")
    said = {**named(bags), "kind": kind, "note": note.strip(), "portions": portions}
    return record("bags.finish", said, hand=hand, happened_at=at)


@projects("bags.finish", correctable=True)
def _bags_finish(entry: Entry, said: dict[str, Any]) -> None:
    for bag in bags_of(entry, said):
        Finish.objects.create(
            entry=entry,
            at=entry.happened_at,
            bag=bag,
            kind=said["kind"],
            note=said["note"],
            portions=said["portions"],
        )


def keep_for_service(
    *,
    bags: Sequence[Bag],
    kind: str,
    hand: Hand,
    at: datetime | None = None,
    served_as: str = "",
    marked: bool | None = None,
) -> Entry:
    """Bags of one batch are kept hot, or put out at room temperature, until they are served or moved."""
    if kind not in KeptForService.Kind.values:
        raise Refused("Choose how it is kept.", "kind")
    if served_as not in ("", "served cold", "served hot"):
        raise Refused("Choose served cold or served hot.", "served_as")
    if not taken_before(hand):
        for bag in bags:
            ended = gone(bag)
            if ended:
                raise Refused(f"Bag {bag.number} was {ended.kind} already.", "bags")
    said = {**named(bags), "kind": kind, "served_as": served_as, "marked": marked}
    return record("bags.keep", said, hand=hand, happened_at=at)


@projects("bags.keep", correctable=True)
def _bags_keep(entry: Entry, said: dict[str, Any]) -> None:
    facts = {name: said[name] for name in ("kind", "served_as", "marked")}
    KeptForService.objects.bulk_create(
        KeptForService(entry=entry, at=entry.happened_at, bag=bag, **facts) for bag in bags_of(entry, said)
    )


def read_service(
    *, bags: Sequence[Bag], celsius: Decimal, probe: Probe, hand: Hand, at: datetime | None = None
) -> Entry:
    """Food that is kept for service was measured."""
    possible(celsius, FOOD_C, "Food at service")
    said = {**named(bags), "celsius": celsius, "probe": probe.name}
    return record("bags.keep.read", said, hand=hand, happened_at=at)


@projects("bags.keep.read", correctable=True)
def _bags_keep_read(entry: Entry, said: dict[str, Any]) -> None:
    probe = Probe.objects.get(site=entry.site, name=said["probe"])
    ServiceReading.objects.bulk_create(
        ServiceReading(entry=entry, at=entry.happened_at, bag=bag, celsius=said["celsius"], probe=probe)
        for bag in bags_of(entry, said)
    )
