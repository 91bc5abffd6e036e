"""Entries that came from an outbox: those that wait to be settled, and how the tablet's clock stood.

A held entry reached the server and could not be accepted. All that was said stands in the chain, in an
entry of kind `held`; until another entry settles it, its batch can't be signed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import models

from kitchen.base import moments
from kitchen.batches.models import Batch
from kitchen.ledger.models import Entry, Fact, standing

# A tablet's clock this far from the server's is worth a word: own choice.
ASTRAY = timedelta(minutes=2)


class Held(Fact):
    """A held entry. It stands until it is settled; the entry that settled it is `withdrawn_by`."""

    site = models.ForeignKey("kitchen.Site", on_delete=models.PROTECT, related_name="held")
    of = models.UUIDField(unique=True)
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True, related_name="held")
    address = models.CharField(max_length=200)
    words = models.CharField(max_length=300)
    why = models.TextField()
    again = models.BooleanField()

    def __str__(self) -> str:
        return self.words


class Arrival(Fact):
    """An entry that was kept on a tablet and sent later. `at` is when it was made, on the server's clock."""

    of = models.UUIDField(unique=True)
    tablet_time = models.DateTimeField()
    ahead_s = models.DecimalField(max_digits=12, decimal_places=3)
    ahead_on_arrival_s = models.DecimalField(max_digits=12, decimal_places=3)
    content = models.CharField(max_length=64)
    tablet = models.CharField(max_length=40, blank=True)

    def __str__(self) -> str:
        return f"{self.of} from {self.tablet}"

    @property
    def words(self) -> str:
        """What the trail says of it."""
        said = f"kept on {self.tablet or 'a tablet'} without network"
        ahead = timedelta(seconds=float(self.ahead_s))
        if abs(ahead) >= ASTRAY:
            astray = f"{moments.span(abs(ahead))} {'ahead' if ahead > timedelta(0) else 'behind'}"
            said += f"; its clock was {astray}, which is put right here"
        moved = timedelta(seconds=float(self.ahead_on_arrival_s - self.ahead_s))
        if abs(moved) >= ASTRAY:
            said += f"; its clock was moved by {moments.span(abs(moved))} before it was sent"
        return said


def unsettled(site: Any) -> models.QuerySet[Held]:
    """The held entries of a site that nobody has settled."""
    return standing(Held.objects.filter(site=site)).select_related("entry__person", "batch", "site")


def hindrances(batch: Batch) -> list[str]:
    """What a held entry has against signing its batch."""
    waiting = standing(Held.objects.filter(batch=batch)).count()
    if not waiting:
        return []
    return [f"{waiting} held {'entry waits' if waiting == 1 else 'entries wait'} to be settled."]


def arrivals(entries: Iterable[Entry]) -> dict[UUID, Arrival]:
    """How those of these entries that came from an outbox arrived, by the entry's id."""
    ids = [entry.pk for entry in entries]
    return {each.of: each for each in Arrival.objects.filter(of__in=ids)}
