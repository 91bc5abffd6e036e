"""Versions of the HACCP plan, and what a plan needs that nothing else in the kitchen records."""

from __future__ import annotations

from typing import Any

from django.db import models

from kitchen.ledger.models import Entry, Fact
from kitchen.people.models import Person, Site


class PlanVersion(models.Model):
    """A signed version of the plan. Its whole content stands in its entry and never changes."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="plans")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveSmallIntegerField()
    digest = models.CharField(max_length=64)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "version"], name="plan_site_version")]
        ordering = ["-version"]

    def __str__(self) -> str:
        return f"HACCP plan, version {self.version}"

    @property
    def content(self) -> dict[str, Any]:
        """What was signed."""
        content: dict[str, Any] = self.entry.said["content"]
        return content


class FlowConfirmed(Fact):
    """Someone walked the flow diagrams through the kitchen, and they were as drawn."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="+")
    flows = models.CharField("digest of the diagrams", max_length=64)


class Competence(Fact):
    """What a person of the team was taught, and what shows it."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    words = models.CharField(max_length=300)
