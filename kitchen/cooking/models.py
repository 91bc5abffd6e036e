"""Bath logs, bags in and out, core checks."""

from __future__ import annotations

from django.db import models

from kitchen.batches.models import Bag
from kitchen.equipment.models import Bath, Probe
from kitchen.ledger.models import Entry, Fact


class BathLog(models.Model):
    """One run of a bath at a set point: its readings and the bags in it."""

    bath = models.ForeignKey(Bath, on_delete=models.PROTECT, related_name="logs")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    set_point_c = models.DecimalField("set point", max_digits=4, decimal_places=1)
    started_at = models.DateTimeField()
    ended = models.ForeignKey(Entry, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-started_at"]

    def __str__(self) -> str:
        return f"{self.bath.name} at {self.set_point_c}"


class BathReading(Fact):
    """A temperature of a bath. `probe` read it; rows of a logger file carry no probe check of their own."""

    bath_log = models.ForeignKey(BathLog, on_delete=models.PROTECT, related_name="readings")
    celsius = models.DecimalField(max_digits=6, decimal_places=2)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, related_name="+")
    from_file = models.BooleanField(default=False)

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["bath_log", "at"], name="bathreading_log_at")]


class LogBreak(Fact):
    """A moment across which the rows of a logger file are never joined."""

    bath_log = models.ForeignKey(BathLog, on_delete=models.PROTECT, related_name="breaks")


class BagIn(Fact):
    """A bag went into a bath."""

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="bath_ins")
    bath_log = models.ForeignKey(BathLog, on_delete=models.PROTECT, related_name="bag_ins")


class BagOut(Fact):
    """A bag came out of its bath."""

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="bath_outs")
    bath_log = models.ForeignKey(BathLog, on_delete=models.PROTECT, related_name="bag_outs")


class CoreCheck(Fact):
    """A core temperature that was probed, during the cook, the chill or the finish."""

    class Step(models.TextChoices):
        """When the core was probed."""

        COOK = "cook", "cook"
        CHILL = "chill", "chill"
        FINISH = "finish", "finish"

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="core_checks")
    step = models.CharField(max_length=6, choices=Step)
    celsius = models.DecimalField(max_digits=6, decimal_places=2)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, related_name="+")
