"""What is done in the larder."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from kitchen.base.possible import FOOD_C, possible
from kitchen.base.refusals import Refused
from kitchen.equipment.models import Probe
from kitchen.larder.models import Lot, LotClosed, LotFrozen, LotThawed
from kitchen.larder.receiving import over_limit
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects


def receive_lot(
    *,
    code: str,
    product: str,
    supplier: str,
    material: str,
    hand: Hand,
    at: datetime | None = None,
    use_by: date | None = None,
    grams: int | None = None,
    celsius: Decimal | None = None,
    probe: Probe | None = None,
    allergens: str = "",
    condition: str = "",
    accepted: bool = True,
    reason: str = "",
    attributes: Sequence[str] = ("raw", "chilled"),
) -> Lot:
    """Take a delivery in as a lot, or note that it was rejected.

    A rejection needs its reason, and so does a lot that is taken in although it was too warm.
    """
    day = (at or hand.moment).astimezone(hand.site.zone).date()
    if not reason.strip():
        if not accepted:
            raise Refused("Say why it was rejected.", "reason")
        trouble = over_limit(hand.site, day, material, attributes, celsius)
        if trouble:
            raise Refused(f"{trouble} Reject it, or accept it with the reason.", "reason")
    if not taken_before(hand) and standing(Lot.objects.filter(site=hand.site, code=code)).exists():
        raise Refused(
            f"Lot {code} was received before. Add a letter to tell the two deliveries apart.", "code"
        )
    said = {
        "code": code,
        "product": product,
        "supplier": supplier,
        "material": material,
        "use_by": use_by,
        "grams": grams,
        "celsius": celsius,
        "probe": probe.name if probe else None,
        "allergens": allergens,
        "condition": condition,
        "accepted": accepted,
        "reason": reason.strip(),
        "attributes": sorted(attributes),
    }
    entry = record("lot.receive", said, hand=hand, happened_at=at)
    return Lot.objects.get(entry=entry)


@projects("lot.receive", correctable=True)
def _lot_receive(entry: Entry, said: dict[str, Any]) -> None:
    probe = said.pop("probe")
    found = Probe.objects.get(site=entry.site, name=probe) if probe else None
    Lot.objects.create(site=entry.site, entry=entry, at=entry.happened_at, probe=found, **said)


def closings(site: Any) -> Any:
    """The standing closings of a site."""
    return standing(LotClosed.objects.filter(lot__site=site)).select_related("lot")


def closed(lot: Lot) -> LotClosed | None:
    """How a lot was closed; None while it is open. By its code: a corrected lot is another row."""
    return closings(lot.site).filter(lot__code=lot.code).first()


def close_lot(*, lot: Lot, how: str, hand: Hand, note: str = "", at: datetime | None = None) -> Entry:
    """Close a lot: nothing of it is left."""
    if how not in LotClosed.How.values:
        raise Refused("Choose used up or discarded.", "how")
    if not taken_before(hand):
        if closed(lot):
            raise Refused(f"Lot {lot.code} is closed already.")
        if at and at < lot.at:
            raise Refused("That is before the lot was received. Check the time.", "at")
    said = {"lot": lot.code, "how": how, "note": note.strip()}
    return record("lot.close", said, hand=hand, happened_at=at)


@projects("lot.close", correctable=True)
def _lot_close(entry: Entry, said: dict[str, Any]) -> None:
    lot = standing(Lot.objects.filter(site=entry.site)).get(code=said["lot"])
    LotClosed.objects.create(entry=entry, at=entry.happened_at, lot=lot, how=said["how"], note=said["note"])


def open_again(*, lot: Lot, reason: str, hand: Hand) -> Entry:
    """A lot that was closed by mistake is open again: its closing is withdrawn, and stays in sight."""
    again = taken_before(hand)
    if again:
        return again
    found = closed(lot)
    if found is None:
        raise Refused(f"Lot {lot.code} is open.")
    return correct(found.entry_id, None, reason=reason, hand=hand, happened_at=hand.moment)


def thaw_lot(
    *,
    lot: Lot,
    how: str,
    begun_at: datetime,
    hand: Hand,
    at: datetime | None = None,
    celsius: Decimal | None = None,
    water_c: Decimal | None = None,
    probe: Probe | None = None,
    pack_open: bool | None = None,
) -> Entry:
    """A lot is thawed through (`at`); `begun_at` is when it was taken out of the freezer."""
    if how not in LotThawed.How.values:
        raise Refused("Choose where it was thawed.", "how")
    if begun_at >= (at or hand.moment):
        raise Refused("It was thawed through after it was taken out. Check the times.", "begun_at")
    if begun_at < lot.at and not taken_before(hand):
        raise Refused("That is before the lot was received. Check the time.", "begun_at")
    for name, said in (("celsius", celsius), ("water_c", water_c)):
        if said is None:
            continue
        possible(said, FOOD_C, lot.product)
        if probe is None:
            raise Refused("Say which probe was read: a reading without a probe proves nothing.", name)
    said = {
        "lot": lot.code,
        "how": how,
        "begun_at": begun_at,
        "celsius": celsius,
        "water_c": water_c,
        "probe": probe.name if probe else None,
        "pack_open": pack_open,
    }
    return record("lot.thaw", said, hand=hand, happened_at=at)


@projects("lot.thaw", correctable=True)
def _lot_thaw(entry: Entry, said: dict[str, Any]) -> None:
    probe = said.pop("probe")
    found = Probe.objects.get(site=entry.site, name=probe) if probe else None
    LotThawed.objects.create(
        entry=entry, at=entry.happened_at, lot=_lot(entry, said.pop("lot")), probe=found, **said
    )


def keep_freezing_paper(
    *,
    lot: Lot,
    statement: str,
    hand: Hand,
    celsius: Decimal | None = None,
    hours: Decimal | None = None,
    solid_c: Decimal | None = None,
    exempt: bool = False,
) -> Entry:
    """The supplier's paper: how a lot was frozen against parasites, or why it need not be."""
    if not statement.strip():
        raise Refused("Give the reference of the paper: without it nothing is proven.", "statement")
    if not exempt and (celsius is None or hours is None):
        raise Refused(
            "Type the temperature and the hours that the paper says, or that it is exempt.", "celsius"
        )
    if celsius is not None and celsius >= 0:
        raise Refused("Frozen is below 0 °C. Type the minus sign too.", "celsius")
    said = {
        "lot": lot.code,
        "statement": statement.strip(),
        "celsius": celsius,
        "hours": hours,
        "solid_c": solid_c,
        "exempt": exempt,
    }
    return record("lot.frozen", said, hand=hand)


@projects("lot.frozen", correctable=True)
def _lot_frozen(entry: Entry, said: dict[str, Any]) -> None:
    LotFrozen.objects.create(entry=entry, at=entry.happened_at, lot=_lot(entry, said.pop("lot")), **said)


def _lot(entry: Entry, code: str) -> Lot:
    return standing(Lot.objects.filter(site=entry.site)).get(code=code)
