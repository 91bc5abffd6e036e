"""What is done in the larder."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from kitchen.base.refusals import Refused
from kitchen.equipment.models import Probe
from kitchen.larder.models import Lot
from kitchen.larder.receiving import over_limit
from kitchen.ledger.chain import Hand, record, taken_before
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
