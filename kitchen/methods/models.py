"""Dishes and the signed, versioned methods by which they are prepared."""

from __future__ import annotations

from django.db import models

from haccp.record import MethodFacts
from kitchen.ledger.models import Entry, Fact
from kitchen.people.models import Site


class Dish(models.Model):
    """What the guest is served."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="dishes")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=80)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "name"], name="dish_site_name")]
        ordering = ["name"]
        verbose_name_plural = "dishes"

    def __str__(self) -> str:
        return self.name


class Method(models.Model):
    """One version of how a dish is prepared, cooked, chilled and kept. Signed, it does not change."""

    dish = models.ForeignKey(Dish, on_delete=models.PROTECT, related_name="methods")
    version = models.PositiveSmallIntegerField()
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    signed = models.ForeignKey(Entry, on_delete=models.PROTECT, null=True, related_name="+")

    material = models.CharField(max_length=20)
    attributes = models.JSONField(default=list)
    shape = models.CharField(max_length=20)
    thickness_mm = models.DecimalField("usual thickness", max_digits=5, decimal_places=1)
    thickness_max_mm = models.DecimalField("greatest thickness", max_digits=5, decimal_places=1)
    thickness_tolerance_mm = models.DecimalField("thickness tolerance", max_digits=4, decimal_places=1)
    start_max_c = models.DecimalField("warmest start", max_digits=4, decimal_places=1)
    set_point_c = models.DecimalField("set point", max_digits=4, decimal_places=1)
    bath_min = models.PositiveSmallIntegerField("time in the bath")
    chill_medium = models.CharField(max_length=20, blank=True)
    life_days = models.PositiveSmallIntegerField("days kept, counted as the regime counts")
    brine_percent = models.DecimalField("brine strength", max_digits=4, decimal_places=1, null=True)
    brine_min = models.PositiveSmallIntegerField("time in the brine", null=True)
    allergens = models.CharField(max_length=200, blank=True)
    preparation = models.TextField(blank=True)
    finish = models.TextField("second cook", blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["dish", "version"], name="method_dish_version")]
        ordering = ["dish__name", "-version"]

    def __str__(self) -> str:
        return f"{self.dish.name}, version {self.version}"

    @property
    def facts(self) -> MethodFacts:
        """What a batch is judged against."""
        return MethodFacts(
            dish=self.dish.name,
            version=self.version,
            material=self.material,
            attributes=frozenset(self.attributes),
            set_point_c=float(self.set_point_c),
            bath_min=float(self.bath_min),
            thickness_max_mm=float(self.thickness_max_mm),
            start_max_c=float(self.start_max_c),
            chill_medium=self.chill_medium or None,
            life_days=self.life_days,
        )


class ApprovalPaper(models.Model):
    """The bytes of an approval's document, kept as they came; its entry names their digest."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="approval_papers")
    digest = models.CharField(max_length=64)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=40)
    content = models.BinaryField()
    kept_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "digest"], name="approvalpaper_site_digest")]

    def __str__(self) -> str:
        return self.name


class Approval(Fact):
    """An authority's word that this kitchen may work to other figures than its regime prints.

    `allows` lists, by limit, the figures allowed in place of the printed ones, in their units, as texts.
    It covers batches that were begun after it was recorded and before it was ended.
    """

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="approvals")
    dish = models.ForeignKey(Dish, on_delete=models.PROTECT, null=True, related_name="approvals")
    authority = models.CharField(max_length=120)
    reference = models.CharField(max_length=120)
    day = models.DateField("granted on")
    until = models.DateField("last day", null=True)
    scope = models.JSONField(default=list)
    allows = models.JSONField(default=list)
    note = models.TextField(blank=True)
    paper = models.ForeignKey(ApprovalPaper, on_delete=models.PROTECT, null=True, related_name="+")
    ended = models.ForeignKey(Entry, on_delete=models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.authority}, {self.reference}"
