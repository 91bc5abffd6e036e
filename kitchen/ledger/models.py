"""The ledger: one table of entries, one chain per site.

An entry is one thing that someone did or read, as it was told. It is never changed; the
database refuses it (`guards`) and the chain of digests shows it (`verification`). Everything
else that the kitchen knows is a *fact*: a row that an entry put there and that the entries
can put there again.
"""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings
from django.db import models

from kitchen.base.ids import new_id


class EntryQuerySet(models.QuerySet["Entry"]):
    """Ways to ask for entries."""

    def of_site(self, site: Any) -> EntryQuerySet:
        """The entries of one site, in the order of its chain."""
        return self.filter(site=site).order_by("seq")


class Entry(models.Model):
    """One link of a site's chain. `body` is the canonical JSON that was hashed."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    site = models.ForeignKey("kitchen.Site", on_delete=models.PROTECT, related_name="entries")
    seq = models.PositiveBigIntegerField()
    kind = models.CharField(max_length=40)
    body = models.TextField()
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    previous = models.CharField(max_length=64, unique=True)
    digest = models.CharField(max_length=64, unique=True)

    objects = EntryQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "seq"], name="entry_site_seq")]
        indexes = [models.Index(fields=["site", "kind", "happened_at"], name="entry_site_kind_happened")]
        verbose_name_plural = "entries"

    def __str__(self) -> str:
        return f"{self.kind} no. {self.seq}"

    @property
    def said(self) -> dict[str, Any]:
        """What was told: the payload, as plain JSON values."""
        said: dict[str, Any] = json.loads(self.body)["said"]
        return said

    @property
    def delay_minutes(self) -> int:
        """How long after the event the entry was made, in whole minutes."""
        return round((self.recorded_at - self.happened_at).total_seconds() / 60)


class Fact(models.Model):
    """A row that an entry put there. A corrected one stays, with the entry that withdrew it."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(db_index=True)
    withdrawn_by = models.ForeignKey(Entry, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        abstract = True
        ordering = ["at", "pk"]


def standing(queryset: models.QuerySet[Any]) -> models.QuerySet[Any]:
    """The facts that no correction has withdrawn."""
    return queryset.filter(withdrawn_by__isnull=True)
