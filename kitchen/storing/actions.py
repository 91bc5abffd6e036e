"""What is done at the fridges."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from kitchen.base.possible import STORE_C, possible
from kitchen.batches.actions import bags_of, named
from kitchen.batches.models import Bag
from kitchen.equipment.models import Fridge, Probe
from kitchen.ledger.chain import Hand, record
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects
from kitchen.storing.models import FridgeReading, Stored


def store_bags(*, bags: Sequence[Bag], fridge: Fridge, hand: Hand, at: datetime | None = None) -> Entry:
    """Bags of one batch go into a fridge."""
    return record("bags.store", {"fridge": fridge.name, **named(bags)}, hand=hand, happened_at=at)


@projects("bags.store", correctable=True)
def _bags_store(entry: Entry, said: dict[str, Any]) -> None:
    fridge = Fridge.objects.get(site=entry.site, name=said["fridge"])
    Stored.objects.bulk_create(
        Stored(entry=entry, at=entry.happened_at, bag=bag, fridge=fridge) for bag in bags_of(entry, said)
    )


def current_fridge(bag: Bag) -> Fridge | None:
    """The fridge that a bag was last put into."""
    stored = standing(bag.storings.all()).order_by("-at", "-pk").first()
    return stored.fridge if stored else None


def read_fridge(
    *, fridge: Fridge, celsius: Decimal, probe: Probe, hand: Hand, at: datetime | None = None
) -> Entry:
    """Log the temperature of a fridge."""
    possible(celsius, STORE_C, fridge.name)
    said = {"fridge": fridge.name, "celsius": celsius, "probe": probe.name}
    return record("fridge.read", said, hand=hand, happened_at=at)


@projects("fridge.read", correctable=True)
def _fridge_read(entry: Entry, said: dict[str, Any]) -> None:
    FridgeReading.objects.create(
        entry=entry,
        at=entry.happened_at,
        fridge=Fridge.objects.get(site=entry.site, name=said["fridge"]),
        celsius=said["celsius"],
        probe=Probe.objects.get(site=entry.site, name=said["probe"]),
    )
