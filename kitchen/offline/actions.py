"""What is done with entries that come from an outbox: note how they arrived, hold one, settle it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from kitchen.base.refusals import Refused
from kitchen.batches.models import Batch
from kitchen.ledger.chain import Hand, record
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.review.held import Arrival, Held

ENTERED, LATER, ASIDE = "entered right", "taken after what it waited for", "set aside"


def hold(*, said: dict[str, Any], hand: Hand, at: datetime) -> Held:
    """Keep an entry that could not be accepted, with all that was said and why it is held."""
    entry = record("held", said, hand=hand, happened_at=min(at, hand.moment))
    return Held.objects.get(entry=entry)


@projects("held")
def _held(entry: Entry, said: dict[str, Any]) -> None:
    Held.objects.create(
        entry=entry,
        at=entry.happened_at,
        site=entry.site,
        of=UUID(said["of"]),
        batch=Batch.objects.filter(site=entry.site, code=said["about"]).first() if said["about"] else None,
        address=said["address"],
        words=said["words"],
        why=said["why"],
        again=said["again"],
    )


def settle(*, held: Held, how: str, hand: Hand, reason: str = "") -> Entry:
    """A held entry is settled: entered right, taken later, or set aside with a reason."""
    if how == ASIDE:
        if not (hand.person and hand.person.is_head_chef):
            raise Refused("Only the head chef sets a held entry aside.")
        if not reason.strip():
            raise Refused("Say why it is set aside: it stays in the records.", "reason")
    if held.withdrawn_by_id:
        raise Refused("This held entry was settled before.")
    said = {"held": held.entry_id, "how": how, "reason": reason.strip()}
    return record("held.settle", said, hand=hand)


@projects("held.settle")
def _held_settle(entry: Entry, said: dict[str, Any]) -> None:
    Held.objects.filter(entry_id=UUID(said["held"]), withdrawn_by__isnull=True).update(withdrawn_by=entry)


def arrive(*, tablet: str, entries: Sequence[dict[str, Any]], hand: Hand) -> Entry:
    """Note how entries arrived that were kept on a tablet: its time, and how far its clock was out."""
    return record("outbox.arrive", {"tablet": tablet, "entries": list(entries)}, hand=hand)


@projects("outbox.arrive")
def _outbox_arrive(entry: Entry, said: dict[str, Any]) -> None:
    Arrival.objects.bulk_create(
        Arrival(
            entry=entry,
            at=datetime.fromisoformat(each["made_at"]),
            of=UUID(each["of"]),
            tablet_time=datetime.fromisoformat(each["tablet_time"]),
            ahead_s=each["ahead_s"],
            ahead_on_arrival_s=each["ahead_on_arrival_s"],
            content=each["content"],
            tablet=said["tablet"],
        )
        for each in said["entries"]
    )
