"""What is done about dishes and methods."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import transaction

from haccp.approvals import amended, covering, with_approvals
from haccp.case import words_of
from haccp.limits import Ruleset
from haccp.plan import check_method
from haccp.record import Finding, Outcome
from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.methods.approvals import approvals_of
from kitchen.methods.models import Dish, Method
from kitchen.people.kept import keep
from kitchen.people.regime import rules_of

BAND_K = 0.5


def findings_of(method: Method, day: date) -> list[Finding]:
    """What the rules of a day say of a method before a bag is ever cooked to it."""
    return findings_under(method, rules_of(method.dish.site, day))


def findings_under(method: Method, rules: Ruleset) -> list[Finding]:
    """The same under any ruleset; where an approval stands, its figure is asked and not the printed one."""
    facts = method.facts
    covered = covering(
        rules, approvals_of(method), words=words_of(facts), dish=method.dish.name, on=rules.day
    )
    found = check_method(
        facts,
        amended(rules, covered),
        shape=method.shape,
        thickness_tolerance_mm=float(method.thickness_tolerance_mm),
        band_k=BAND_K,
    )
    return with_approvals(found, rules, covered)


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
    today = hand.moment.astimezone(hand.site.zone).date()
    failing = [each.sentence for each in findings_of(method, today) if each.outcome == Outcome.FAILS]
    if failing:
        raise Refused(" ".join(failing))
    rules = rules_of(method.dish.site, today)
    said = {
        "dish": method.dish.name,
        "version": method.version,
        "meaning": "This method may be cooked to.",
        "ruleset": rules.digest,
    }
    with transaction.atomic():
        keep(rules, hand.moment)
        record("method.sign", said, hand=hand)
    method.refresh_from_db()
    return method


@projects("method.sign")
def _method_sign(entry: Entry, said: dict[str, Any]) -> None:
    Method.objects.filter(dish__site=entry.site, dish__name=said["dish"], version=said["version"]).update(
        signed=entry
    )
