"""Baths, chillers and fridges as they were last read, and what is in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import OuterRef, Subquery

from haccp import units
from kitchen.base import moments
from kitchen.bench.whereabouts import PLACE_OF, BagNow
from kitchen.chilling.forms import EXPECTED
from kitchen.chilling.models import ChillReading
from kitchen.cooking.models import BathLog, BathReading
from kitchen.equipment.models import Bath, Chiller, Fridge
from kitchen.ledger.models import standing
from kitchen.storing.models import FridgeReading


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


def places_of(site: Any, bags: Iterable[BagNow], at: datetime) -> tuple[PlaceNow, ...]:
    """The places of a site; one query for each kind."""
    places = (*_baths(site), *_chillers(site), *_fridges(site))
    return tuple(_shown(place, site, at) for place in _with_bags(places, bags))


def _shown(place: PlaceNow, site: Any, at: datetime) -> PlaceNow:
    """The place with its band and the age of its last reading in words."""
    band = ""
    if place.low_c is not None and place.high_c is not None:
        ends = (place.low_c, place.high_c)
        low, high = (units.format_temperature(each, site.temperature_unit) for each in ends)
        band = f"{low.split()[0]}–{high}"
    age = moments.span(at - place.read_at) if place.read_at else ""
    used = place.bags > 0 or place.kind == "bath"
    return replace(place, band=band, age=age, overdue=used and place.due is not None and place.due < at)


def _with_bags(places: Iterable[PlaceNow], bags: Iterable[BagNow]) -> list[PlaceNow]:
    """How many bags each place holds, and since when the first of them."""
    since: dict[tuple[str, int | None], list[datetime]] = {}
    for bag in bags:
        if bag.where in PLACE_OF and bag.since:
            since.setdefault((PLACE_OF[bag.where], bag.place), []).append(bag.since)
    found = []
    for place in places:
        held = since.get((place.kind, place.key), [])
        started = place.started_at or min(held, default=None)
        found.append(replace(place, bags=len(held), started_at=started))
    return found


def _newest(model: Any, of: str, key: str) -> dict[str, Subquery]:
    """The newest standing reading of a place; `of` is the reading's link to it, `key` the column it meets."""
    rows = standing(model.objects.filter(**{of: OuterRef(key)})).order_by("-at", "-pk")
    return {"read_c": Subquery(rows.values("celsius")[:1]), "read_at": Subquery(rows.values("at")[:1])}


def _place(kind: str, row: Any, **more: Any) -> PlaceNow:
    return PlaceNow(kind, row.pk, row.name, row.medium, row.every_min, **more)


def _baths(site: Any) -> list[PlaceNow]:
    log = BathLog.objects.filter(bath=OuterRef("pk"), ended__isnull=True).order_by("-started_at")
    running = {"log_pk": "pk", "log_set_point": "set_point_c", "log_start": "started_at"}
    rows = Bath.objects.filter(site=site).annotate(
        **{name: Subquery(log.values(column)[:1]) for name, column in running.items()}
    )
    return [_bath(bath) for bath in rows.annotate(**_newest(BathReading, "bath_log", "log_pk"))]


def _bath(bath: Any) -> PlaceNow:
    if bath.log_pk is None:
        return _place("bath", bath)
    middle, band = float(bath.log_set_point), float(bath.band_k)
    return _place(
        "bath",
        bath,
        key=bath.log_pk,
        set_point_c=bath.log_set_point,
        low_c=middle - band,
        high_c=middle + band,
        started_at=bath.log_start,
        read_c=bath.read_c,
        read_at=bath.read_at,
    )


def _chillers(site: Any) -> list[PlaceNow]:
    rows = Chiller.objects.filter(site=site).annotate(**_newest(ChillReading, "chiller", "pk"))
    return [_stays(row, "chiller", EXPECTED[row.medium].low, EXPECTED[row.medium].high) for row in rows]


def _fridges(site: Any) -> list[PlaceNow]:
    rows = Fridge.objects.filter(site=site).annotate(**_newest(FridgeReading, "fridge", "pk"))
    return [_stays(row, "fridge", float(row.low_c), float(row.high_c)) for row in rows]


def _stays(row: Any, kind: str, low: float, high: float) -> PlaceNow:
    """A place that needs no log of its own to be read."""
    return _place(kind, row, key=row.pk, low_c=low, high_c=high, read_c=row.read_c, read_at=row.read_at)
