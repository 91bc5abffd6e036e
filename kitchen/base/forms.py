"""The form behind every entry: when, the entry's own id, and questions before a doubtful value is kept."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from kitchen.base.fields import MomentField
from kitchen.base.ids import new_id

FOLDS = [("0", "the first time (before the clocks went back)"), ("1", "the second time")]


class EntryForm(forms.Form):
    """A form whose acceptance makes one entry.

    A subclass may yield questions: a doubtful value comes back with its question, and is
    kept when *it is right as typed* was ticked. Nothing is changed by itself.
    """

    submit = "Keep"
    backdated = True
    # Whether a blank moment means the moment at which the form is filled in.
    blank_is_now = True
    # Whether the questions are about doing it, not about what was typed: afterwards they come too late.
    before_doing = False
    # When it was filled in, for a form that comes from an outbox; None on a page, where that is now.
    made_at: datetime | None = None

    entry_id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    sure = forms.BooleanField(label="It is right as typed", required=False)
    fold = forms.ChoiceField(
        label="Which of the two", choices=FOLDS, required=False, widget=forms.RadioSelect
    )

    def __init__(self, *args: Any, site: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.site = site
        self.asked = False
        self.fields["entry_id"].initial = new_id
        if self.backdated:
            self.moment = self.fields["at"] = MomentField(site.timezone)
            fold = self.data.get(self.add_prefix("fold")) if self.is_bound else None
            self.moment.fold = int(fold) if fold in ("0", "1") else None
        self.order_fields([name for name in self.fields if name not in ("sure", "fold", "at")])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """Doubts about what was typed, as (field, question)."""
        yield from ()

    def clean(self) -> dict[str, Any]:
        """Ask about what is doubtful, unless it was confirmed."""
        cleaned = super().clean() or {}
        if self.made_at and self.blank_is_now and "at" in cleaned:
            cleaned["at"] = cleaned["at"] or self.made_at
        done = self.made_at is not None and self.before_doing
        if not self.errors and not cleaned.get("sure") and not done:
            for field, question in self.questions(cleaned):
                self.asked = True
                self.add_error(field, question)
        return cleaned

    @property
    def helper(self) -> FormHelper:
        """How crispy draws it; the two extra fields show only when they are needed."""
        helper = FormHelper(self)
        helper.form_tag = False
        helper.disable_csrf = True
        hidden = set()
        if not self.asked and not self.data.get(self.add_prefix("sure")):
            hidden.add("sure")
        if not (self.backdated and self.moment.ambiguous):
            hidden.add("fold")
        helper.layout.fields = [name for name in self.fields if name not in hidden]
        return helper
