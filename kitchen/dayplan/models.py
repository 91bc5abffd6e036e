"""What the head chef wants ready, and when."""

from __future__ import annotations

from django.db import models

from kitchen.ledger.models import Fact
from kitchen.methods.models import Method
from kitchen.people.models import Site


class DishWanted(Fact):
    """Bags of one dish that are to be ready at a moment; `at` is when it was written."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="dishes_wanted")
    method = models.ForeignKey(Method, on_delete=models.PROTECT, related_name="+")
    bags = models.PositiveSmallIntegerField()
    grams = models.PositiveIntegerField("weight of a bag")
    ready_at = models.DateTimeField(db_index=True)

    class Meta(Fact.Meta):
        ordering = ["ready_at", "pk"]

    def __str__(self) -> str:
        return f"{self.bags} × {self.method.dish.name}"
