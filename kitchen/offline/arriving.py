"""Entries of an outbox arrive: each is taken, known already, held with the reason, or refused."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from kitchen.base import moments
from kitchen.base.refusals import Refused
from kitchen.ledger.chain import AHEAD, Hand
from kitchen.ledger.models import Entry, standing
from kitchen.offline import actions, replay, sent
from kitchen.offline.sealing import Proofs
from kitchen.people.models import Person, Site
from kitchen.review import assessing, landing
from kitchen.review.held import Arrival, Held

TAKEN, HAD, HELD, REFUSED = "taken", "had", "held", "refused"


@dataclass(frozen=True)
class Answer:
    """What became of one entry. `said` is what was kept, or why it was not."""

    id: str
    answer: str
    said: str = ""

    def as_json(self) -> dict[str, str]:
        """For the tablet."""
        return asdict(self)


class Outbox:
    """One sending of a tablet: its entries are taken in their order, each for itself."""

    def __init__(self, sender: Person, now: datetime, clock: datetime | None = None) -> None:
        self.sender, self.site, self.now = sender, sender.site, now
        # The tablet's clock less ours, now; None where a file is read in and no tablet is at hand.
        self.ahead = None if clock is None else clock - now
        self.proofs = Proofs(sender, now)
        self.arrived: dict[str, list[dict[str, Any]]] = {}
        self.taken: list[UUID] = []

    def take(self, raw: Sequence[Any]) -> list[Answer]:
        """Take them all, note how they arrived, try again what had waited for them, assess once."""
        with landing.quiet():
            answers = [self._one(each) for each in raw]
            for tablet, entries in self.arrived.items():
                actions.arrive(tablet=tablet, entries=entries, hand=self._hand(tablet))
            if self.taken:
                self.taken += try_again(self.site, self.sender, self.now)
        _assess(self.taken, self.now)
        return answers

    def _hand(self, tablet: str, person: Person | None = None) -> Hand:
        return Hand(site=self.site, person=person or self.sender, tablet=tablet, now=self.now)

    def _one(self, raw: Any) -> Answer:
        try:
            each = sent.read(raw)
        except Refused as refusal:
            name = raw.get("id") if isinstance(raw, dict) else ""
            return Answer(name if isinstance(name, str) else "", REFUSED, refusal.message)
        with transaction.atomic():
            # One after the other at one site, so that an entry that is sent twice at once is taken once.
            Site.objects.select_for_update().get(pk=self.site.pk)
            return self._known(each) or self._new(each)

    def _known(self, each: sent.Sent) -> Answer | None:
        """The answer for an entry that came before."""
        name = str(each.entry_id)
        held = Held.objects.filter(of=each.entry_id, site=self.site).first()
        if held:
            return Answer(name, HAD if held.withdrawn_by_id else HELD, held.why)
        if not Entry.objects.filter(pk=each.entry_id, site=self.site).exists():
            return None
        arrival = Arrival.objects.filter(of=each.entry_id).first()
        if arrival and arrival.content != each.content:
            return self._hold(each, "An entry with this id came before and said something else.", None)
        if not arrival and not self._noted(each):
            self._note(each)
        return Answer(name, HAD)

    def _new(self, each: sent.Sent) -> Answer:
        person = None
        try:
            person = self.proofs.person_of(each.by, each.proof, each.made_at)
            if each.made_at > self.now + AHEAD:
                at = moments.clock(each.made_at, self.site.timezone)
                raise Refused(f"It says that it was made at {at}, which has not come yet.")
            kept = replay.take(
                person=person,
                address=each.address,
                fields=each.fields,
                entry_id=each.entry_id,
                made_at=each.made_at,
                tablet=each.tablet,
            )
        except Refused as refusal:
            return self._hold(each, refusal.message, person, again=isinstance(refusal, replay.Waits))
        self._note(each)
        self.taken.append(each.entry_id)
        return Answer(str(each.entry_id), TAKEN, kept)

    def _hold(self, each: sent.Sent, why: str, person: Person | None, again: bool = False) -> Answer:
        about = replay.batch_about(self.site, each.address)
        said = {
            "of": each.entry_id,
            "about": about.code if about else "",
            "address": each.address,
            "fields": each.fields,
            "words": each.words or each.address,
            "why": why,
            "again": again,
            "by": each.by,
            "tablet": each.tablet,
            "proven": person is not None,
            "tablet_time": each.tablet_time,
            "made_at": each.made_at,
            "ahead_s": seconds(each.ahead),
        }
        held = actions.hold(said=said, hand=self._hand(each.tablet, person), at=each.made_at)
        return Answer(str(each.entry_id), HELD, held.why)

    def _noted(self, each: sent.Sent) -> bool:
        return any(one["of"] == each.entry_id for one in self.arrived.get(each.tablet, []))

    def _note(self, each: sent.Sent) -> None:
        ahead_now = each.ahead if self.ahead is None else self.ahead
        self.arrived.setdefault(each.tablet, []).append(
            {
                "of": each.entry_id,
                "made_at": each.made_at.isoformat(),
                "tablet_time": each.tablet_time.isoformat(),
                "ahead_s": seconds(each.ahead),
                "ahead_on_arrival_s": seconds(ahead_now),
                "content": each.content,
            }
        )


def seconds(span: timedelta) -> Decimal:
    """A span as a Decimal of seconds, to the millisecond: what stands in an entry is no float."""
    return Decimal(round(span / timedelta(milliseconds=1))) / 1000


def try_again(site: Any, sender: Person, now: datetime) -> list[UUID]:
    """Held entries that waited for others, in the order in which they happened; those that are taken now."""
    taken = []
    for held in standing(Held.objects.filter(site=site, again=True)).select_related("entry").order_by("at"):
        said = held.entry.said
        try:
            with transaction.atomic():
                replay.take(
                    person=held.entry.person,
                    address=said["address"],
                    fields=said["fields"],
                    entry_id=held.of,
                    made_at=datetime.fromisoformat(said["made_at"]),
                    tablet=said["tablet"],
                )
                hand = Hand(site=site, person=sender, now=now)
                actions.settle(held=held, how=actions.LATER, hand=hand)
        except Refused:
            continue
        taken.append(held.of)
    return taken


def _assess(taken: Iterable[UUID], now: datetime) -> None:
    """Assess each batch once that the taken entries say something about."""
    batches = {}
    for entry in Entry.objects.filter(pk__in=list(taken)):
        batches |= {each.pk: each for each in landing.touched(entry).select_related("site", "method__dish")}
    for batch in batches.values():
        try:
            assessing.refresh(batch, now)
        except Exception:
            landing.log.exception("Batch %s could not be assessed after an outbox", batch.code)
            assessing.Assessed.objects.filter(batch=batch).delete()
