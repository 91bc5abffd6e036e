"""Where every bag in hand is now, and since when: from the facts, in one query however many bags."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from django.db.models import CharField, DecimalField, F, QuerySet, Value
from django.db.models.functions import Cast

from kitchen.batches.models import Batch, Sealing
from kitchen.brining.models import BrineIn, BrineOut
from kitchen.chilling.models import ChillIn, ChillOut
from kitchen.cooking.models import BagIn, BagOut, CoreCheck
from kitchen.finishing.actions import ENDS
from kitchen.finishing.models import Finish
from kitchen.ledger.models import standing
from kitchen.review.models import Disposition
from kitchen.storing.models import Stored


class Where(StrEnum):
    """Where a bag is, in the order of the work."""

    SEALED = "sealed"
    BATH = "in the bath"
    OUT = "out of the bath"
    CHILL = "in the chill"
    CHILLED = "out of the chill"
    FRIDGE = "in the fridge"
    GONE = "gone"


# What holds a bag that is there.
PLACE_OF = {Where.BATH: "bath", Where.CHILL: "chiller", Where.FRIDGE: "fridge"}


@dataclass
class BagNow:
    """One bag as it is now. `place` is the bath log, chiller or fridge that it is in."""

    number: int
    where: Where = Where.SEALED
    since: datetime | None = None
    sealed_at: datetime | None = None
    bath_from: datetime | None = None
    place: int | None = None
    place_name: str = ""
    core: tuple[datetime, Decimal] | None = None
    ended_as: str = ""
    to_discard: bool = False
    stays: list[tuple[Where, int, datetime, datetime | None]] = field(default_factory=list)

    @property
    def words(self) -> str:
        """Where it is, in words."""
        return self.ended_as or (f"in {self.place_name}" if self.place_name else str(self.where))

    @property
    def gone(self) -> bool:
        """Whether it was served or discarded."""
        return self.where == Where.GONE


@dataclass
class BatchNow:
    """A batch's bags as they are now, and since when it is in a brine."""

    bags: dict[int, BagNow] = field(default_factory=dict)
    brine: str = ""
    brine_since: datetime | None = None
    brined: bool = False

    @property
    def here(self) -> list[BagNow]:
        """The bags that were not served or discarded."""
        return [bag for bag in self.bags.values() if not bag.gone]


# Moments that are alike are taken in the order of the work.
_ORDER = (
    *("seal", "brine in", "brine out", "bath in", "bath out"),
    *("chill in", "core", "chill out", "store", "decide", "end"),
)
_INTO = {"bath in": Where.BATH, "chill in": Where.CHILL, "store": Where.FRIDGE}
_OUT_OF = {"bath out": Where.OUT, "chill out": Where.CHILLED}


def _rows(model: Any, kind: str, inside: Any, *, place: str = "", name: str = "", celsius: str = "") -> Any:
    """The standing facts of one kind, all with the same columns, so that they can be united."""
    of_bag = hasattr(model, "bag")
    batch = "bag__batch" if of_bag else "batch"
    return (
        standing(model._default_manager.filter(**{f"{batch}__in": inside}))
        .order_by()
        .annotate(
            of=F(batch),
            num=F("bag__number") if of_bag else Value(0),
            kind_of=Value(kind, CharField()),
            place_of=F(place) if place else Value(0),
            name_of=F(name) if name else Value("", CharField()),
            read=F(celsius) if celsius else Cast(None, DecimalField(max_digits=6, decimal_places=2)),
        )
        .values_list("of", "num", "kind_of", "at", "place_of", "name_of", "read")
    )


def events(batches: Iterable[Batch]) -> list[tuple[Any, ...]]:
    """All that happened to the bags of these batches, in order."""
    inside = [batch.pk for batch in batches]
    parts: list[QuerySet[Any, Any]] = [
        _rows(Sealing, "seal", inside),
        _rows(BrineIn, "brine in", inside, name="brine__code"),
        _rows(BrineOut, "brine out", inside),
        _rows(BagIn, "bath in", inside, place="bath_log_id", name="bath_log__bath__name"),
        _rows(BagOut, "bath out", inside, place="bath_log_id"),
        _rows(ChillIn, "chill in", inside, place="chiller_id", name="chiller__name"),
        _rows(ChillOut, "chill out", inside, place="chiller_id"),
        _rows(CoreCheck, "core", inside, name="step", celsius="celsius"),
        _rows(Stored, "store", inside, place="fridge_id", name="fridge__name"),
        _rows(Finish, "end", inside, name="kind"),
        _rows(Disposition, "decide", inside, name="decision"),
    ]
    found = list(parts[0].union(*parts[1:], all=True))
    return sorted(found, key=lambda row: (row[3], _ORDER.index(row[2])))


def whereabouts(batches: Iterable[Batch]) -> dict[int, BatchNow]:
    """Where the bags of these batches are, by the batch's key."""
    found = {batch.pk: BatchNow() for batch in batches}
    if found:
        for of, number, kind, at, place, name, celsius in events(batches):
            if number:
                bag = found[of].bags.setdefault(number, BagNow(number))
                _move(bag, kind, at, place, name, celsius)
            else:
                into = kind == "brine in"
                now = found[of]
                now.brine, now.brine_since, now.brined = (name, at, now.brined) if into else ("", None, True)
    for now in found.values():
        now.bags = dict(sorted(now.bags.items()))
    return found


def _move(bag: BagNow, kind: str, at: datetime, place: int, name: str, celsius: Decimal | None) -> None:
    """Let one event happen to a bag."""
    if kind == "seal":
        bag.sealed_at = at
        bag.since = bag.since or at
        return
    if kind == "core":
        if name == CoreCheck.Step.CHILL and celsius is not None:
            bag.core = (at, celsius)
        return
    if kind == "decide":
        bag.to_discard = name == Disposition.Decision.DISCARD
        return
    if kind == "end" and name not in ENDS:
        return
    if bag.stays and bag.stays[-1][3] is None:
        where, log, since, _ = bag.stays[-1]
        bag.stays[-1] = (where, log, since, at)
    bag.since = at
    if kind in _INTO:
        bag.where, bag.place, bag.place_name = _INTO[kind], place, name
        bag.stays.append((_INTO[kind], place, at, None))
        if kind == "bath in":
            bag.bath_from, bag.core = at, None
    elif kind in _OUT_OF:
        bag.where, bag.place, bag.place_name = _OUT_OF[kind], None, ""
    else:
        bag.where, bag.place, bag.place_name, bag.ended_as = Where.GONE, None, "", name
