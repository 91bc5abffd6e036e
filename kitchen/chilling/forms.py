"""Forms at the chill: bags in, bags out, a reading of the medium."""

from __future__ import annotations

from typing import Any

from django import forms

from haccp import units
from haccp.materials import medium
from kitchen.batches.forms import BagsForm, bags_in_words
from kitchen.chilling import actions
from kitchen.equipment.models import Chiller
from kitchen.equipment.readings import Expected, ReadingForm
from kitchen.ledger.chain import Hand

# What to expect of a medium, and beyond what it is asked about: own choice.
EXPECTED = {
    "ice_slurry": Expected(0, 1, -2, 15),
    "running_water": Expected(2, 15, 0, 35),
    "blast_chiller": Expected(-20, 3, -40, 30),
}


class IntoChillerForm(BagsForm):
    """Bags go into ice slurry, a blast chiller or running water."""

    verb = submit = "Into ice"
    consent = "Yes, chilled there"
    title = "Into the chill"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chillers = Chiller.objects.filter(site=self.site)
        wanted = self.batch.method.chill_medium
        self.fields["chiller"] = forms.ModelChoiceField(
            chillers,
            widget=forms.RadioSelect,
            empty_label=None,
            label="Where",
            initial=next((each for each in chillers if each.medium == wanted), None),
            error_messages={"required": "Choose where the bags are chilled."},
        )
        self.order_fields(["bags", "chiller", "sure", "at"])
        if wanted and wanted != "ice_slurry":
            self.submit = "Into the chill"

    def questions(self, cleaned: dict[str, Any]) -> Any:
        """Another chill method than the one that was signed."""
        wanted, chiller = self.batch.method.chill_medium, cleaned["chiller"]
        if wanted and chiller.medium != wanted:
            name = medium(wanted).name.lower()
            yield "chiller", f"The method says {name}; {chiller.name} is not that. Is it right?"

    def keep(self, hand: Hand) -> str:
        """Bags into the chiller."""
        said = self.cleaned_data
        actions.into_chiller(bags=said["bags"], chiller=said["chiller"], hand=hand, at=said["at"])
        return f"{bags_in_words(said['bags'])} into {said['chiller'].name}."


class OutOfChillerForm(BagsForm):
    """Bags come out of their chiller."""

    verb = submit = "Out of the chill"
    title = "Out of the chill"

    def keep(self, hand: Hand) -> str:
        """Bags out of the chiller."""
        said = self.cleaned_data
        actions.out_of_chiller(bags=said["bags"], hand=hand, at=said["at"])
        return f"{bags_in_words(said['bags'])} out of the chill."


class ChillerReadingForm(ReadingForm):
    """A reading of a chiller's medium."""

    def __init__(self, *args: Any, chiller: Chiller, **kwargs: Any) -> None:
        self.chiller = chiller
        super().__init__(
            *args, expected=EXPECTED[chiller.medium], probe=chiller.probe, label=chiller.name, **kwargs
        )

    def keep(self, hand: Hand) -> str:
        """Log the reading."""
        said = self.cleaned_data
        actions.read_chiller(
            chiller=self.chiller, celsius=said["celsius"], probe=said["probe"], hand=hand, at=said["at"]
        )
        here = units.format_temperature(float(said["celsius"]), self.site.temperature_unit)
        return f"{self.chiller.name} at {here} kept."
