"""The Bench's picture: one lane per bath log, chiller and fridge in use, one bar per rack of bags."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from django.db.models import CharField, F, Value
from django.urls import reverse

from haccp.record import Step, worst
from kitchen.base.lanes import Bar, Excursion, Lane, LanesPicture, lanes_picture
from kitchen.bench.next import LAST_MINUTE, soonest
from kitchen.bench.places import PlaceNow
from kitchen.bench.queries import InHand, Snapshot
from kitchen.bench.whereabouts import PLACE_OF, BagNow, Where
from kitchen.chilling.models import ChillReading
from kitchen.cooking.models import BathReading
from kitchen.ledger.models import standing
from kitchen.review.merging import numbers_in_words
from kitchen.storing.models import FridgeReading

BEFORE, AFTER = timedelta(hours=2), timedelta(hours=4)
# As wide as it is shown beside what comes next and on an upright tablet, so that its words keep their size.
WIDTH = 760
# A reading is missing when it did not come within this share of its interval more.
GRACE = 1.25

Key = tuple[str, int | None]


def draw(snapshot: Snapshot) -> LanesPicture | None:
    """The picture, or None where nothing is in use."""
    bars = _bars(snapshot)
    used = [place for place in snapshot.places if _in_use(place, bars)]
    if not used:
        return None
    readings = _readings(used, snapshot.at - BEFORE)
    lanes = [_lane(place, bars, readings[place.kind, place.key], snapshot.at) for place in used]
    zone = snapshot.site.timezone
    return lanes_picture(lanes, now=snapshot.at, timezone=zone, span=BEFORE + AFTER, width=WIDTH)


def _in_use(place: PlaceNow, bars: dict[Key, list[Bar]]) -> bool:
    key = (place.kind, place.key)
    return bool(bars.get(key) or place.bags or (place.kind == "bath" and place.running))


def _bars(snapshot: Snapshot) -> dict[Key, list[Bar]]:
    """Bags of one batch that share a stay are one bar."""
    found: dict[Key, list[Bar]] = defaultdict(list)
    for each in snapshot.batches:
        racks: dict[tuple[Any, ...], list[BagNow]] = defaultdict(list)
        for bag in each.now.bags.values():
            for where, place, start, end in bag.stays:
                if end is None or end > snapshot.at - BEFORE:
                    racks[where, place, start, end].append(bag)
        for (where, place, start, end), bags in racks.items():
            bar = _bar(each, bags, where, start, end)
            if where != Where.FRIDGE or _shows(bar, snapshot.at):
                found[PLACE_OF[where], place].append(bar)
    return found


def _shows(bar: Bar, at: datetime) -> bool:
    """A fridge's lane shows what came lately and what must leave soon; the rest is counted."""
    return bar.start > at - BEFORE or (bar.hold_until is not None and bar.hold_until < at + AFTER)


def _bar(each: InHand, bags: list[BagNow], where: Where, start: datetime, end: datetime | None) -> Bar:
    numbers = [bag.number for bag in bags]
    found = [item for bag in bags if (item := each.found(bag))]
    first = found[0] if found else None
    hold_from, hold_until = None, None
    if where == Where.BATH:
        proven = [item.hold_until for item in found]
        if first and first.hold_from and all(proven):
            hold_from, hold_until = first.hold_from, max(moment for moment in proven if moment)
    elif where == Where.CHILL and end is None:
        hold_until = soonest(found, Step.CHILL)
    elif where == Where.FRIDGE and end is None and first and first.use_by:
        hold_until = datetime.combine(first.use_by, LAST_MINUTE, tzinfo=each.batch.site.zone)
    known = [stands.outcome for item in found if (stands := each.stands_of(item)) and stands.outcome]
    address = (
        reverse("bag", args=[each.batch.code, numbers[0]])
        if len(numbers) == 1
        else reverse("batch", args=[each.batch.code])
    )
    label = f"{numbers_in_words(numbers)} · {each.batch.dish}"
    outcome = str(worst(known)) if known else ""
    return Bar(label, start, address, hold_from, hold_until, end, outcome)


def _rows(model: Any, kind: str, key: str, keys: list[int | None], since: datetime) -> Any:
    return (
        standing(model.objects.filter(**{f"{key}__in": keys}, at__gte=since))
        .order_by()
        .annotate(kind_of=Value(kind, CharField()), key_of=F(f"{key}_id"))
        .values_list("kind_of", "key_of", "at", "celsius")
    )


def _readings(places: Iterable[PlaceNow], since: datetime) -> dict[Key, list[tuple[datetime, float]]]:
    """The readings in the picture, in one query."""
    keys: dict[str, list[int | None]] = defaultdict(list)
    for place in places:
        keys[place.kind].append(place.key)
    rows = _rows(BathReading, "bath", "bath_log", keys["bath"], since).union(
        _rows(ChillReading, "chiller", "chiller", keys["chiller"], since),
        _rows(FridgeReading, "fridge", "fridge", keys["fridge"], since),
        all=True,
    )
    found: dict[Key, list[tuple[datetime, float]]] = defaultdict(list)
    for kind, key, at, celsius in sorted(rows, key=lambda row: row[2]):
        found[kind, key].append((at, float(celsius)))
    return found


def _lane(
    place: PlaceNow, bars: dict[Key, list[Bar]], readings: list[tuple[datetime, float]], at: datetime
) -> Lane:
    name = place.name
    hidden = place.bags and place.kind == "fridge"
    if hidden:
        name += f" · {place.bags} {'bag' if place.bags == 1 else 'bags'}"
    return Lane(
        name=name,
        bars=tuple(sorted(bars.get((place.kind, place.key), ()), key=lambda bar: bar.start)),
        ticks=tuple(moment for moment, _ in readings),
        missing=tuple(_missing(place, readings, at)),
        excursions=tuple(_excursions(place, readings, at)),
        url=reverse(f"{place.kind}_read", args=[place.key]),
    )


def _missing(place: PlaceNow, readings: list[tuple[datetime, float]], at: datetime) -> Iterable[datetime]:
    """When a reading was due and none came."""
    if place.kind == "fridge" or not (place.started_at or readings):
        return
    every = timedelta(minutes=place.every_min)
    begun = max(filter(None, [place.started_at, at - BEFORE - every]), default=at)
    moments = [begun, *(moment for moment, _ in readings if moment > begun), at]
    for before, after in pairwise(moments):
        due = before + every
        while due + (GRACE - 1) * every < after:
            yield due
            due += every


def _excursions(place: PlaceNow, readings: list[tuple[datetime, float]], at: datetime) -> Iterable[Excursion]:
    """From the first reading out of the band to the next one in it."""
    if place.low_c is None or place.high_c is None:
        return
    begun: tuple[datetime, bool] | None = None
    for moment, celsius in readings:
        out = celsius < place.low_c or celsius > place.high_c
        if out and begun is None:
            begun = (moment, celsius < place.low_c)
        elif not out and begun is not None:
            yield Excursion(begun[0], moment, begun[1])
            begun = None
    if begun is not None:
        yield Excursion(begun[0], at, begun[1])
