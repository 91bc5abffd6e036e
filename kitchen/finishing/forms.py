"""Forms at service: a second cook, serve, discard."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms

from haccp.record import Outcome
from kitchen.base import moments
from kitchen.base.fields import PadInput
from kitchen.batches.forms import BagsForm, bags_in_words
from kitchen.finishing import actions
from kitchen.finishing.models import Finish
from kitchen.ledger.chain import Hand


class FinishForm(BagsForm):
    """What becomes of bags; `kind` says which way they leave."""

    kind = Finish.Kind.SERVED
    note = forms.CharField(max_length=200, required=False)

    def keep(self, hand: Hand) -> str:
        """Log it."""
        said = self.cleaned_data
        actions.finish_bags(
            bags=said["bags"],
            kind=self.kind,
            note=said["note"],
            portions=said.get("portions"),
            hand=hand,
            at=said["at"],
        )
        return f"{bags_in_words(said['bags'])}: {self.kind.label}."


class SecondCookForm(FinishForm):
    """Roast, fry or grill at service."""

    kind = Finish.Kind.SECOND_COOK
    verb = submit = "Second cook"
    title = "Second cook"


class ServeForm(FinishForm):
    """Serve bags."""

    verb = submit = "Serve"
    consent = "Yes, served all the same"
    title = "Serve"
    portions = forms.IntegerField(
        min_value=1, max_value=500, required=False, widget=PadInput(unit="portions")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["bags", "portions", "note", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """Past its use-by, or outside a limit."""
        day = moments.local(cleaned.get("at") or moments.now(), self.site.timezone).date()
        for pick in self.chosen:
            name = f"Bag {pick.bag.number}"
            if pick.use_by and pick.use_by < day:
                last = f"{pick.use_by:%a} {pick.use_by.day} {pick.use_by:%b}"
                yield "bags", f"{name} was to be used by {last}. Discard it, or ask the head chef."
            elif pick.outcome in (Outcome.FAILS, Outcome.UNPROVEN):
                yield "bags", f"{name}: {pick.outcome}. Ask the head chef before it is served."


class DiscardForm(FinishForm):
    """Discard bags, and say why."""

    kind = Finish.Kind.DISCARDED
    verb = submit = "Discard"
    title = "Discard"
    note = forms.CharField(
        label="Why", max_length=200, error_messages={"required": "Say why it is discarded."}
    )
