"""What is done at the baths."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from kitchen.base.possible import BATH_C, FOOD_C, possible
from kitchen.base.refusals import Refused
from kitchen.batches.actions import bags_of, named
from kitchen.batches.models import Bag
from kitchen.cooking.models import BagIn, BagOut, BathLog, BathReading, CoreCheck
from kitchen.equipment.models import Bath, Probe
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects


def _log_of(entry: Entry, said: dict[str, Any]) -> BathLog:
    return BathLog.objects.get(entry_id=UUID(said["log"]))


def _probe_of(entry: Entry, said: dict[str, Any]) -> Probe:
    return Probe.objects.get(site=entry.site, name=said["probe"])


def usable(probe: Probe | None) -> Probe:
    """A probe that may be read with, or the reason why not."""
    if probe is None:
        raise Refused("Say which probe was read: a reading without a probe proves nothing.", "probe")
    if probe.out_of_use:
        raise Refused(f"Probe {probe.name} is out of use. Take another one.", "probe")
    return probe


def start_bath(*, bath: Bath, set_point_c: Decimal, hand: Hand, at: datetime | None = None) -> BathLog:
    """Begin a bath log: one run of a bath at a set point."""
    if not taken_before(hand) and BathLog.objects.filter(bath=bath, ended__isnull=True).exists():
        raise Refused(f"{bath.name} is running. End its log before you start another.")
    said = {"bath": bath.name, "set_point_c": set_point_c}
    return BathLog.objects.get(entry=record("bath.start", said, hand=hand, happened_at=at))


@projects("bath.start")
def _bath_start(entry: Entry, said: dict[str, Any]) -> None:
    bath = Bath.objects.get(site=entry.site, name=said["bath"])
    BathLog.objects.create(
        bath=bath, entry=entry, set_point_c=said["set_point_c"], started_at=entry.happened_at
    )


def end_bath(*, bath_log: BathLog, hand: Hand, at: datetime | None = None) -> Entry:
    """End a bath log. Bags must be out first."""
    if not taken_before(hand):
        if bath_log.ended_id:
            raise Refused(f"This log of {bath_log.bath.name} has ended already.")
        inside = bags_in(bath_log)
        if inside:
            still = "1 bag is" if len(inside) == 1 else f"{len(inside)} bags are"
            raise Refused(f"{still} still in {bath_log.bath.name}. Take them out first.")
    return record("bath.end", {"log": bath_log.entry_id}, hand=hand, happened_at=at)


@projects("bath.end")
def _bath_end(entry: Entry, said: dict[str, Any]) -> None:
    BathLog.objects.filter(entry_id=UUID(said["log"])).update(ended=entry)


def read_bath(
    *, bath_log: BathLog, celsius: Decimal, probe: Probe | None, hand: Hand, at: datetime | None = None
) -> Entry:
    """Log a reading of a bath."""
    if (at or hand.moment) < bath_log.started_at:
        raise Refused("That is before this bath log began. Check the time.", "at")
    possible(celsius, BATH_C, "A water bath")
    said = {"log": bath_log.entry_id, "celsius": celsius, "probe": usable(probe).name}
    return record("bath.read", said, hand=hand, happened_at=at)


@projects("bath.read", correctable=True)
def _bath_read(entry: Entry, said: dict[str, Any]) -> None:
    BathReading.objects.create(
        entry=entry,
        at=entry.happened_at,
        bath_log=_log_of(entry, said),
        celsius=said["celsius"],
        probe=_probe_of(entry, said),
    )


def current_log(bag: Bag) -> BathLog | None:
    """The bath log that a bag is in now, if any."""
    went_in = standing(BagIn.objects.filter(bag=bag)).order_by("-at", "-pk").first()
    if went_in is None:
        return None
    came_out = standing(
        BagOut.objects.filter(bag=bag, bath_log=went_in.bath_log, at__gte=went_in.at)
    ).exists()
    return None if came_out else went_in.bath_log


def bags_in(bath_log: BathLog) -> list[Bag]:
    """The bags that are in a bath log now."""
    bags = Bag.objects.filter(
        pk__in=standing(BagIn.objects.filter(bath_log=bath_log)).values("bag")
    ).select_related("batch__method__dish")
    return [bag for bag in bags if current_log(bag) == bath_log]


def bags_into_bath(
    *, bags: Sequence[Bag], bath_log: BathLog, hand: Hand, at: datetime | None = None
) -> Entry:
    """Bags of one batch go into a bath."""
    said = {"log": bath_log.entry_id, **named(bags)}
    moment = at or hand.moment
    if not taken_before(hand):
        if bath_log.ended_id:
            raise Refused(f"That log of {bath_log.bath.name} has ended. Start the bath again.", "bath_log")
        for bag in bags:
            inside = current_log(bag)
            if inside:
                raise Refused(f"Bag {bag.number} is in {inside.bath.name} already.", "bags")
            if not standing(bag.sealings.all()).exists():
                raise Refused(f"Bag {bag.number} was not logged as sealed.", "bags")
        if moment < bath_log.started_at:
            raise Refused(
                "That is before this bath log began. Check the time, or start the log earlier.", "at"
            )
    return record("bags.in", said, hand=hand, happened_at=at)


@projects("bags.in", correctable=True)
def _bags_in(entry: Entry, said: dict[str, Any]) -> None:
    log = _log_of(entry, said)
    BagIn.objects.bulk_create(
        BagIn(entry=entry, at=entry.happened_at, bag=bag, bath_log=log) for bag in bags_of(entry, said)
    )


def bags_out_of_bath(*, bags: Sequence[Bag], hand: Hand, at: datetime | None = None) -> Entry:
    """Bags of one batch come out of their bath."""
    moment = at or hand.moment
    logs = set()
    earlier = taken_before(hand)
    if earlier:
        return earlier
    for bag in bags:
        log = current_log(bag)
        if log is None:
            raise Refused(f"Bag {bag.number} is in no bath. Log when it went in first.", "bags")
        went_in = standing(BagIn.objects.filter(bag=bag, bath_log=log)).order_by("-at").first()
        if went_in and moment < went_in.at:
            raise Refused(f"That is before bag {bag.number} went in. Check the time.", "at")
        logs.add(log)
    if len(logs) != 1:
        raise Refused("Choose bags that are in one bath.", "bags")
    said = {"log": logs.pop().entry_id, **named(bags)}
    return record("bags.out", said, hand=hand, happened_at=at)


@projects("bags.out", correctable=True)
def _bags_out(entry: Entry, said: dict[str, Any]) -> None:
    log = _log_of(entry, said)
    BagOut.objects.bulk_create(
        BagOut(entry=entry, at=entry.happened_at, bag=bag, bath_log=log) for bag in bags_of(entry, said)
    )


def check_core(
    *, bag: Bag, step: str, celsius: Decimal, probe: Probe | None, hand: Hand, at: datetime | None = None
) -> Entry:
    """Log a core temperature that was probed."""
    possible(celsius, FOOD_C, "Food")
    said = {**named([bag]), "step": step, "celsius": celsius, "probe": usable(probe).name}
    return record("core.check", said, hand=hand, happened_at=at)


@projects("core.check", correctable=True)
def _core_check(entry: Entry, said: dict[str, Any]) -> None:
    (bag,) = bags_of(entry, said)
    CoreCheck.objects.create(
        entry=entry,
        at=entry.happened_at,
        bag=bag,
        step=said["step"],
        celsius=said["celsius"],
        probe=_probe_of(entry, said),
    )
