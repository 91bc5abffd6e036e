"""Bags in fridges, and the fridges' readings."""

from __future__ import annotations

from django.db import models

from kitchen.batches.models import Bag
from kitchen.equipment.models import Fridge, Probe
from kitchen.ledger.models import Fact


class Stored(Fact):
    """A bag was put into a fridge; a later one for the same bag is a move."""

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="storings")
    fridge = models.ForeignKey(Fridge, on_delete=models.PROTECT, related_name="storings")


class FridgeReading(Fact):
    """A temperature of a fridge or freezer."""

    fridge = models.ForeignKey(Fridge, on_delete=models.PROTECT, related_name="readings")
    celsius = models.DecimalField(max_digits=6, decimal_places=2)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, related_name="+")
