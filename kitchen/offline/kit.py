"""What a tablet keeps in order to work without network: who works here, the key, the pages."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.urls import reverse

from kitchen.bench import queries, steps
from kitchen.bench.queries import InHand
from kitchen.bench.whereabouts import Where
from kitchen.methods.models import Method
from kitchen.offline import files, sealing
from kitchen.people.models import Person, Tablet

# Pages are fetched anew after this long even where nothing moved: probes come and go.
HOURS = 4


def kit(person: Person, tablet: Tablet | None, now: datetime) -> dict[str, Any]:
    """Everything that the tablet keeps, for the person who is signed in."""
    return {
        "now": now.isoformat(),
        "person": {"code": person.code, "name": person.name},
        "token": sealing.token(person, now),
        "tablet": {"id": str(tablet.pk), "name": tablet.name} if tablet else None,
        "people": people(tablet) if tablet else [],
        "key": sealing.public_key() if tablet else "",
        "pages": [[url, tag] for url, tag in pages(person.site, now)],
    }


def people(tablet: Tablet) -> list[dict[str, Any]]:
    """Who signs in by code here: names and staff codes, nothing of the cook codes."""
    found = Person.objects.filter(site=tablet.site, is_active=True).exclude(cook_code="").order_by("name")
    return [{"pk": each.pk, "code": each.code, "name": each.name} for each in found]


def pages(site: Any, now: datetime) -> Iterator[tuple[str, str]]:
    """The addresses of the Bench that a tablet keeps, each with a tag that changes when the page does."""
    shot = queries.snapshot(site, now)
    shift = f"{files.version()} {now:%y%m%d} {now.hour // HOURS}"
    moved = [(each.batch.pk, [(bag.number, bag.words) for bag in each.now.here]) for each in shot.batches]
    yield reverse("bench"), _tag(shift, moved, [(place.key, place.read_at) for place in shot.places])
    yield (
        reverse("sign_in"),
        _tag(shift, list(Person.objects.filter(site=site).values_list("name", "is_active"))),
    )
    yield reverse("outbox"), _tag(shift)
    for place in shot.places:
        if place.running:
            yield reverse(f"{place.kind}_read", args=[place.key]), _tag(shift, place)
        if place.kind == "bath":
            name, key = ("bath_end", place.key) if place.running else ("bath_start", place.pk)
            yield reverse(name, args=[key]), _tag(shift, place.running)
    for each in reversed(shot.batches):
        yield from _of_batch(each, shift, _tag([(place.key, place.name) for place in shot.baths]))
    yield reverse("batch_new"), _tag(shift)
    yield reverse("brine_new"), _tag(shift)
    signed = Method.objects.filter(dish__site=site, signed__isnull=False)
    newest = {method.dish_id: method.pk for method in signed.order_by("version")}
    for pk in sorted(newest.values()):
        yield reverse("batch_begin", args=[pk]), _tag(shift)


def _of_batch(each: InHand, shift: str, baths: str) -> Iterator[tuple[str, str]]:
    code, now = each.batch.code, each.now
    # Where the bags are, since when, and which baths run: what the forms of the batch show.
    tag = _tag(shift, baths, now.brine_since, [(bag.number, bag.words, bag.since) for bag in now.here])
    yield reverse("batch", args=[code]), tag
    for slug in ahead(each):
        yield reverse("step", args=[code, slug]), tag
    for bag in now.here:
        yield reverse("bag", args=[code, bag.number]), tag


def ahead(each: InHand) -> list[str]:
    """The steps that may still come for a batch, in the order of the work."""
    order = list(Where)
    where = [order.index(bag.where) for bag in each.now.here]
    first = min(where, default=0)
    before_bath = first == 0
    return [
        work.slug
        for work in steps.ORDER
        if (any(order.index(fit) >= first for fit in work.fits) if work.fits else before_bath)
    ]


def _tag(*parts: Any) -> str:
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:16]
