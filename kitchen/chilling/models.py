"""Chills: bags into a chiller, its readings, bags out of it."""

from __future__ import annotations

from django.db import models

from kitchen.batches.models import Bag
from kitchen.equipment.models import Chiller, Probe
from kitchen.ledger.models import Fact


class ChillIn(Fact):
    """A bag went into ice slurry, a blast chiller or running water."""

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="chill_ins")
    chiller = models.ForeignKey(Chiller, on_delete=models.PROTECT, related_name="bag_ins")


class ChillOut(Fact):
    """A bag came out of its chiller."""

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="chill_outs")
    chiller = models.ForeignKey(Chiller, on_delete=models.PROTECT, related_name="bag_outs")


class ChillReading(Fact):
    """A temperature of a chiller's medium."""

    chiller = models.ForeignKey(Chiller, on_delete=models.PROTECT, related_name="readings")
    celsius = models.DecimalField(max_digits=6, decimal_places=2)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, related_name="+")
