"""Assess a batch when an entry has landed, and keep what was found."""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum

from django.db import transaction

from haccp import record
from haccp.assess import assess
from kitchen.batches.models import Batch
from kitchen.ledger.models import standing
from kitchen.review import keep, signed
from kitchen.review.digest import record_digest
from kitchen.review.gather import gather
from kitchen.review.models import Assessed, SignOff
from kitchen.review.running import overtaken

# Time itself changes what is to be said (a chill runs out, a use-by passes), so an assessment
# of a batch that still has bags here is looked at again after this long.
FRESH = timedelta(minutes=5)


class State(StrEnum):
    """Where a batch stands at the Pass."""

    OPEN = "open"
    SIGNED = "signed"
    REOPENED = "reopened"


def last_signature(batch: Batch) -> SignOff | None:
    """The newest signature under a batch, if there is one."""
    return standing(SignOff.objects.filter(batch=batch)).order_by("-entry__seq").first()


def judged(batch: Batch, gathered: record.BatchRecord) -> record.Assessment:
    """What the limits of its day say of a batch; as it was signed, where nothing but they changed since."""
    fresh, signature = assess(gathered, batch.rules), last_signature(batch)
    as_signed = signed.still_signed(signature, gathered, fresh, batch.rules) if signature else None
    return as_signed or fresh


def refresh(batch: Batch, seen_at: datetime) -> record.Assessment:
    """Gather, assess and keep."""
    gathered = gather(batch, seen_at)
    assessment = judged(batch, gathered)
    signature = last_signature(batch)
    with transaction.atomic():
        Assessed.objects.update_or_create(
            batch=batch,
            defaults={
                "made_at": seen_at,
                "record_digest": record_digest(gathered, signature.at if signature else None),
                "outcome": str(assessment.outcome),
                "assessment": keep.to_json(assessment),
            },
        )
    return assessment


def current(batch: Batch, seen_at: datetime) -> record.Assessment:
    """The kept assessment while it is fresh, else a new one."""
    kept = Assessed.objects.filter(batch=batch).first()
    if kept and timedelta(0) <= seen_at - kept.made_at < FRESH:
        assessment = keep.from_json(kept.assessment)
        if not overtaken(assessment, kept.made_at, seen_at):
            return assessment
    return refresh(batch, seen_at)


def state(batch: Batch) -> State:
    """Open, signed, or reopened by what came after the signature.

    Routine readings of the fridge do not reopen a batch as long as its outcome stays.
    """
    signature = last_signature(batch)
    if signature is None:
        return State.OPEN
    kept = Assessed.objects.filter(batch=batch).first()
    same = (
        kept is not None
        and kept.record_digest == signature.record_digest
        and kept.outcome == signature.outcome
    )
    return State.SIGNED if same else State.REOPENED
