"""The list at the Pass: what needs a decision first, what is signed last."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from haccp.record import Assessment, Outcome
from kitchen.batches.models import Bag, Batch
from kitchen.cooking.models import BagOut
from kitchen.ledger.models import standing
from kitchen.people.models import Site
from kitchen.review import keep, showing, trail
from kitchen.review.assessing import State, current, refresh, state
from kitchen.review.models import Assessed, SignOff
from kitchen.review.page import after_signature
from kitchen.review.running import Stands, of_batch

SIGNED_SHOWN = 40
NEWEST = 60


@dataclass(frozen=True)
class Row:
    """A batch on the list."""

    batch: Batch
    assessment: Assessment
    state: str
    bags: str
    stands: Stands
    sentences: tuple[showing.Said, ...] = ()
    signature: SignOff | None = None
    after: tuple[trail.Line, ...] = ()


def row(batch: Batch, now: datetime) -> Row:
    """What the list says of a batch."""
    stands = state(batch)
    signature = showing.signature_of(batch)
    if stands == State.SIGNED:
        kept = Assessed.objects.filter(batch=batch).first()
        assessment = keep.from_json(kept.assessment) if kept else refresh(batch, now)
    else:
        assessment = current(batch, now)
    after = after_signature(trail.lines(batch), signature) if stands == State.REOPENED else []
    count = len(assessment.bags)
    return Row(
        batch=batch,
        assessment=assessment,
        state=str(stands),
        bags=f"{count} bag" if count == 1 else f"{count} bags",
        stands=of_batch(assessment, batch, now),
        sentences=tuple(showing.Reading(assessment).doubtful()),
        signature=signature,
        after=tuple(after),
    )


def in_the_making(site: Site) -> set[int]:
    """Batches without a bag, or with one that has not left its bath yet: too early to decide."""
    out = standing(BagOut.objects.filter(bag__batch__site=site)).values("bag")
    inside = Bag.objects.filter(batch__site=site).exclude(pk__in=out).values_list("batch", flat=True)
    empty = Batch.objects.filter(site=site, bags__isnull=True).values_list("pk", flat=True)
    return {*inside, *empty}


def on_the_board(site: Site) -> list[Batch]:
    """The newest batches, those in which something moved lately, and every one that was never signed.

    However old it is, a batch that waits for a signature does not drop off the list.
    """
    batches = Batch.objects.filter(site=site)
    unsigned = batches.exclude(pk__in=standing(SignOff.objects.filter(batch__site=site)).values("batch"))
    keys = {
        *batches.order_by("-made_on", "-pk").values_list("pk", flat=True)[:NEWEST],
        *batches.order_by("-assessed__made_at").values_list("pk", flat=True)[:NEWEST],
        *unsigned.values_list("pk", flat=True),
    }
    found = batches.filter(pk__in=keys).select_related("site", "method__dish")
    return list(found.order_by("-made_on", "-pk"))


def board(site: Site, now: datetime) -> dict[str, Any]:
    """The context of the list."""
    rows = [row(each, now) for each in on_the_board(site)]
    opened = [each for each in rows if each.state != State.SIGNED]
    making = in_the_making(site)
    in_hand = [
        each
        for each in opened
        if not each.after
        and (each.stands.waits or each.batch.pk in making)
        and each.assessment.outcome != Outcome.FAILS
    ]
    rest = [each for each in opened if each not in in_hand]
    # Sorted is stable: newest first within one outcome.
    rest.sort(key=lambda each: -each.assessment.outcome.rank)
    return {
        "waiting": [each for each in rest if each.sentences or each.after],
        "clear": [each for each in rest if not each.sentences and not each.after],
        "in_hand": in_hand,
        "signed": [each for each in rows if each.state == State.SIGNED][:SIGNED_SHOWN],
        "now": now,
    }
