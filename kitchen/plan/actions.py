"""What is done about the HACCP plan: issue a version, confirm its flow diagrams, note a competence."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.people.models import Person
from kitchen.plan.content import compose, plan_digest
from kitchen.plan.models import Competence, FlowConfirmed, PlanVersion

MEANING = "This plan is the one that this kitchen works by."


def _head_chef(hand: Hand) -> None:
    if not (hand.person and hand.person.is_head_chef):
        raise Refused("Only the head chef signs the plan.")


def newest(site: Any) -> PlanVersion | None:
    """The newest signed version of a site."""
    return PlanVersion.objects.filter(site=site).select_related("entry__person").order_by("-version").first()


def issue_plan(*, hand: Hand, reason: str = "", seen: str = "") -> PlanVersion:
    """Sign the plan as it now follows from methods, ruleset and equipment.

    `seen` is the digest of the draft that was read; if the plan has changed since, it is not signed.
    """
    _head_chef(hand)
    again = taken_before(hand)
    if again:
        return PlanVersion.objects.get(entry=again)
    with transaction.atomic():
        content = compose(hand.site, hand.moment)
        digest = plan_digest(content)
        last = newest(hand.site)
        if not content["plan"]["families"]:
            raise Refused(
                "No method is signed yet: sign the methods first, then the plan that follows from them."
            )
        if seen and seen != digest:
            raise Refused("The plan has changed since this page was shown. Read it again, then sign it.")
        if last and last.digest == digest:
            raise Refused(f"Version {last.version} says the same. There is nothing new to sign.")
        said = {
            "version": last.version + 1 if last else 1,
            "digest": digest,
            "reason": reason.strip(),
            "meaning": MEANING,
            "content": content,
        }
        entry = record("plan.issue", said, hand=hand)
    return PlanVersion.objects.get(entry=entry)


@projects("plan.issue")
def _plan_issue(entry: Entry, said: dict[str, Any]) -> None:
    PlanVersion.objects.create(site=entry.site, entry=entry, version=said["version"], digest=said["digest"])


def confirm_flow(*, flows: str, hand: Hand, at: datetime | None = None) -> Entry:
    """Someone walked the flow diagrams through the kitchen while it worked: they are as drawn."""
    _head_chef(hand)
    now = compose(hand.site, hand.moment)["flows"]
    if flows != now and not taken_before(hand):
        raise Refused("The diagrams have changed since this page was shown. Walk them again.")
    return record("plan.walk", {"flows": flows}, hand=hand, happened_at=at)


@projects("plan.walk", correctable=True)
def _plan_walk(entry: Entry, said: dict[str, Any]) -> None:
    FlowConfirmed.objects.create(site=entry.site, entry=entry, at=entry.happened_at, flows=said["flows"])


def note_competence(*, person: Person, words: str, hand: Hand) -> Entry:
    """Note what a person of the team was taught and what shows it; a later note takes its place."""
    _head_chef(hand)
    if not words.strip():
        raise Refused("Say what they were taught, when, and what shows it.", "words")
    said = {"code": person.code, "words": words.strip()}
    return record("plan.competence", said, hand=hand)


@projects("plan.competence", correctable=True)
def _plan_competence(entry: Entry, said: dict[str, Any]) -> None:
    person = Person.objects.get(site=entry.site, code=said["code"])
    Competence.objects.create(entry=entry, at=entry.happened_at, person=person, words=said["words"])
