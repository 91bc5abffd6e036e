"""What is done about dishes and methods."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from haccp.plan import check_method
from haccp.record import Finding, Outcome
from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.methods.models import Dish, Method
from kitchen.people.regime import rules_of

BAND_K = 0.5


def findings_of(method: Method) -> list[Finding]:
    """What the rules say of a method before a bag is ever cooked to it."""
    site = method.dish.site
    day = method.entry.recorded_at.astimezone(site.zone).date()
    return check_method(
        method.facts,
        rules_of(site, day),
        shape=method.shape,
        thickness_tolerance_mm=float(method.thickness_tolerance_mm),
        band_k=BAND_K,
    )


def draft_method(*, dish: str, hand: Hand, **facts: Any) -> Method:
    """Write the next version of a dish's method; the dish is made with its first."""
    dish = dish.strip()
    if not dish:
        raise Refused("Name the dish.", "dish")
    with transaction.atomic():
        again = taken_before(hand)
        if again and again.kind == "method.draft":
            version = again.said["version"]
        else:
            last = Method.objects.filter(dish__site=hand.site, dish__name=dish).order_by("-version").first()
            version = last.version + 1 if last else 1
        said = {"dish": dish, "version": version, **facts}
        entry = record("method.draft", said, hand=hand)
        return Method.objects.get(entry=entry)


@projects("method.draft")
def _method_draft(entry: Entry, said: dict[str, Any]) -> None:
    dish, _ = Dish.objects.get_or_create(site=entry.site, name=said.pop("dish"), defaults={"entry": entry})
    Method.objects.create(dish=dish, entry=entry, **said)


def sign_method(*, method: Method, hand: Hand) -> Method:
    """Sign a version. One that can't reach its limit is refused, with the reason."""
    if not (hand.person and hand.person.is_head_chef):
        raise Refused("Only the head chef signs a method.")
    if method.signed_id:
        raise Refused("This version is signed already. Write a new version to change it.")
    method.refresh_from_db()
    failing = [each.sentence for each in findings_of(method) if each.outcome == Outcome.FAILS]
    if failing:
        raise Refused(" ".join(failing))
    said = {"dish": method.dish.name, "version": method.version, "meaning": "This method may be cooked to."}
    record("method.sign", said, hand=hand)
    method.refresh_from_db()
    return method


@projects("method.sign")
def _method_sign(entry: Entry, said: dict[str, Any]) -> None:
    Method.objects.filter(dish__site=entry.site, dish__name=said["dish"], version=said["version"]).update(
        signed=entry
    )
