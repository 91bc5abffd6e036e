"""Forms of the HACCP plan: its signature, the walk along its diagrams, a competence."""

from __future__ import annotations

from typing import Any

from django import forms

from kitchen.base.forms import EntryForm
from kitchen.people.models import Person

PASSWORD = forms.PasswordInput(attrs={"autocomplete": "current-password"})


class IssueForm(EntryForm):
    """The head chef signs with their password, so that a tablet left open signs nothing."""

    backdated = False
    submit = "Sign this plan"
    seen = forms.CharField(widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why it is issued",
        max_length=200,
        required=False,
        help_text="Such as: first version; new dish; fridge replaced; yearly review.",
    )
    password = forms.CharField(label="Your password", widget=PASSWORD)


class WalkForm(EntryForm):
    """Someone walked the diagrams through the kitchen."""

    submit = "The diagrams are as the work is done"
    flows = forms.CharField(widget=forms.HiddenInput)


class CompetenceForm(EntryForm):
    """What a person was taught, and what shows it."""

    backdated = False
    submit = "Keep"
    person = forms.ModelChoiceField(Person.objects.none(), empty_label="choose")
    words = forms.CharField(
        label="Taught what, when, shown by",
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Such as: HACCP level 3, May 2026, certificate 1234. It replaces what stood here.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Person.objects.filter(site=self.site, is_active=True).order_by("name")
        self.fields["person"].queryset = people  # type: ignore[attr-defined]
