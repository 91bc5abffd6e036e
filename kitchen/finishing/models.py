"""How a bag leaves: a second cook, served, or discarded."""

from __future__ import annotations

from django.db import models

from kitchen.batches.models import Bag
from kitchen.equipment.models import Probe
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


class KeptForService(Fact):
    """A bag's food is kept hot, or stands at room temperature, from now until it is served or moved."""

    class Kind(models.TextChoices):
        """How it is kept."""

        HOT = "hot hold", "hot hold"
        AMBIENT = "ambient", "at room temperature"

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="services")
    kind = models.CharField(max_length=12, choices=Kind)
    served_as = models.CharField(max_length=12, blank=True)
    marked = models.BooleanField("marked with the time to throw it away", null=True)


class ServiceReading(Fact):
    """A temperature of food that is kept for service."""

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="service_readings")
    celsius = models.DecimalField(max_digits=6, decimal_places=2)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, related_name="+")
