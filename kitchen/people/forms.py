"""Forms for signing in and for tablets."""

from __future__ import annotations

from typing import Any

from django import forms

from kitchen.base.forms import EntryForm
from kitchen.people.models import Person, Site


class CookCodeForm(forms.Form):
    """Pick your name, type your code."""

    person = forms.ModelChoiceField(Person.objects.none(), error_messages={"required": "Pick your name."})
    code = forms.CharField(
        label="Cook code",
        max_length=12,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Type your cook code."},
    )

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.people = Person.objects.filter(site=site, is_active=True).exclude(cook_code="").order_by("name")
        self.fields["person"].queryset = self.people  # type: ignore[attr-defined]


class PasswordForm(forms.Form):
    """Sign-in name and password."""

    username = forms.CharField(label="Sign-in name", max_length=80)
    password = forms.CharField(widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}))


class TabletForm(EntryForm):
    """Name the device that is to sign cooks in by code."""

    backdated = False
    submit = "Enrol this tablet"
    name = forms.CharField(max_length=40, help_text="Such as the place where it hangs: by the baths.")
