"""What is in hand at a site: batches and their bags, baths, chillers, fridges; in few queries."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from haccp.record import Assessment, BagAssessment
from kitchen.base import moments
from kitchen.batches.models import Bag, Batch
from kitchen.bench.places import PlaceNow, places_of
from kitchen.bench.whereabouts import BagNow, BatchNow, Where, whereabouts
from kitchen.finishing.actions import ENDS
from kitchen.finishing.models import Finish
from kitchen.ledger.models import standing
from kitchen.review import assessing, keep, running
from kitchen.review.running import Stands

# A batch without bags leaves the Bench after this long.
EMPTY_FOR = timedelta(days=2)


@dataclass(frozen=True)
class InHand:
    """A batch with bags that were not served or discarded, and what was found of it."""

    batch: Batch
    now: BatchNow
    assessment: Assessment | None
    at: datetime

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

    @property
    def stands(self) -> Stands | None:
        """How the batch stands: its outcome, and what is still going on."""
        if self.assessment is None or not self.judged:
            return None
        return running.of_batch(self.assessment, self.batch, self.at)

    def stands_of(self, found: BagAssessment | None) -> Stands | None:
        """How one bag stands."""
        return running.of_bag(found, self.batch, self.at) if found else None

    @property
    def to_brine(self) -> bool:
        """Whether the method asks for a brine that is still to come."""
        return bool(self.batch.method.brine_min) and not self.now.brined and not self.judged

    def found(self, bag: BagNow) -> BagAssessment | None:
        """What was found of one bag."""
        bags = self.assessment.bags if self.assessment else ()
        found = next((each for each in bags if each.code == str(bag.number)), None)
        if found is None or found.hold_until is None:
            return found
        # Shown to the minute, so rounded up: at the minute that is shown it must be proven.
        return replace(found, hold_until=moments.minute_up(found.hold_until))


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


def open_batches(site: Any, at: datetime) -> QuerySet[Batch]:
    """The batches of which something is still here."""
    ended = standing(Finish.objects.filter(bag=OuterRef("pk"), kind__in=ENDS))
    bags = Bag.objects.filter(batch=OuterRef("pk"))
    since = moments.local(at, site.timezone).date() - EMPTY_FOR
    return (
        Batch.objects.filter(site=site)
        .filter(Exists(bags.exclude(Exists(ended))) | Q(~Exists(bags), made_on__gte=since))
        .select_related("site", "entry", "method__dish", "assessed")
        .order_by("made_on", "pk")
    )


def snapshot(site: Any, at: datetime) -> Snapshot:
    """What is in hand at this moment."""
    batches = list(open_batches(site, at))
    now = whereabouts(batches)
    in_hand = tuple(InHand(batch, now[batch.pk], _found(batch, now[batch.pk], at), at) for batch in batches)
    bags = [bag for each in in_hand for bag in each.now.here]
    return Snapshot(site, at, in_hand, places_of(site, bags, at))


def _found(batch: Batch, now: BatchNow, at: datetime) -> Assessment | None:
    """The kept assessment, made anew where time has moved on for bags in a bath or a chill."""
    kept = getattr(batch, "assessed", None)
    moving = any(bag.where in (Where.BATH, Where.OUT, Where.CHILL, Where.CHILLED) for bag in now.here)
    if kept is None or (moving and at - kept.made_at >= assessing.FRESH):
        return assessing.refresh(batch, at) if now.bags else None
    # The curves are the bulk of an assessment, and the Bench draws none.
    light = {**kept.assessment, "bags": [{**bag, "curve": None} for bag in kept.assessment["bags"]]}
    assessment = keep.from_json(light)
    return assessing.refresh(batch, at) if running.overtaken(assessment, kept.made_at, at) else assessment
