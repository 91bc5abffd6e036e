"""What was signed stays as it was signed, whatever becomes of the limits and of the engine later."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from haccp.assess import ENGINE, assess
from haccp.limits import Ruleset
from haccp.record import Assessment, BatchRecord, Outcome
from kitchen.batches.models import Batch
from kitchen.people import kept
from kitchen.review import keep, showing
from kitchen.review.digest import record_digest
from kitchen.review.gather import gather
from kitchen.review.models import SignedAssessment, SignOff


def keep_signed(sign_off: SignOff, assessment: Assessment, rules: Ruleset, now: datetime) -> None:
    """Keep an assessment beside its signature, with the ruleset word for word."""
    facts = {
        "ruleset": kept.keep(rules, now),
        "engine": assessment.engine,
        "assessment": keep.to_json(assessment),
    }
    SignedAssessment.objects.get_or_create(sign_off=sign_off, defaults=facts)


def still_signed(
    signature: SignOff, gathered: BatchRecord, fresh: Assessment, rules: Ruleset
) -> Assessment | None:
    """The signed assessment, where a fresh one differs by its limits or its engine and by nothing else.

    The batch of the signature's moment is judged by the limits of now: where that gives what a fresh
    look gives, nothing has happened to the food since, and the signature stands.
    """
    found = SignedAssessment.objects.filter(sign_off=signature).first()
    if found is None or (found.ruleset_id, found.engine) == (fresh.ruleset_digest, fresh.engine):
        return None
    if record_digest(gathered, signature.at) != signature.record_digest:
        return None
    then = assess(replace(gathered, seen_at=signature.at), rules)
    return keep.from_json(found.assessment) if _concerns(then) == _concerns(fresh) else None


def _concerns(assessment: Assessment) -> set[tuple[object, ...]]:
    """What does not meet its limit. The outcome alone would not do: limits that have become stricter may
    fail a batch as a whole, and hide what became of its food since."""
    return {
        (each.rule, each.bag, each.limit, each.outcome)
        for each in assessment.all_findings
        if each.outcome != Outcome.MEETS
    }


@dataclass(frozen=True)
class Again:
    """A signed batch judged again as of its signature: both assessments, and the findings that differ."""

    then: Assessment
    now: Assessment
    gone: list[showing.Said]
    come: list[showing.Said]


def again(batch: Batch, signature: SignOff) -> Again | None:
    """What the limits and the engine of now say of a batch as it was signed; None where that was not kept.

    What was recorded after the signature is left out, as far as it is about the food itself.
    """
    found = SignedAssessment.objects.filter(sign_off=signature).first()
    if found is None:
        return None
    then, now = keep.from_json(found.assessment), assess(gather(batch, signature.at), batch.rules)
    was, will = showing.Reading(then).once(), showing.Reading(now).once()
    said_then, said_now = ({(each.finding.outcome, each.sentence) for each in said} for said in (was, will))
    return Again(
        then,
        now,
        [each for each in was if (each.finding.outcome, each.sentence) not in said_now],
        [each for each in will if (each.finding.outcome, each.sentence) not in said_then],
    )


@dataclass(frozen=True)
class Since:
    """What has changed since a signature in that by which a batch is judged."""

    limits: list[kept.Changed]
    engine: str

    @property
    def anything(self) -> bool:
        """Whether there is something to say."""
        return bool(self.limits or self.engine)


def since(batch: Batch, signature: SignOff | None) -> Since:
    """The limits of the batch's day that differ from those by which it was signed."""
    found = SignedAssessment.objects.filter(sign_off=signature).first() if signature else None
    if found is None:
        return Since([], "")
    engine = f"{found.engine} then, {ENGINE} now" if found.engine != ENGINE else ""
    return Since(kept.changes(found.ruleset_id, batch.rules) or [], engine)
