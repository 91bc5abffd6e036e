"""Correct an entry of a batch: the old value in sight, the new one, and the reason."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms

from haccp import units
from kitchen.base import moments
from kitchen.base.fields import length_field, temperature_field
from kitchen.base.forms import EntryForm
from kitchen.bench.order import out_of_order
from kitchen.chilling.forms import EXPECTED
from kitchen.cooking.forms import ABOVE_K, BELOW_K, CORE_EXPECTED
from kitchen.cooking.models import BathLog, CoreCheck
from kitchen.equipment.models import Chiller, Fridge, Probe
from kitchen.equipment.readings import Expected
from kitchen.ledger.chain import Hand, taken_before
from kitchen.ledger.corrections import correct, kind_and_said
from kitchen.ledger.models import Entry
from kitchen.review.trail import Line
from kitchen.storing import forms as storing

READINGS = ("bath.read", "core.check", "chill.read", "fridge.read")
MOVES = ("bags.in", "bags.out", "chill.in", "chill.out", "bags.store", "bags.finish", "brine.in", "brine.out")
KINDS = (*READINGS, *MOVES, "bags.seal")


def may_correct(line: Line, again: str = "") -> bool:
    """Whether a line of a trail can be corrected at the Bench; `again` is the id of a form that is resent."""
    kind, said = kind_and_said(line.entry)
    newest = line.corrected_by is None or str(line.corrected_by.pk) == again
    return kind in KINDS and said is not None and newest


def expected_of(entry: Entry) -> Expected:
    """What the reading of an entry should have been."""
    kind, said = kind_and_said(entry)
    if kind == "bath.read":
        log = BathLog.objects.select_related("bath").get(entry_id=UUID(said["log"]))
        return Expected.around(float(log.set_point_c), float(log.bath.band_k), BELOW_K, ABOVE_K)
    if kind == "chill.read":
        return EXPECTED[Chiller.objects.get(site=entry.site, name=said["chiller"]).medium]
    if kind == "fridge.read":
        return storing.expected_of(Fridge.objects.get(site=entry.site, name=said["fridge"]))
    return CORE_EXPECTED[CoreCheck.Step(said["step"])]


class CorrectForm(EntryForm):
    """What is left blank stays as it was."""

    submit = "Correct"
    blank_is_now = False
    withdraw = forms.BooleanField(label="It should not have been made at all", required=False)
    reason = forms.CharField(
        max_length=300,
        help_text="It is printed beside the old value.",
        error_messages={"required": "Say why it is corrected: the reason is printed beside the old value."},
    )

    def __init__(self, *args: Any, entry: Entry, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entry = entry
        self.kind, self.old = kind_and_said(entry)
        was = moments.clock(entry.happened_at, self.site.timezone)
        self.fields["at"].help_text = f"It was {was}. Leave blank to keep it."
        if self.kind in READINGS:
            self._add_reading()
        elif self.kind == "bags.seal":
            self._add_sealing()
        figures = ["celsius", "probe", "thickness_mm", "start_c"]
        self.order_fields([*figures, "at", "fold", "withdraw", "sure", "reason"])

    def _shown(self, celsius: str) -> str:
        return units.format_temperature(float(celsius), self.site.temperature_unit)

    def _add_reading(self) -> None:
        self.expected = expected_of(self.entry)
        self.fields["celsius"] = temperature_field(
            "Temperature",
            self.site.temperature_unit,
            low=self.expected.low,
            high=self.expected.high,
            required=False,
            help_text=f"It was {self._shown(self.old['celsius'])}. Leave blank to keep it.",
        )
        self.fields["probe"] = forms.ModelChoiceField(
            Probe.objects.filter(site=self.site),
            to_field_name="name",
            initial=self.old["probe"],
        )

    def _add_sealing(self) -> None:
        self.fields["thickness_mm"] = length_field(
            "Thickness at the thickest place",
            required=False,
            help_text=f"It was {self.old['thickness_mm']} mm. Leave blank to keep it.",
        )
        self.fields["start_c"] = temperature_field(
            "Temperature of the food",
            self.site.temperature_unit,
            required=False,
            help_text=f"It was {self._shown(self.old['start_c'])}. Leave blank to keep it.",
        )

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """The same doubts as when it was first typed."""
        celsius = cleaned.get("celsius")
        if celsius is not None:
            bounds = self.expected.least, self.expected.most
            doubt = units.suspect(float(celsius), *bounds, self.site.temperature_unit)
            if doubt:
                yield "celsius", doubt

    def clean(self) -> dict[str, Any]:
        """Something must change, and the work must stay in its order."""
        cleaned = super().clean()
        if self.errors or cleaned["withdraw"]:
            return cleaned
        if not self._changes(cleaned) and cleaned["at"] is None:
            self.add_error(None, "Nothing was changed. Type the right value, or tick the box.")
        wrong = out_of_order(self.site, self.kind, self.old, cleaned["at"]) if cleaned["at"] else None
        if wrong:
            self.add_error("at", wrong)
        return cleaned

    def _changes(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        """What is to stand in place of the old values."""
        new: dict[str, Decimal | str] = {}
        for name in ("celsius", "thickness_mm", "start_c"):
            value = cleaned.get(name)
            if value is not None and value != Decimal(self.old[name]):
                new[name] = value
        probe = cleaned.get("probe")
        if probe is not None and probe.name != self.old["probe"]:
            new["probe"] = probe.name
        return new

    def keep(self, hand: Hand) -> str:
        """Replace what the entry said, or withdraw it."""
        cleaned = self.cleaned_data
        said = None if cleaned["withdraw"] else {**self.old, **self._changes(cleaned)}
        if not taken_before(hand):
            correct(self.entry.pk, said, reason=cleaned["reason"], hand=hand, happened_at=cleaned["at"])
        return f"{'Withdrawn' if said is None else 'Corrected'}. What it said before stays in sight."
