"""The trail of a batch: every entry that touches it, in the order in which things happened."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q, QuerySet

from kitchen.base import moments
from kitchen.batches.models import Batch
from kitchen.chilling.models import ChillIn, ChillReading
from kitchen.cooking.models import BagIn, BathReading
from kitchen.larder.models import LotFrozen, LotThawed
from kitchen.ledger.corrections import original
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import CORRECTION, fact_models
from kitchen.review import wording
from kitchen.review.held import Arrival, arrivals
from kitchen.storing.models import FridgeReading, Stored

LATE_MIN = 15
# Made at the Pass, after the event and on purpose: their delay says nothing.
_DESK = frozenset({"action.take", "bag.decide", "batch.sign", "batch.print", "held", "held.settle"})


@dataclass(frozen=True)
class Line:
    """One entry of a trail, ready to be shown."""

    entry: Entry
    words: str
    late_min: int
    corrected_by: Entry | None
    corrects: Entry | None
    note: str = ""

    @property
    def late(self) -> str:
        """By how much it came late, in words; nothing if it came in time."""
        return moments.span(timedelta(minutes=self.late_min)) if self.late_min else ""


def _entry_ids(batch: Batch) -> set[object]:
    ids: set[object] = {batch.entry_id}
    for model in fact_models():
        names = {field.name for field in model._meta.get_fields()}
        if "bag" in names:
            rows = model._default_manager.filter(bag__batch=batch)
        elif "batch" in names:
            rows = model._default_manager.filter(batch=batch)
        else:
            continue
        ids |= _made_and_withdrew(rows)
    for model in (LotThawed, LotFrozen):
        about = model._default_manager.filter(
            lot__site=batch.site, lot__code__in=batch.lots.values("lot__code")
        )
        ids |= _made_and_withdrew(about)
    return ids | _reading_ids(batch)


def _made_and_withdrew(rows: QuerySet[Any]) -> set[object]:
    """The entries that put facts there, and the corrections that withdrew them and may have put nothing."""
    pairs = rows.order_by().values_list("entry_id", "withdrawn_by_id").distinct()
    return {each for pair in pairs for each in pair if each}


def _reading_ids(batch: Batch) -> set[object]:
    """Readings of the places where the batch's bags were, from the first bag in to the last moment known."""
    ids: set[object] = set()
    inside = {"bag__batch": batch}
    logs = set(BagIn.objects.filter(**inside).values_list("bath_log", flat=True))
    ids |= _made_and_withdrew(BathReading.objects.filter(bath_log__in=logs))
    ids.update(
        BagIn._meta.get_field("bath_log")
        .related_model.objects.filter(pk__in=logs)
        .values_list("entry_id", flat=True)
    )
    for went_in, reading, place, end in (
        (ChillIn, ChillReading, "chiller", "bag__chill_outs__at"),
        (Stored, FridgeReading, "fridge", "bag__finishes__at"),
    ):
        spans: dict[int, list[datetime | None]] = {}
        for key, start, stop in went_in.objects.filter(**inside).values_list(place, "at", end):
            low, high = spans.get(key, [start, stop])
            high = None if high is None or stop is None else max(high, stop)
            spans[key] = [min(low or start, start), high]
        for key, (start, stop) in spans.items():
            during = Q(**{place: key}) & Q(at__gte=start)
            if stop:
                during &= Q(at__lte=stop)
            ids |= _made_and_withdrew(reading.objects.filter(during))
    return ids


def entries(batch: Batch) -> list[Entry]:
    """Every entry that touches a batch, in the order in which things happened."""
    found = Entry.objects.filter(pk__in=_entry_ids(batch)).select_related("person", "site")
    return sorted(found, key=lambda entry: (entry.happened_at, entry.seq))


def lines(batch: Batch) -> list[Line]:
    """The trail of a batch, with late and corrected entries marked."""
    found = entries(batch)
    arrived = arrivals(found)
    corrected = {correction.said["of"]: correction for correction in found if correction.kind == CORRECTION}
    return [
        Line(
            entry=entry,
            words=wording.say(entry),
            late_min=lateness(entry, arrived.get(entry.pk)),
            corrected_by=corrected.get(str(entry.pk)),
            corrects=original(entry) if entry.kind == CORRECTION else None,
            note=arrived[entry.pk].words if entry.pk in arrived else "",
        )
        for entry in found
    ]


def lateness(entry: Entry, arrival: Arrival | None = None) -> int:
    """Minutes by which an entry came late; 0 for one that came in time or is made afterwards by nature.

    One that waited on a tablet for the network was made when the tablet kept it.
    """
    if entry.kind in _DESK or entry.kind == CORRECTION:
        return 0
    made = arrival.at if arrival else entry.recorded_at
    delay = round((made - entry.happened_at).total_seconds() / 60)
    return delay if delay > LATE_MIN else 0


def late(found: Iterable[Entry]) -> list[Entry]:
    """Those entries that came late."""
    found = list(found)
    arrived = arrivals(found)
    return [entry for entry in found if lateness(entry, arrived.get(entry.pk))]
