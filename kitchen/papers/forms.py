"""The File's filter."""

from __future__ import annotations

from typing import Any

from django import forms

from kitchen.base.forms import EntryForm
from kitchen.methods.models import Dish


class FilterForm(forms.Form):
    """Which batches to list: a period, a dish."""

    first = forms.DateField(
        label="Made from", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    last = forms.DateField(
        label="to", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    dish = forms.ModelChoiceField(Dish.objects.none(), required=False, empty_label="all dishes")

    def __init__(self, *args: Any, site: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["dish"].queryset = Dish.objects.filter(site=site)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """The period runs forward."""
        cleaned = super().clean() or {}
        first, last = cleaned.get("first"), cleaned.get("last")
        if first and last and last < first:
            self.add_error("last", "The period ends before it begins. Change one of the two days.")
        return cleaned


class PrintForm(EntryForm):
    """A print asks nothing; it is an entry all the same."""

    backdated = False
    submit = "Print"
