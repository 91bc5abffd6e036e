"""Forms of the day plan."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from kitchen.base import moments
from kitchen.base.fields import MomentField, PadInput, mass_field
from kitchen.base.layout import RowsForm
from kitchen.methods.models import Method


class WantForm(RowsForm):
    """A dish, how many bags of it, how heavy, and when it is to be ready."""

    backdated = False
    submit = _("Put on the plan")
    rows = (("bags", "grams"),)
    bags = forms.IntegerField(
        label=_("Bags"), min_value=1, max_value=200, widget=PadInput(unit=_("bags"), low=1, high=40)
    )

    def __init__(self, *args: Any, site: Any, methods: list[Method], now: Any, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.methods = {str(each.pk): each for each in methods}
        choices = [(key, each.dish.name) for key, each in self.methods.items()]
        self.fields["method"] = forms.ChoiceField(label=_("Dish"), choices=choices)
        self.fields["grams"] = mass_field(_("Weight of one bag"))
        self.fields["ready_at"] = MomentField(
            site.timezone,
            label=_("Ready at"),
            required=True,
            help_text=_("For what is chilled: out of the chill by then."),
        )
        evening = moments.local(now, site.timezone) + timedelta(hours=6)
        self.fields["ready_at"].initial = evening.replace(minute=0, second=0, microsecond=0, tzinfo=None)
        self.order_fields(["method", "bags", "grams", "ready_at"])

    def clean_method(self) -> Method:
        """The method itself."""
        return self.methods[self.cleaned_data["method"]]

    def clean_grams(self) -> int:
        """Whole grams, of which there are some."""
        grams = self.cleaned_data["grams"]
        if grams < 1:
            raise forms.ValidationError(_("A bag weighs something: type its weight in grams."))
        return int(grams)


class DropForm(RowsForm):
    """Why a dish is taken off the plan."""

    backdated = False
    submit = _("Take off the plan")
    reason = forms.CharField(label=_("Reason"), max_length=200)
