"""Forms at service: a second cook, serve, discard."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.db import transaction

from haccp.record import Outcome
from kitchen.base import moments
from kitchen.base.fields import PadInput, temperature_field
from kitchen.batches.forms import BagsForm, bags_in_words
from kitchen.equipment.models import Probe
from kitchen.finishing import actions
from kitchen.finishing.models import Finish
from kitchen.ledger.chain import Hand, taken_before


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


class ServiceForm(BagsForm):
    """Kept hot, or out at room temperature, until it is served; and how warm it is, now or later again."""

    verb = submit = "Hot hold"
    title = "Hot hold, or out at room temperature"
    how = forms.ChoiceField(
        label="How it is kept",
        choices=[
            ("hot", "hot"),
            ("cold out", "at room temperature, served cold"),
            ("hot out", "at room temperature, served hot"),
            ("read", "as before: only a reading"),
        ],
        initial="hot",
        widget=forms.RadioSelect,
    )
    marked = forms.BooleanField(
        label="Marked with the time to throw it away",
        required=False,
        help_text="Asked where the clock stands in place of the thermometer.",
    )
    probe = forms.ModelChoiceField(Probe.objects.none(), required=False, empty_label="not measured")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["celsius"] = temperature_field(
            "Temperature of the food", self.site.temperature_unit, low=3, high=75, required=False
        )
        self.fields["probe"].queryset = Probe.objects.filter(site=self.site, out_of_use=False)  # type: ignore[attr-defined]
        self.order_fields(["bags", "how", "celsius", "probe", "marked", "sure", "at"])

    def clean(self) -> dict[str, Any]:
        """A temperature comes from a probe, and a reading is one."""
        cleaned = super().clean()
        celsius = cleaned.get("celsius")
        if celsius is not None and not cleaned.get("probe") and "probe" not in self.errors:
            self.add_error("probe", "Say which probe was read: a reading without a probe proves nothing.")
        if cleaned.get("how") == "read" and celsius is None and "celsius" not in self.errors:
            self.add_error("celsius", "Type the temperature that was read.")
        return cleaned

    def keep(self, hand: Hand) -> str:
        """The stay, the reading, or both: both or neither is kept."""
        said, bags = self.cleaned_data, self.cleaned_data["bags"]
        how, celsius = said["how"], said["celsius"]
        served_as = {"cold out": "served cold", "hot out": "served hot"}.get(how, "")
        with transaction.atomic():
            resent = taken_before(hand) is not None
            if how != "read":
                actions.keep_for_service(
                    bags=bags,
                    kind="hot hold" if how == "hot" else "ambient",
                    served_as=served_as,
                    marked=said["marked"] or None,
                    hand=hand,
                    at=said["at"],
                )
            if celsius is not None and (how == "read" or not resent):
                actions.read_service(
                    bags=bags,
                    celsius=celsius,
                    probe=said["probe"],
                    hand=hand if how == "read" else hand.another(),
                    at=said["at"],
                )
        words = {"hot": "kept hot", "read": "read"}.get(how, "out at room temperature")
        return f"{bags_in_words(bags)}: {words}."
