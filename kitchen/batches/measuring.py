"""The form for a figure that a meter or a laboratory gave of a batch."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms

from kitchen.base.fields import PadInput
from kitchen.base.layout import RowsForm
from kitchen.batches.models import Batch, BatchMeasured

# How many of the newest batches are offered.
NEWEST = 30
# What a figure can be: own choice, beyond it was probably typed with the decimal in the wrong place.
_USUAL = {"pH": (2, 9), "water_activity": (Decimal("0.5"), 1), "salt_aqueous": (0, 30)}


class MeasureForm(RowsForm):
    """One figure, with its meter's tolerance and whether the meter was checked that day."""

    submit = "Keep the figure"
    rows = (("value", "tolerance"),)
    batch = forms.ModelChoiceField(Batch.objects.none(), empty_label="choose")
    quantity = forms.ChoiceField(
        label="What", choices=BatchMeasured.Quantity.choices, initial="pH", widget=forms.RadioSelect
    )
    value = forms.DecimalField(
        label="Figure", min_value=0, max_digits=9, decimal_places=4, widget=PadInput(unit="")
    )
    tolerance = forms.DecimalField(
        label="Give or take",
        min_value=0,
        max_digits=7,
        decimal_places=4,
        required=False,
        widget=PadInput(unit=""),
    )
    checked = forms.BooleanField(
        label="The meter was checked today, or the laboratory says so",
        required=False,
        help_text="In a buffer or a reference salt; without it the figure proves nothing.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        mine = Batch.objects.filter(site=self.site)
        newest = list(mine.values_list("pk", flat=True)[:NEWEST])
        batches = mine.filter(pk__in=newest).select_related("method__dish")
        field = self.fields["batch"]
        field.queryset = batches  # type: ignore[attr-defined]
        field.label_from_instance = lambda batch: f"{batch.code}: {batch.dish}"  # type: ignore[attr-defined]
        self.order_fields(["batch", "quantity", "value", "tolerance", "checked", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A figure that no food has."""
        low, high = _USUAL.get(cleaned["quantity"], (0, 10_000))
        if not low <= cleaned["value"] <= high:
            yield "value", f"Food is between {low} and {high}. Is the decimal in its place?"
