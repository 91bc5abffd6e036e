"""What is done at the chill."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from kitchen.base.possible import STORE_C, possible
from kitchen.base.refusals import Refused
from kitchen.batches.actions import bags_of, named
from kitchen.batches.models import Bag
from kitchen.chilling.models import ChillIn, ChillOut, ChillReading
from kitchen.equipment.models import Chiller, Probe
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects


def current_chiller(bag: Bag) -> Chiller | None:
    """The chiller that a bag is in now, if any."""
    went_in = standing(bag.chill_ins.all()).order_by("-at", "-pk").first()
    if went_in is None:
        return None
    came_out = standing(bag.chill_outs.filter(chiller=went_in.chiller, at__gte=went_in.at)).exists()
    return None if came_out else went_in.chiller


def into_chiller(*, bags: Sequence[Bag], chiller: Chiller, hand: Hand, at: datetime | None = None) -> Entry:
    """Bags of one batch go into a chiller."""
    if not taken_before(hand):
        for bag in bags:
            inside = current_chiller(bag)
            if inside:
                raise Refused(f"Bag {bag.number} is in {inside.name} already.", "bags")
    said = {"chiller": chiller.name, **named(bags)}
    return record("chill.in", said, hand=hand, happened_at=at)


@projects("chill.in", correctable=True)
def _chill_in(entry: Entry, said: dict[str, Any]) -> None:
    chiller = Chiller.objects.get(site=entry.site, name=said["chiller"])
    ChillIn.objects.bulk_create(
        ChillIn(entry=entry, at=entry.happened_at, bag=bag, chiller=chiller) for bag in bags_of(entry, said)
    )


def out_of_chiller(*, bags: Sequence[Bag], hand: Hand, at: datetime | None = None) -> Entry:
    """Bags of one batch come out of their chiller."""
    earlier = taken_before(hand)
    if earlier:
        return earlier
    chillers = {bag: current_chiller(bag) for bag in bags}
    missing = [bag.number for bag, chiller in chillers.items() if chiller is None]
    if missing:
        raise Refused(f"Bag {missing[0]} is in no chiller. Log when it went in first.", "bags")
    names = {chiller.name for chiller in chillers.values() if chiller}
    if len(names) != 1:
        raise Refused("Choose bags that are in one chiller.", "bags")
    said = {"chiller": names.pop(), **named(bags)}
    return record("chill.out", said, hand=hand, happened_at=at)


@projects("chill.out", correctable=True)
def _chill_out(entry: Entry, said: dict[str, Any]) -> None:
    chiller = Chiller.objects.get(site=entry.site, name=said["chiller"])
    ChillOut.objects.bulk_create(
        ChillOut(entry=entry, at=entry.happened_at, bag=bag, chiller=chiller) for bag in bags_of(entry, said)
    )


def read_chiller(
    *, chiller: Chiller, celsius: Decimal, probe: Probe, hand: Hand, at: datetime | None = None
) -> Entry:
    """Log the temperature of a chiller's medium."""
    possible(celsius, STORE_C, chiller.name)
    said = {"chiller": chiller.name, "celsius": celsius, "probe": probe.name}
    return record("chill.read", said, hand=hand, happened_at=at)


@projects("chill.read", correctable=True)
def _chill_read(entry: Entry, said: dict[str, Any]) -> None:
    ChillReading.objects.create(
        entry=entry,
        at=entry.happened_at,
        chiller=Chiller.objects.get(site=entry.site, name=said["chiller"]),
        celsius=said["celsius"],
        probe=Probe.objects.get(site=entry.site, name=said["probe"]),
    )
