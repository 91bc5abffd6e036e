"""Forms of the law room: a change of regime, a limit that is put in force or taken out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from django import forms

from haccp.limits import regimes
from kitchen.base.forms import EntryForm
from kitchen.law.effects import failing_under
from kitchen.people.regime import names


def regime_choices() -> list[tuple[str, Any]]:
    """The regimes that a site may have: each with its local layers under it. Not every file is one."""
    called = names()
    asked = {key: each for key, each in regimes().items() if each.sites}
    choices: list[tuple[str, Any]] = []
    for key, each in asked.items():
        if not each.over:
            layers = [(other, called[other]) for other, layer in asked.items() if layer.over == key]
            choices.append((each.name, [(key, called[key]), *layers]) if layers else (key, called[key]))
    return sorted(choices, key=lambda each: each[0] if isinstance(each[1], list) else each[1])


class RegimeForm(EntryForm):
    """From a day on, other limits apply here."""

    backdated = False
    submit = "Change the regime"
    regime = forms.ChoiceField(
        help_text="Whose limits apply where this kitchen is, with the local layer if there is one."
    )
    from_day = forms.DateField(
        label="First day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Batches that are begun before keep the limits of their day.",
    )
    reason = forms.CharField(widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["regime"].choices = [("", "choose"), *regime_choices()]  # type: ignore[attr-defined]
        self.fields["from_day"].initial = today
        self.fields["sure"].label = "Change it all the same"

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """The signed methods that would fail under it."""
        for each in failing_under(self.site, cleaned["regime"], cleaned["from_day"]):
            yield "regime", f"{each.method} would fail there: {' '.join(each.failing)}"


class ChoiceForm(EntryForm):
    """A limit that ships switched off is put in force, or taken out again."""

    backdated = False
    reason = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 3}), help_text="Such as who asks for it, and since when."
    )

    def __init__(self, *args: Any, submit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.submit = submit
