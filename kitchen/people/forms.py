"""Forms for signing in, for tablets and for people."""

from __future__ import annotations

from typing import Any

from django import forms

from kitchen.base.forms import EntryForm
from kitchen.people.models import Person, Site

DIGITS = "Four to eight digits, known to this person alone: let them type it."
CODE = forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off", "data-pad": "code"})


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


class CookForm(EntryForm):
    """Add a cook."""

    backdated = False
    submit = "Add the cook"
    name = forms.CharField(max_length=80, help_text="As it stands on the records.")
    code = forms.CharField(
        label="Staff code",
        max_length=8,
        help_text="Every entry carries it, so it is given once: K7, or initials.",
    )
    cook_code = forms.CharField(label="Cook code", max_length=8, widget=CODE, help_text=DIGITS)


class CookCodeChangeForm(EntryForm):
    """Another cook code for a person."""

    backdated = False
    submit = "Change the cook code"
    cook_code = forms.CharField(label="New cook code", max_length=8, widget=CODE, help_text=DIGITS)


class LeaveForm(EntryForm):
    """A person signs in no more, or again."""

    backdated = False

    def __init__(self, *args: Any, submit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.submit = submit
