"""What the File lists: which batches there are, how they stand, what is missing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from haccp.record import Assessment, Outcome
from kitchen.base.ids import new_id
from kitchen.batches.models import Batch
from kitchen.people.models import Site
from kitchen.review import keep
from kitchen.review.actions import hindrances
from kitchen.review.assessing import State, refresh, state
from kitchen.review.models import Assessed

LISTED = 100


@dataclass(frozen=True)
class Row:
    """A batch in the File."""

    batch: Batch
    outcome: str
    state: str
    missing: tuple[str, ...]
    entry_id: UUID


def chosen(site: Site, said: dict[str, Any]) -> QuerySet[Batch]:
    """The batches of a period and a dish, newest first."""
    batches = Batch.objects.filter(site=site).select_related("site", "method__dish")
    if said.get("first"):
        batches = batches.filter(made_on__gte=said["first"])
    if said.get("last"):
        batches = batches.filter(made_on__lte=said["last"])
    if said.get("dish"):
        batches = batches.filter(method__dish=said["dish"])
    return batches.order_by("-made_on", "-pk")


def missing(batch: Batch, assessment: Assessment, stands: State) -> Iterator[str]:
    """What the record of a batch still lacks, in words."""
    unproven = {each.step for each in assessment.all_findings if each.outcome == Outcome.UNPROVEN}
    for step in sorted(unproven):
        yield f"Proof of the {step}: the evidence does not reach."
    if stands == State.OPEN:
        yield from hindrances(batch, assessment) or ["The signature."]
    if stands == State.REOPENED:
        yield "A new signature: entries came after the last one."


def row(batch: Batch, now: datetime) -> Row:
    """What the File says of one batch; a kept assessment is good enough for a list."""
    kept = Assessed.objects.filter(batch=batch).first()
    assessment = keep.from_json(kept.assessment) if kept else refresh(batch, now)
    stands = state(batch)
    return Row(
        batch=batch,
        outcome=str(assessment.outcome),
        state=str(stands),
        missing=tuple(missing(batch, assessment, stands)),
        entry_id=new_id(),
    )
