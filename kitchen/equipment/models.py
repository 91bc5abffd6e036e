"""Baths, chillers, fridges, and the probes that read them."""

from __future__ import annotations

from django.db import models

from kitchen.ledger.models import Entry, Fact
from kitchen.people.models import Site


class Probe(models.Model):
    """A thermometer. `tolerance_k` is how far from the truth it may be when its checks hold."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="probes")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=40)
    serial = models.CharField("serial number", max_length=40, blank=True)
    tolerance_k = models.DecimalField("tolerance", max_digits=4, decimal_places=2)
    out_of_use = models.BooleanField(default=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "name"], name="probe_site_name")]
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ProbeCheck(Fact):
    """What a probe read in melting ice or boiling water."""

    class Medium(models.TextChoices):
        """Where a probe is checked."""

        ICE = "ice", "melting ice"
        BOILING = "boiling", "boiling water"

    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, related_name="checks")
    medium = models.CharField(max_length=8, choices=Medium)
    celsius = models.DecimalField(max_digits=6, decimal_places=2)
    passed = models.BooleanField()
    limit = models.CharField(max_length=40)
    sentence = models.CharField(max_length=300)


class Place(models.Model):
    """What baths, chillers and fridges have in common: a name, a medium, a probe that reads it."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="%(class)ss")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=40)
    medium = models.CharField(max_length=20)
    probe = models.ForeignKey(Probe, on_delete=models.PROTECT, null=True, related_name="+")
    every_min = models.PositiveSmallIntegerField("a reading every (min)")

    class Meta:
        abstract = True
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Bath(Place):
    """A temperature-controlled water bath. The two rates are the greatest that its water can do."""

    volume_l = models.DecimalField("volume", max_digits=5, decimal_places=1)
    heater_w = models.PositiveIntegerField("power of the heater", null=True)
    band_k = models.DecimalField("band around the set point", max_digits=3, decimal_places=1)
    fall_k_per_min = models.DecimalField("greatest fall", max_digits=5, decimal_places=3)
    rise_k_per_min = models.DecimalField("greatest rise", max_digits=5, decimal_places=3)


class Chiller(Place):
    """An ice slurry, a blast chiller, a sink of running water."""


class Fridge(Place):
    """A fridge or freezer in which bags are stored, with its band."""

    low_c = models.DecimalField("lowest", max_digits=4, decimal_places=1)
    high_c = models.DecimalField("highest", max_digits=4, decimal_places=1)
