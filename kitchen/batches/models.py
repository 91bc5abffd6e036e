"""Batches and bags: where everything meets."""

from __future__ import annotations

from django.db import models

from haccp.limits import Ruleset
from kitchen.larder.models import Lot
from kitchen.ledger.models import Entry, Fact
from kitchen.methods.models import Method
from kitchen.people.models import Site
from kitchen.people.regime import rules_under


class Batch(models.Model):
    """Bags made together from the same lots, to one method, on one day.

    It keeps the regime of its day and the limits that were chosen by then, whatever comes later.
    """

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="batches")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    code = models.CharField(max_length=20)
    method = models.ForeignKey(Method, on_delete=models.PROTECT, related_name="batches")
    made_on = models.DateField()
    regime = models.CharField(max_length=12)
    chosen = models.JSONField("limits that were chosen", default=list)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "code"], name="batch_site_code")]
        ordering = ["-made_on", "-pk"]
        verbose_name_plural = "batches"

    def __str__(self) -> str:
        return self.code

    @property
    def dish(self) -> str:
        """The name of the dish."""
        return self.method.dish.name

    @property
    def rules(self) -> Ruleset:
        """The critical limits by which it is judged."""
        return rules_under(self.regime, self.made_on, self.chosen)


class BatchLot(Fact):
    """A lot that went into a batch."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="lots")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")


class Bag(models.Model):
    """One sealed bag: the unit that is cooked, stored, served or discarded."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="bags")
    number = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["batch", "number"], name="bag_batch_number")]
        ordering = ["batch", "number"]

    def __str__(self) -> str:
        return f"{self.batch.code}/{self.number}"


class Sealing(Fact):
    """A bag as it was sealed: what is in it, how thick, how cold, and what casts doubt on it."""

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="sealings")
    thickness_mm = models.DecimalField(max_digits=5, decimal_places=1)
    length_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    width_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    grams = models.PositiveIntegerField("weight", null=True)
    start_c = models.DecimalField("temperature of the food", max_digits=5, decimal_places=2)
    doubts = models.JSONField(default=list)


class BatchMeasured(Fact):
    """A figure that a meter or a laboratory gave of a batch; `quantity` is a word of the limits."""

    class Quantity(models.TextChoices):
        """What is measured, and its unit."""

        PH = "pH", "pH"
        WATER_ACTIVITY = "water_activity", "water activity"
        SALT = "salt_aqueous", "salt in its water (%)"
        NITRITE = "sodium_nitrite_residual", "nitrite left, as sodium nitrite (mg/kg)"
        NITRITE_ION = "nitrite_ion_residual", "nitrite left, as the nitrite ion (mg/kg)"
        HISTAMINE = "histamine", "histamine (mg/kg)"
        SULPHITES = "sulphur_dioxide", "sulphites, as sulphur dioxide (mg/kg)"

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="measured")
    quantity = models.CharField(max_length=30, choices=Quantity)
    value = models.DecimalField(max_digits=9, decimal_places=4)
    tolerance = models.DecimalField(max_digits=7, decimal_places=4, default=0)
    checked = models.BooleanField("meter checked that day")
