"""Brines, and the stay of food in them."""

from __future__ import annotations

from django.db import models

from kitchen.batches.models import Batch
from kitchen.ledger.models import Fact
from kitchen.people.models import Site


class Brine(Fact):
    """A salt solution as it was made."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="brines")
    code = models.CharField(max_length=40)
    salt_g = models.DecimalField("salt", max_digits=8, decimal_places=1)
    water_g = models.DecimalField("water", max_digits=9, decimal_places=1)
    cure_g = models.DecimalField("curing salt", max_digits=8, decimal_places=2, null=True)
    nitrite_percent = models.DecimalField(
        "nitrite in the curing salt", max_digits=5, decimal_places=3, null=True
    )

    class Meta(Fact.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["site", "code"], condition=models.Q(withdrawn_by__isnull=True), name="brine_site_code"
            )
        ]

    def __str__(self) -> str:
        return f"brine {self.code}"


class BrineIn(Fact):
    """A batch went into a brine."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="brine_ins")
    brine = models.ForeignKey(Brine, on_delete=models.PROTECT, related_name="+")
    thickness_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    meat_g = models.DecimalField("weight of the food", max_digits=9, decimal_places=1, null=True)


class BrineOut(Fact):
    """A batch came out of its brine; *rinsed* in cold running water, *dried*."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="brine_outs")
    rinsed = models.BooleanField()
    dried = models.BooleanField()
