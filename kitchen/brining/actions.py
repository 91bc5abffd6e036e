"""What is done with brines."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from haccp import brine as brine_science
from haccp import units
from haccp.errors import HaccpError
from kitchen.base.refusals import Refused
from kitchen.batches.models import Batch
from kitchen.brining.models import Brine, BrineIn, BrineOut
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects


def percent(brine: Brine) -> float:
    """Strength of a brine in % w/w."""
    return brine_science.percent_from_parts(float(brine.salt_g), float(brine.water_g))


def strength_in_words(brine: Brine) -> str:
    """Strength in % w/w and in degrees salometer."""
    strength = percent(brine)
    # A salometer's scale ends where water is saturated; a brine may hold a hair more than it reads.
    degrees = units.salometer_from_percent(min(strength, units.percent_from_salometer(100)))
    return f"{strength:.1f} % w/w, {degrees:.0f}° salometer"


def make_brine(
    *,
    code: str,
    salt_g: Decimal,
    water_g: Decimal,
    hand: Hand,
    at: datetime | None = None,
    cure_g: Decimal | None = None,
    nitrite_percent: Decimal | None = None,
) -> Brine:
    """Make a brine from weighed salt and water; with curing salt, of the strength that its lot has."""
    if not taken_before(hand) and standing(Brine.objects.filter(site=hand.site, code=code)).exists():
        raise Refused(f"There is a brine {code} already. Give this one its own code.", "code")
    if salt_g <= 0 or water_g <= 0:
        raise Refused("Weigh salt and water; both must be more than 0 g.", "salt_g")
    try:
        brine_science.percent_from_parts(float(salt_g), float(water_g))
    except HaccpError as trouble:
        raise Refused(str(trouble), "salt_g") from trouble
    said: dict[str, Any] = {"code": code, "salt_g": salt_g, "water_g": water_g}
    if (cure_g is None) != (nitrite_percent is None):
        raise Refused("Give the weight of the curing salt and its nitrite in %, or neither.", "cure_g")
    if cure_g is not None and nitrite_percent is not None:
        if cure_g <= 0 or not 0 < nitrite_percent <= 100:
            raise Refused("Curing salt weighs more than 0 g and holds more than 0 % nitrite.", "cure_g")
        said |= {"cure_g": cure_g, "nitrite_percent": nitrite_percent}
    return Brine.objects.get(entry=record("brine.make", said, hand=hand, happened_at=at))


@projects("brine.make")
def _brine_make(entry: Entry, said: dict[str, Any]) -> None:
    Brine.objects.create(site=entry.site, entry=entry, at=entry.happened_at, **said)


def into_brine(
    *,
    batch: Batch,
    brine: Brine,
    hand: Hand,
    at: datetime | None = None,
    thickness_mm: Decimal | None = None,
    meat_g: Decimal | None = None,
) -> Entry:
    """A batch goes into a brine; its weight is needed to reckon the dose where that holds curing salt."""
    inside = standing(batch.brine_ins.all()).count() > standing(batch.brine_outs.all()).count()
    if inside and not taken_before(hand):
        raise Refused("This batch is in a brine already. Take it out first.")
    said: dict[str, Any] = {"batch": batch.code, "brine": brine.code, "thickness_mm": thickness_mm}
    if meat_g is not None:
        said["meat_g"] = meat_g
    return record("brine.in", said, hand=hand, happened_at=at)


@projects("brine.in", correctable=True)
def _brine_in(entry: Entry, said: dict[str, Any]) -> None:
    BrineIn.objects.create(
        entry=entry,
        at=entry.happened_at,
        batch=Batch.objects.get(site=entry.site, code=said["batch"]),
        brine=standing(Brine.objects.filter(site=entry.site, code=said["brine"])).get(),
        thickness_mm=said["thickness_mm"],
        meat_g=said.get("meat_g"),
    )


def out_of_brine(*, batch: Batch, rinsed: bool, dried: bool, hand: Hand, at: datetime | None = None) -> Entry:
    """A batch comes out of its brine."""
    earlier = taken_before(hand)
    if earlier:
        return earlier
    went_in = standing(batch.brine_ins.all()).order_by("-at").first()
    if went_in is None or standing(batch.brine_outs.filter(at__gte=went_in.at)).exists():
        raise Refused("This batch is not in a brine. Log when it went in first.")
    if (at or hand.moment) < went_in.at:
        raise Refused("That is before the batch went into the brine. Check the time.", "at")
    said = {"batch": batch.code, "rinsed": rinsed, "dried": dried}
    return record("brine.out", said, hand=hand, happened_at=at)


@projects("brine.out", correctable=True)
def _brine_out(entry: Entry, said: dict[str, Any]) -> None:
    batch = Batch.objects.get(site=entry.site, code=said.pop("batch"))
    BrineOut.objects.create(entry=entry, at=entry.happened_at, batch=batch, **said)
