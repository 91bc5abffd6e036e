"""How a bag leaves: a second cook, served, or discarded."""

from __future__ import annotations

from django.db import models

from kitchen.batches.models import Bag
from kitchen.ledger.models import Fact


class Finish(Fact):
    """What became of a bag."""

    class Kind(models.TextChoices):
        """The ways in which a bag leaves the store."""

        SECOND_COOK = "second cook", "second cook"
        SERVED = "served", "served"
        DISCARDED = "discarded", "discarded"

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="finishes")
    kind = models.CharField(max_length=12, choices=Kind)
    note = models.CharField(max_length=200, blank=True)
    portions = models.PositiveSmallIntegerField(null=True)
