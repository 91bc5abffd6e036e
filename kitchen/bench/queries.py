"""What is in hand at a site: batches and their bags, baths, chillers, fridges; in few queries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from haccp import units
from haccp.record import Assessment, BagAssessment
from kitchen.base import moments
from kitchen.batches.models import Bag, Batch
from kitchen.bench.whereabouts import BagNow, BatchNow, Where, whereabouts
from kitchen.chilling.forms import EXPECTED
from kitchen.chilling.models import ChillReading
from kitchen.cooking.models import BathLog, BathReading
from kitchen.equipment.models import Bath, Chiller, Fridge
from kitchen.finishing.actions import ENDS
from kitchen.finishing.models import Finish
from kitchen.ledger.models import standing
from kitchen.review import assessing, keep
from kitchen.storing.models import FridgeReading

# A batch without bags leaves the Bench after this long.
EMPTY_FOR = timedelta(days=2)


@dataclass(frozen=True)
class InHand:
    """A batch with bags that were not served or discarded, and what was found of it."""

    batch: Batch
    now: BatchNow
    assessment: Assessment | None

    @property
    def words(self) -> str:
        """How many bags are where."""
        counts: dict[str, int] = {}
        for bag in sorted(self.now.here, key=lambda bag: list(Where).index(bag.where)):
            counts[bag.words] = counts.get(bag.words, 0) + 1
        said = [f"{count} {'bag' if count == 1 else 'bags'} {words}" for words, count in counts.items()]
        return ", ".join(said) or ("in a brine" if self.now.brine_since else "no bag sealed yet")

    @property
    def judged(self) -> bool:
        """Whether a bag was in a bath: before that there is nothing to judge."""
        return any(bag.bath_from for bag in self.now.bags.values())

    def found(self, bag: BagNow) -> BagAssessment | None:
        """What was found of one bag."""
        bags = self.assessment.bags if self.assessment else ()
        found = next((each for each in bags if each.code == str(bag.number)), None)
        if found is None or found.hold_until is None:
            return found
        # Shown to the minute, so rounded up: at the minute that is shown it must be proven.
        return replace(found, hold_until=minute_up(found.hold_until))


@dataclass(frozen=True)
class PlaceNow:
    """A bath, chiller or fridge as it was last read. `key` is the running log of a bath, else the place."""

    kind: str
    pk: int
    name: str
    medium: str
    every_min: int
    key: int | None = None
    set_point_c: Decimal | None = None
    low_c: float | None = None
    high_c: float | None = None
    started_at: datetime | None = None
    read_c: Decimal | None = None
    read_at: datetime | None = None
    bags: int = 0
    band: str = ""
    age: str = ""
    overdue: bool = False

    @property
    def running(self) -> bool:
        """Whether it can be read: a bath needs a log for it."""
        return self.key is not None

    @property
    def band_words(self) -> str:
        """Where the last reading lies."""
        if self.read_c is None:
            return "no reading yet"
        if self.low_c is None or self.high_c is None:
            return ""
        if float(self.read_c) < self.low_c:
            return "below its band"
        return "above its band" if float(self.read_c) > self.high_c else "in its band"

    @property
    def in_band(self) -> bool:
        """Whether the last reading lies in the band."""
        return self.band_words == "in its band"

    @property
    def due(self) -> datetime | None:
        """When the next reading is due; None where nothing runs in it."""
        begun = max(filter(None, (self.read_at, self.started_at)), default=None)
        if begun is None or not self.running:
            return None
        # Bags in a place that nobody has read prove nothing, so its first reading is due at once.
        return begun if self.bags and self.read_at is None else begun + timedelta(minutes=self.every_min)


@dataclass(frozen=True)
class Snapshot:
    """The whole Bench at one moment."""

    site: Any
    at: datetime
    batches: tuple[InHand, ...]
    places: tuple[PlaceNow, ...]

    def of_kind(self, kind: str) -> list[PlaceNow]:
        """The baths, the chillers or the fridges."""
        return [place for place in self.places if place.kind == kind]

    @property
    def baths(self) -> list[PlaceNow]:
        """The baths, running ones first."""
        return sorted(self.of_kind("bath"), key=lambda place: (not place.running, place.name))

    @property
    def stores(self) -> list[PlaceNow]:
        """Chillers and fridges."""
        return self.of_kind("chiller") + self.of_kind("fridge")


def minute_up(at: datetime) -> datetime:
    """The whole minute at or after a moment."""
    whole = at.replace(second=0, microsecond=0)
    return whole if whole == at else whole + timedelta(minutes=1)


def open_batches(site: Any, at: datetime) -> QuerySet[Batch]:
    """The batches of which something is still here."""
    ended = standing(Finish.objects.filter(bag=OuterRef("pk"), kind__in=ENDS))
    bags = Bag.objects.filter(batch=OuterRef("pk"))
    since = moments.local(at, site.timezone).date() - EMPTY_FOR
    return (
        Batch.objects.filter(site=site)
        .filter(Exists(bags.exclude(Exists(ended))) | Q(~Exists(bags), made_on__gte=since))
        .select_related("site", "method__dish", "assessed")
        .order_by("made_on", "pk")
    )


def snapshot(site: Any, at: datetime) -> Snapshot:
    """What is in hand at this moment."""
    batches = list(open_batches(site, at))
    now = whereabouts(batches)
    in_hand = tuple(InHand(batch, now[batch.pk], _found(batch, now[batch.pk], at)) for batch in batches)
    places = (*_baths(site), *_chillers(site), *_fridges(site))
    return Snapshot(
        site, at, in_hand, tuple(_shown(place, site, at) for place in _with_bags(places, in_hand))
    )


def _found(batch: Batch, now: BatchNow, at: datetime) -> Assessment | None:
    """The kept assessment, made anew where time has moved on for bags in a bath or a chill."""
    kept = getattr(batch, "assessed", None)
    moving = any(bag.where in (Where.BATH, Where.OUT, Where.CHILL, Where.CHILLED) for bag in now.here)
    if kept is None or (moving and at - kept.made_at >= assessing.FRESH):
        return assessing.refresh(batch, at) if now.bags else None
    # The curves are the bulk of an assessment, and the Bench draws none.
    light = {**kept.assessment, "bags": [{**bag, "curve": None} for bag in kept.assessment["bags"]]}
    return keep.from_json(light)


def _shown(place: PlaceNow, site: Any, at: datetime) -> PlaceNow:
    """The place with its band and the age of its last reading in words."""
    band = ""
    if place.low_c is not None and place.high_c is not None:
        low, high = (
            units.format_temperature(each, site.temperature_unit) for each in (place.low_c, place.high_c)
        )
        band = f"{low.split()[0]}–{high}"
    age = moments.span(at - place.read_at) if place.read_at else ""
    used = place.bags > 0 or place.kind == "bath"
    return replace(place, band=band, age=age, overdue=used and place.due is not None and place.due < at)


def _last(model: Any, key: str) -> dict[str, Subquery]:
    """The newest standing reading of a place."""
    rows = standing(model.objects.filter(**{key: OuterRef("pk" if key != "bath_log" else "log_pk")}))
    newest = rows.order_by("-at", "-pk")
    return {"read_c": Subquery(newest.values("celsius")[:1]), "read_at": Subquery(newest.values("at")[:1])}


def _baths(site: Any) -> list[PlaceNow]:
    log = BathLog.objects.filter(bath=OuterRef("pk"), ended__isnull=True).order_by("-started_at")
    rows = Bath.objects.filter(site=site).annotate(
        log_pk=Subquery(log.values("pk")[:1]),
        log_set_point=Subquery(log.values("set_point_c")[:1]),
        log_start=Subquery(log.values("started_at")[:1]),
    )
    return [_bath(bath) for bath in rows.annotate(**_last(BathReading, "bath_log"))]


def _bath(bath: Any) -> PlaceNow:
    place = PlaceNow("bath", bath.pk, bath.name, bath.medium, bath.every_min)
    if bath.log_pk is None:
        return place
    middle, band = float(bath.log_set_point), float(bath.band_k)
    return replace(
        place,
        key=bath.log_pk,
        set_point_c=bath.log_set_point,
        low_c=middle - band,
        high_c=middle + band,
        started_at=bath.log_start,
        read_c=bath.read_c,
        read_at=bath.read_at,
    )


def _chillers(site: Any) -> list[PlaceNow]:
    found = []
    for each in Chiller.objects.filter(site=site).annotate(**_last(ChillReading, "chiller")):
        expected = EXPECTED[each.medium]
        place = PlaceNow("chiller", each.pk, each.name, each.medium, each.every_min, key=each.pk)
        found.append(
            replace(place, low_c=expected.low, high_c=expected.high, read_c=each.read_c, read_at=each.read_at)
        )
    return found


def _fridges(site: Any) -> list[PlaceNow]:
    found = []
    for each in Fridge.objects.filter(site=site).annotate(**_last(FridgeReading, "fridge")):
        place = PlaceNow("fridge", each.pk, each.name, each.medium, each.every_min, key=each.pk)
        found.append(
            replace(
                place,
                low_c=float(each.low_c),
                high_c=float(each.high_c),
                read_c=each.read_c,
                read_at=each.read_at,
            )
        )
    return found


_PLACE_OF = {Where.BATH: "bath", Where.CHILL: "chiller", Where.FRIDGE: "fridge"}


def _with_bags(places: Sequence[PlaceNow], in_hand: Sequence[InHand]) -> list[PlaceNow]:
    """How many bags each place holds, and since when the first of them."""
    counts: dict[tuple[str, int | None], int] = {}
    since: dict[tuple[str, int | None], datetime] = {}
    for each in in_hand:
        for bag in each.now.here:
            if bag.where in _PLACE_OF and bag.since:
                key = (_PLACE_OF[bag.where], bag.place)
                counts[key] = counts.get(key, 0) + 1
                since[key] = min(since.get(key, bag.since), bag.since)
    return [
        replace(
            place,
            bags=counts.get((place.kind, place.key), 0),
            started_at=place.started_at or since.get((place.kind, place.key)),
        )
        for place in places
    ]
