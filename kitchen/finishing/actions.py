"""What is done at service."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from kitchen.base.refusals import Refused
from kitchen.batches.actions import bags_of, named
from kitchen.batches.models import Bag
from kitchen.finishing.models import Finish
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects

ENDS = (Finish.Kind.SERVED, Finish.Kind.DISCARDED)


def gone(bag: Bag) -> Finish | None:
    """The serving or discarding that ended a bag, if it has ended."""
    return standing(bag.finishes.filter(kind__in=ENDS)).order_by("at").first()


def finish_bags(
    *,
    bags: Sequence[Bag],
    kind: str,
    hand: Hand,
    at: datetime | None = None,
    note: str = "",
    portions: int | None = None,
) -> Entry:
    """Bags of one batch get their second cook, are served, or are discarded."""
    if kind == Finish.Kind.DISCARDED and not note.strip():
        raise Refused("Say why it is discarded.", "note")
    if not taken_before(hand):
        for bag in bags:
            ended = gone(bag)
            if ended:
                raise Refused(f"Bag {bag.number} was {ended.kind} already.", "bags")
    said = {**named(bags), "kind": kind, "note": note.strip(), "portions": portions}
    return record("bags.finish", said, hand=hand, happened_at=at)


@projects("bags.finish", correctable=True)
def _bags_finish(entry: Entry, said: dict[str, Any]) -> None:
    for bag in bags_of(entry, said):
        Finish.objects.create(
            entry=entry,
            at=entry.happened_at,
            bag=bag,
            kind=said["kind"],
            note=said["note"],
            portions=said["portions"],
        )
