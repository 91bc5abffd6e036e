"""Forms at the fridges: bags in, a reading."""

from __future__ import annotations

from typing import Any

from django import forms

from haccp import units
from kitchen.batches.forms import BagsForm, bags_in_words
from kitchen.equipment.models import Fridge
from kitchen.equipment.readings import Expected, ReadingForm
from kitchen.ledger.chain import Hand
from kitchen.storing import actions

# How far out of its band a fridge may be read before it is asked about: own choice.
BELOW_K, ABOVE_K = 6.0, 12.0


def expected_of(fridge: Fridge) -> Expected:
    """What to expect of a fridge, and beyond what it is asked about."""
    low, high = float(fridge.low_c), float(fridge.high_c)
    return Expected(low, high, low - BELOW_K, high + ABOVE_K)


class IntoFridgeForm(BagsForm):
    """Bags go into a fridge, or move to another one."""

    verb = submit = "Into fridge"
    title = "Into fridge"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fridges = Fridge.objects.filter(site=self.site)
        self.fields["fridge"] = forms.ModelChoiceField(
            fridges,
            widget=forms.RadioSelect,
            empty_label=None,
            initial=fridges[0] if len(fridges) == 1 else None,
            error_messages={"required": "Choose the fridge."},
        )
        self.order_fields(["bags", "fridge", "sure", "at"])

    def keep(self, hand: Hand) -> str:
        """Bags into the fridge."""
        said = self.cleaned_data
        actions.store_bags(bags=said["bags"], fridge=said["fridge"], hand=hand, at=said["at"])
        return f"{bags_in_words(said['bags'])} into {said['fridge'].name}."


class FridgeReadingForm(ReadingForm):
    """A reading of a fridge."""

    def __init__(self, *args: Any, fridge: Fridge, **kwargs: Any) -> None:
        self.fridge = fridge
        super().__init__(*args, expected=expected_of(fridge), probe=fridge.probe, label=fridge.name, **kwargs)

    def keep(self, hand: Hand) -> str:
        """Log the reading."""
        said = self.cleaned_data
        actions.read_fridge(
            fridge=self.fridge, celsius=said["celsius"], probe=said["probe"], hand=hand, at=said["at"]
        )
        here = units.format_temperature(float(said["celsius"]), self.site.temperature_unit)
        return f"{self.fridge.name} at {here} kept."
