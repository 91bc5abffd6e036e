"""Append to a site's chain: the one place where an entry is made.

`record` writes the entry and lets its projection put the facts beside it, in one
transaction: either both are there or neither is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from django.dispatch import Signal

from kitchen.base.ids import new_id
from kitchen.base.moments import now as server_now
from kitchen.base.refusals import Refused
from kitchen.ledger import canonical, projections
from kitchen.ledger.models import Entry

SCHEMA = 1
# Sent when an entry and its facts are there. Rooms above the ledger listen; it knows none of them.
landed = Signal()
AHEAD = timedelta(minutes=2)


@dataclass(frozen=True)
class Hand:
    """Whose hand writes: site, person, tablet, the server's time, and the entry's own id.

    The id is made where the entry is made (on the tablet, or when the form was shown), so
    that sending it twice writes it once. `person` is None only for the system itself.
    """

    site: Any
    person: Any = None
    tablet: str = ""
    now: datetime | None = None
    entry_id: UUID | None = None

    @property
    def moment(self) -> datetime:
        """When the server received it."""
        return self.now or server_now()

    def another(self) -> Hand:
        """The same hand for a second entry, which needs an id of its own."""
        return replace(self, entry_id=None)


def genesis(site: Any) -> str:
    """What the first entry of a site names as the one before it."""
    return canonical.digest(f"the first entry of {site.slug}")


# The first half of the number by which PostgreSQL knows the lock of a site's chain: "chai" in ASCII.
_LOCK = 0x63686169


def hold(site: Any) -> None:
    """Until the transaction ends, nobody else appends to this site's chain.

    Two writers that read the same head would both name it as the one before; the unique `previous`
    would refuse the second, and somebody's entry with it. SQLite's IMMEDIATE transaction is this lock
    already. On PostgreSQL it is an advisory lock per site: it waits like a row lock, and unlike one it
    writes nothing, leaves no dead row of the site behind, and needs no right to UPDATE. What is read
    after it is what the writer before has committed (READ COMMITTED).
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [_LOCK, site.pk])


def record(kind: str, said: dict[str, Any], *, hand: Hand, happened_at: datetime | None = None) -> Entry:
    """Append one entry and project it. The same id with the same content is taken once.

    Raises `Refused` when the moment lies ahead of the server's clock, or when an id comes
    again with other content.
    """
    received = hand.moment
    happened = happened_at or received
    if happened > received + AHEAD:
        raise Refused(
            "That time has not come yet. Check the date and the time, and the tablet's clock.", "at"
        )
    identity = hand.entry_id or new_id()
    content = canonical.plain(said)
    with transaction.atomic():
        hold(hand.site)
        again = Entry.objects.filter(pk=identity).first()
        if again is not None:
            if again.site_id != hand.site.pk or again.kind != kind or again.said != content:
                raise Refused("This form was sent before with other content. Open it again and retype it.")
            return again
        entry = _append(kind, content, identity, hand, happened, received)
        projections.project(entry)
    landed.send(sender=Entry, entry=entry)
    return entry


def taken_before(hand: Hand) -> Entry | None:
    """The entry with this hand's id, if it was taken before: then `record` answers, not today's state."""
    return Entry.objects.filter(pk=hand.entry_id).first() if hand.entry_id else None


def _append(
    kind: str, said: Any, identity: UUID, hand: Hand, happened: datetime, received: datetime
) -> Entry:
    last = Entry.objects.filter(site=hand.site).order_by("-seq").only("seq", "digest").first()
    seq = last.seq + 1 if last else 1
    previous = last.digest if last else genesis(hand.site)
    body = canonical.text(
        {
            "v": SCHEMA,
            "id": identity,
            "site": hand.site.slug,
            "seq": seq,
            "kind": kind,
            "said": said,
            "happened_at": happened,
            "recorded_at": received,
            "person": hand.person.code if hand.person else None,
            "tablet": hand.tablet,
            "previous": previous,
        }
    )
    return Entry.objects.create(
        id=identity,
        site=hand.site,
        seq=seq,
        kind=kind,
        body=body,
        happened_at=happened,
        recorded_at=received,
        person=hand.person,
        previous=previous,
        digest=canonical.digest(body),
    )


def head(site: Any) -> Entry | None:
    """The newest entry of a site."""
    return Entry.objects.filter(site=site).order_by("-seq").first()
