"""Forms for approvals: to record one, to end one, to take back one that was a mistake."""

from __future__ import annotations

from typing import Any

from django import forms

from haccp.limits import Limit
from haccp.words import TOPICS
from kitchen.base.fields import PadInput
from kitchen.base.forms import EntryForm
from kitchen.base.layout import RowsForm
from kitchen.methods.actions import MOST_BYTES
from kitchen.methods.models import Method

ROWS = (1, 2, 3)
OURS, EVERY = "this", "every"


def _day(label: str, **kwargs: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, **kwargs)


def _figure(label: str, help_text: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        max_digits=9,
        decimal_places=3,
        widget=PadInput(unit=""),
        help_text=help_text,
    )


class ApprovalForm(RowsForm):
    """What an authority allows this kitchen beside what is printed."""

    backdated = False
    submit = "Record the approval"
    rows = (("day", "until"), *((f"limit_{n}", f"value_{n}", f"hold_{n}") for n in ROWS))

    authority = forms.CharField(max_length=120, help_text="Who approved it, as on the paper.")
    reference = forms.CharField(max_length=120, help_text="Number or date by which they find it.")
    day = _day("Granted on")
    until = _day("Last day", required=False, help_text="Blank: until it is taken back.")
    for_dish = forms.ChoiceField(label="For which dish", widget=forms.RadioSelect, initial=OURS)
    scope = forms.MultipleChoiceField(
        label="Only where the food is",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="As the approval says. A food must be all that is ticked.",
    )
    note = forms.CharField(
        label="Conditions",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What the approval asks of the kitchen in return.",
    )
    paper = forms.FileField(
        label="The paper itself",
        required=False,
        help_text="A PDF, a PNG or a JPEG of at most 10 MB; it is kept as it came.",
    )

    def __init__(self, *args: Any, method: Method, limits: list[Limit], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.limits = {each.id: each for each in limits}
        self.fields["for_dish"].choices = [  # type: ignore[attr-defined]
            (OURS, f"{method.dish.name} alone"),
            (EVERY, "every dish of this kitchen to which it applies"),
        ]
        self.fields["scope"].choices = [(each, each) for each in method.attributes]  # type: ignore[attr-defined]
        if not method.attributes:
            del self.fields["scope"]
        topics: dict[str, list[tuple[str, str]]] = {}
        for each in limits:
            words = f"{each.id}: {each.printed[:60]}"
            topics.setdefault(TOPICS[each.topic], []).append((each.id, words))
        choices = [("", "choose"), *topics.items()]
        for n in ROWS:
            later = "" if n == 1 else " (another)"
            self.fields[f"limit_{n}"] = forms.ChoiceField(
                label=f"Limit{later}", choices=choices, required=n == 1
            )
            self.fields[f"value_{n}"] = _figure("Allowed figure", "In the unit of the limit.")
            self.fields[f"hold_{n}"] = _figure("Allowed hold", "In the unit of the limit, where it has one.")
        self.order_fields(
            [
                *("authority", "reference", "day", "until"),
                *(f"{name}_{n}" for n in ROWS for name in ("limit", "value", "hold")),
                *("for_dish", "scope", "note", "paper"),
            ]
        )

    def clean_paper(self) -> Any:
        """A file that is small enough to be kept."""
        paper = self.cleaned_data.get("paper")
        if paper and paper.size > MOST_BYTES:
            raise forms.ValidationError("That file is larger than 10 MB. Keep a smaller scan of it.")
        return paper

    def clean(self) -> dict[str, Any]:
        """Figures stand beside a limit, and beside one that has such a figure."""
        cleaned = super().clean()
        for n in ROWS:
            limit = self.limits.get(cleaned.get(f"limit_{n}") or "")
            typed = [name for name in ("value", "hold") if cleaned.get(f"{name}_{n}") is not None]
            if typed and limit is None and f"limit_{n}" not in self.errors:
                self.add_error(f"limit_{n}", "Choose the limit that these figures are about.")
            if limit is None:
                continue
            if limit.value is not None and not typed:
                self.add_error(f"value_{n}", f"Type the figure that is allowed in place of {limit.printed}.")
            if limit.value is None and typed:
                self.add_error(f"{typed[0]}_{n}", "This limit is a duty in words: leave its figures blank.")
            if limit.value is not None and limit.hold is None and "hold" in typed:
                self.add_error(f"hold_{n}", "This limit prints no hold: leave it blank.")
        return cleaned

    def allows(self) -> list[dict[str, Any]]:
        """What was typed, limit by limit."""
        said = self.cleaned_data
        return [
            {"limit": said[f"limit_{n}"], "value": said[f"value_{n}"], "hold": said[f"hold_{n}"]}
            for n in ROWS
            if said.get(f"limit_{n}")
        ]


class EndForm(EntryForm):
    """An approval ends, or never held."""

    backdated = False
    reason = forms.CharField(widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, submit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.submit = submit
