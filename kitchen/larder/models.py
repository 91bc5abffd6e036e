"""Lots, and how they were closed."""

from __future__ import annotations

from django.db import models

from kitchen.equipment.models import Probe
from kitchen.ledger.models import Fact
from kitchen.people.models import Site


class Lot(Fact):
    """What one supplier delivered under one code."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="lots")
    code = models.CharField(max_length=40)
    product = models.CharField(max_length=80)
    supplier = models.CharField(max_length=80)
    material = models.CharField(max_length=20)
    use_by = models.DateField(null=True)
    grams = models.PositiveIntegerField("weight", null=True)
    celsius = models.DecimalField("temperature at delivery", max_digits=5, decimal_places=2, null=True)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, null=True, related_name="+")
    allergens = models.CharField(max_length=200, blank=True)
    condition = models.CharField(max_length=200, blank=True)
    accepted = models.BooleanField(default=True)
    reason = models.CharField(max_length=200, blank=True, default="")
    attributes = models.JSONField(default=list)

    class Meta(Fact.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["site", "code"], condition=models.Q(withdrawn_by__isnull=True), name="lot_site_code"
            )
        ]

    def __str__(self) -> str:
        return f"{self.product}, lot {self.code}"


class LotClosed(Fact):
    """Nothing of a lot is left."""

    class How(models.TextChoices):
        """What became of the last of it."""

        USED_UP = "used up", "used up"
        DISCARDED = "discarded", "discarded"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="closings")
    how = models.CharField(max_length=12, choices=How)
    note = models.CharField(max_length=200, blank=True)


class LotThawed(Fact):
    """A lot was thawed through; `at` is when it was. `celsius` is the food's, `water_c` that of the water."""

    class How(models.TextChoices):
        """Where it was thawed."""

        FRIDGE = "in the fridge", "in the fridge"
        WATER = "in running water", "in running water"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="thaws")
    how = models.CharField(max_length=20, choices=How)
    begun_at = models.DateTimeField()
    celsius = models.DecimalField("temperature of the food", max_digits=5, decimal_places=2, null=True)
    water_c = models.DecimalField("temperature of the water", max_digits=5, decimal_places=2, null=True)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, null=True, related_name="+")
    pack_open = models.BooleanField(null=True)


class LotFrozen(Fact):
    """What a supplier's paper says of a lot that was frozen so that parasites die, or that it is exempt."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="freezings")
    statement = models.CharField("reference of the paper", max_length=120)
    celsius = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    hours = models.DecimalField(max_digits=6, decimal_places=1, null=True)
    solid_c = models.DecimalField("until solid at", max_digits=5, decimal_places=1, null=True)
    exempt = models.BooleanField(default=False)
