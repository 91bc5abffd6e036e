"""Forms of the Pass: decide about bags, act on a deviation, sign."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from kitchen.base.forms import EntryForm
from kitchen.batches.models import Bag
from kitchen.review.models import Disposition


class DecisionForm(EntryForm):
    """What is to become of one bag or several, and why."""

    backdated = False
    submit = "Decide"
    bags = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick the bags that you decide about."},
    )
    decision = forms.ChoiceField(
        choices=Disposition.Decision.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose release, rework or discard."},
    )
    reason = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=1000,
        help_text="The officer reads it beside the decision.",
        error_messages={"required": "Give the reason: the officer reads it beside the decision."},
    )

    def __init__(self, *args: Any, bags: Sequence[Bag], notes: dict[int, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by_number = {str(bag.number): bag for bag in bags}
        self.fields["bags"].choices = [  # type: ignore[attr-defined]
            (number, f"{number} · {notes[bag.number]}" if bag.number in notes else number)
            for number, bag in self.by_number.items()
        ]

    def clean_bags(self) -> list[Bag]:
        """The bags behind the ticked numbers."""
        return [self.by_number[number] for number in self.cleaned_data["bags"]]


class ActionForm(EntryForm):
    """The corrective action on one deviation: its cause, what was done, what keeps it from coming again."""

    backdated = False
    submit = "Keep the corrective action"
    rule = forms.CharField(widget=forms.HiddenInput)
    cause = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=1000,
        error_messages={"required": "Say what caused it."},
    )
    action = forms.CharField(
        label="What was done about it",
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=1000,
        error_messages={"required": "Say what was done about it."},
    )
    prevention = forms.CharField(
        label="What keeps it from coming again",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=1000,
    )


class SignForm(EntryForm):
    """The password once more, under the meaning of the signature."""

    backdated = False
    submit = "Sign off"
    password = forms.CharField(
        label="Your password, once more",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Type your password: it is your signature."},
    )
