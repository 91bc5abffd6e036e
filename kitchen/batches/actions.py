"""What is done with a batch before it meets a bath."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from kitchen.base.refusals import Refused
from kitchen.batches.models import Bag, Batch, BatchLot, BatchMeasured, Sealing
from kitchen.larder.actions import closed
from kitchen.larder.models import Lot
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects
from kitchen.methods.models import Method
from kitchen.people.models import Site
from kitchen.people.regime import chosen_on, regime_on

DOUBTS = ("floating", "overlapping", "half sunk", "from frozen", "trapped air")


def _next_code(site: Any, day: date) -> str:
    """Site, day and a letter: MQ-1124-C. The 27th batch of a day gets two letters."""
    stem = f"{site.code}-{day:%y%m%d}"
    count = Batch.objects.filter(site=site, code__startswith=stem + "-").count()
    letters = ""
    count += 1
    while count:
        count, rest = divmod(count - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{stem}-{letters}"


def open_batch(*, method: Method, lots: Sequence[Lot], hand: Hand, at: datetime | None = None) -> Batch:
    """Begin a batch to a signed method, from lots that were accepted and are within their use-by."""
    moment = at or hand.moment
    day = moment.astimezone(hand.site.zone).date()
    if not method.signed_id:
        raise Refused("That method is not signed. Ask the head chef to sign it first.", "method")
    if not lots:
        raise Refused("Choose the lots that go into the batch: without them nothing can be traced.", "lots")
    for lot in lots:
        if not lot.accepted:
            raise Refused(f"{lot} was rejected at delivery. Choose another lot.", "lots")
        if lot.use_by and lot.use_by < day:
            raise Refused(f"{lot} was to be used by {lot.use_by:%d %b %Y}. Choose another lot.", "lots")
        ended = closed(lot)
        if ended and ended.at <= moment and not taken_before(hand):
            raise Refused(f"{lot} is {ended.how}. Choose another lot, or open it again.", "lots")
    with transaction.atomic():
        again = taken_before(hand)
        code = again.said["code"] if again and again.kind == "batch.open" else _next_code(hand.site, day)
        said = {
            "code": code,
            "dish": method.dish.name,
            "version": method.version,
            "made_on": day,
            "lots": sorted(lot.code for lot in lots),
        }
        entry = record("batch.open", said, hand=hand, happened_at=at)
        return Batch.objects.get(entry=entry)


@projects("batch.open")
def _batch_open(entry: Entry, said: dict[str, Any]) -> None:
    method = Method.objects.get(dish__site=entry.site, dish__name=said["dish"], version=said["version"])
    # The site as the entries before this one left it, not as somebody may hold it in hand.
    site, made_on = Site.objects.get(pk=entry.site_id), date.fromisoformat(said["made_on"])
    facts = {
        "entry": entry,
        "method": method,
        "made_on": made_on,
        "regime": regime_on(site, made_on),
        "chosen": sorted(chosen_on(site, made_on)),
    }
    batch, _ = Batch.objects.get_or_create(site=site, code=said["code"], defaults=facts)
    for lot in standing(Lot.objects.filter(site=entry.site, code__in=said["lots"])):
        BatchLot.objects.create(entry=entry, at=entry.happened_at, batch=batch, lot=lot)


def seal_bags(
    *,
    batch: Batch,
    count: int,
    thickness_mm: Decimal,
    start_c: Decimal,
    hand: Hand,
    at: datetime | None = None,
    length_mm: Decimal | None = None,
    width_mm: Decimal | None = None,
    grams: int | None = None,
    doubts: Sequence[str] = (),
) -> list[Bag]:
    """Seal one or several like bags. Bags that differ in thickness are sealed one by one."""
    if not 1 <= count <= 60:
        raise Refused("Seal between 1 and 60 bags at a time.", "count")
    with transaction.atomic():
        again = taken_before(hand)
        if again and again.kind == "bags.seal":
            numbers = again.said["bags"]
        else:
            last = batch.bags.order_by("-number").first()
            first = last.number + 1 if last else 1
            numbers = list(range(first, first + count))
        said = {
            "batch": batch.code,
            "bags": numbers,
            "thickness_mm": thickness_mm,
            "length_mm": length_mm,
            "width_mm": width_mm,
            "grams": grams,
            "start_c": start_c,
            "doubts": sorted(doubts),
        }
        entry = record("bags.seal", said, hand=hand, happened_at=at)
        return [each.bag for each in Sealing.objects.filter(entry=entry).select_related("bag")]


@projects("bags.seal", correctable=True)
def _bags_seal(entry: Entry, said: dict[str, Any]) -> None:
    batch = Batch.objects.get(site=entry.site, code=said.pop("batch"))
    for number in said.pop("bags"):
        bag, _ = Bag.objects.get_or_create(batch=batch, number=number)
        Sealing.objects.create(entry=entry, at=entry.happened_at, bag=bag, **said)


def bags_of(entry: Entry, said: dict[str, Any]) -> list[Bag]:
    """The bags that an entry names: ``{"batch": code, "bags": [numbers]}``."""
    return list(
        Bag.objects.filter(
            batch__site=entry.site, batch__code=said["batch"], number__in=said["bags"]
        ).order_by("number")
    )


def named(bags: Sequence[Bag]) -> dict[str, Any]:
    """How an entry names bags; they must be of one batch."""
    batches = {bag.batch_id for bag in bags}
    if len(batches) != 1:
        raise Refused("Choose bags of one batch.", "bags")
    return {"batch": bags[0].batch.code, "bags": sorted(bag.number for bag in bags)}


def measure_batch(
    *,
    batch: Batch,
    quantity: str,
    value: Decimal,
    checked: bool,
    hand: Hand,
    at: datetime | None = None,
    tolerance: Decimal = Decimal(0),
) -> Entry:
    """A meter or a laboratory gave a figure of a batch; `checked`: the meter was checked that day."""
    if quantity not in BatchMeasured.Quantity.values:
        raise Refused("Choose what was measured.", "quantity")
    if not 0 <= value < 10**5 or not 0 <= tolerance < 10**3:
        raise Refused("That is no figure of a meter. Read it again.", "value")
    said = {
        "batch": batch.code,
        "quantity": quantity,
        "value": value,
        "tolerance": tolerance,
        "checked": checked,
    }
    return record("batch.measure", said, hand=hand, happened_at=at)


@projects("batch.measure", correctable=True)
def _batch_measure(entry: Entry, said: dict[str, Any]) -> None:
    batch = Batch.objects.get(site=entry.site, code=said.pop("batch"))
    BatchMeasured.objects.create(entry=entry, at=entry.happened_at, batch=batch, **said)
