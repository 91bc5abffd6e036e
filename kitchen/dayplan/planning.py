"""From what is wanted on a day to racks in baths: gathers, asks `haccp.dayplan`, and dresses the answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Sum
from django.urls import reverse
from django.utils.translation import gettext as _

from haccp.case import words_of
from haccp.dayplan import BathNow, Left, Rack, Wanted, plan_day
from kitchen.base import moments
from kitchen.batches.models import Batch, Sealing
from kitchen.cooking.models import BagIn, BagOut, BathLog
from kitchen.dayplan.loads import chill_min, load_kg
from kitchen.dayplan.models import DishWanted
from kitchen.equipment.models import Bath
from kitchen.ledger.models import standing
from kitchen.methods.models import Method
from kitchen.people.regime import rules_of

TIMES = ("brine_at", "in_at", "out_at", "chilled_by", "ready_at")


@dataclass(frozen=True)
class Placed:
    """A rack with the names behind its keys; `times` are its moments in print."""

    rack: Rack
    wanted: DishWanted
    bath: Bath
    loading_known: bool
    times: Mapping[str, str]

    @property
    def dish(self) -> str:
        """The dish."""
        return self.wanted.method.dish.name

    @property
    def kg(self) -> str:
        """Its weight in print."""
        return f"{self.rack.kg:.1f} kg"


@dataclass(frozen=True)
class Moment:
    """One thing to do at one time."""

    at: datetime
    what: str
    placed: Placed


@dataclass(frozen=True)
class Day:
    """The plan of one day."""

    day: date
    wanted: tuple[DishWanted, ...]
    placed: tuple[Placed, ...]
    left: tuple[tuple[DishWanted, Left], ...]
    begun: frozenset[int]

    @property
    def moments(self) -> list[Moment]:
        """What is to be done, in order of time."""
        found = []
        for each in self.placed:
            rack = each.rack
            if rack.brine_at:
                found.append(Moment(rack.brine_at, _("Into brine"), each))
            found.append(Moment(rack.in_at, _("Bag in"), each))
            found.append(Moment(rack.out_at, _("Bag out"), each))
            if rack.chilled_by:
                found.append(Moment(rack.chilled_by, _("Out of the chill"), each))
        return sorted(found, key=lambda one: one.at)

    @property
    def loads_unknown(self) -> list[str]:
        """The baths used whose heater is not known."""
        return sorted({each.bath.name for each in self.placed if not each.loading_known})


def newest_methods(site: Any) -> list[Method]:
    """The newest signed version of each dish."""
    newest: dict[int, Method] = {}
    signed = Method.objects.filter(dish__site=site, signed__isnull=False).select_related("dish__site")
    for method in signed.order_by("dish__name", "-version"):
        newest.setdefault(method.dish_id, method)
    return list(newest.values())


def wanted_on(site: Any, day: date) -> list[DishWanted]:
    """What is wanted between one midnight and the next, on the kitchen's clock."""
    begin = datetime.combine(day, time(), tzinfo=site.zone)
    end = datetime.combine(day + timedelta(days=1), time(), tzinfo=site.zone)
    lines = DishWanted.objects.filter(site=site, ready_at__gte=begin, ready_at__lt=end)
    return list(standing(lines).select_related("method__dish__site", "entry"))


def plan_of(site: Any, day: date, now: datetime) -> Day:
    """The plan of a day as it can still be done; a dish whose batch has begun is left out of the baths."""
    wanted = wanted_on(site, day)
    baths = list(Bath.objects.filter(site=site).order_by("name"))
    begun = _begun(site, wanted, day)
    rules = rules_of(site, day)
    asked = [_asked(each, baths, rules) for each in wanted if each.pk not in begun]
    # The plan of a day that is over, or of the hours that have passed, is shown as it was written.
    earliest = min([now, *(each.entry.recorded_at for each in wanted)])
    plan = plan_day(asked, [_bath(bath, now) for bath in baths], earliest)
    lines, places = {str(each.pk): each for each in wanted}, {str(each.pk): each for each in baths}
    placed = tuple(
        Placed(
            rack,
            lines[rack.wanted],
            places[rack.bath],
            bool(places[rack.bath].heater_w),
            {name: moments.clock(getattr(rack, name), site.timezone, day) for name in TIMES},
        )
        for rack in plan.racks
    )
    left = tuple((lines[each.wanted], each) for each in plan.left)
    return Day(day, tuple(wanted), placed, left, frozenset(begun))


def _begun(site: Any, wanted: Sequence[DishWanted], day: date) -> set[int]:
    """The lines whose dish has a batch that was begun after the line was written."""
    if not wanted:
        return set()
    batches = Batch.objects.filter(site=site, method__dish__in=[each.method.dish_id for each in wanted])
    made = {(row[0], row[1]) for row in batches.values_list("method__dish_id", "entry__happened_at")}
    return {
        each.pk for each in wanted if any(dish == each.method.dish_id and at > each.at for dish, at in made)
    }


def _asked(each: DishWanted, baths: Sequence[Bath], rules: Any) -> Wanted:
    method = each.method
    loads = {str(bath.pk): load for bath in baths if (load := load_kg(method, bath)) is not None}
    return Wanted(
        key=str(each.pk),
        bags=each.bags,
        bag_kg=each.grams / 1000.0,
        ready_at=each.ready_at,
        set_point_c=float(method.set_point_c),
        bath_min=float(method.bath_min),
        chill_min=chill_min(method, rules, words_of(method.facts)),
        brine_min=float(method.brine_min) if method.brine_min else None,
        load_kg=loads,
    )


def _bath(bath: Bath, now: datetime) -> BathNow:
    """A bath as it is: until when bags that are in it by the log must stay."""
    log = BathLog.objects.filter(bath=bath, ended__isnull=True).order_by("-started_at").first()
    if log is None:
        return BathNow(str(bath.pk), bath.name, float(bath.volume_l))
    out = standing(BagOut.objects.filter(bag=OuterRef("bag"), bath_log=log))
    inside = standing(BagIn.objects.filter(bath_log=log)).exclude(Exists(out))
    rows = list(inside.select_related("bag__batch__method"))
    if not rows:
        return BathNow(str(bath.pk), bath.name, float(bath.volume_l))
    until = max(row.at + timedelta(minutes=row.bag.batch.method.bath_min) for row in rows)
    weighed = standing(Sealing.objects.filter(bag__in=[row.bag_id for row in rows]))
    grams = weighed.aggregate(total=Sum("grams"))["total"] or 0
    return BathNow(
        str(bath.pk),
        bath.name,
        float(bath.volume_l),
        set_point_c=float(log.set_point_c),
        busy_until=max(until, now),
        held_kg=grams / 1000.0,
    )


@dataclass(frozen=True)
class Pinned:
    """The next thing that today's plan asks for, on the Bench."""

    at: datetime
    words: str
    where: str
    url: str


def pinned(site: Any, now: datetime, most: int = 3) -> list[Pinned]:
    """The next things that today's plan asks for."""
    today = moments.local(now, site.timezone).date()
    if not wanted_on(site, today):
        return []
    coming = [one for one in plan_of(site, today, now).moments if one.at >= now - timedelta(hours=1)]
    return [
        Pinned(
            one.at,
            f"{one.what}: {one.placed.dish}",
            f"{one.placed.bath.name} · {one.placed.rack.bags} × {one.placed.wanted.grams} g",
            reverse("batch_begin", args=[one.placed.wanted.method_id]),
        )
        for one in coming[:most]
    ]
