"""Forms at the brine: make one, into it, out of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms

from kitchen.base.fields import PadInput, length_field, mass_field
from kitchen.base.forms import EntryForm
from kitchen.batches.forms import StepForm
from kitchen.brining import actions
from kitchen.brining.models import Brine
from kitchen.ledger.chain import Hand
from kitchen.ledger.models import standing

# A brine weaker or stronger than this is asked about: own choice.
WEAKEST, STRONGEST = 1.0, 20.0
# How many of the newest brines are offered.
NEWEST = 12


class MakeBrineForm(EntryForm):
    """Make a brine from weighed salt and water."""

    submit = "Keep the brine"
    code = forms.CharField(max_length=40, help_text="As it is marked on the tub.")
    nitrite_percent = forms.DecimalField(
        label="Nitrite in it",
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=3,
        required=False,
        widget=PadInput(unit="%"),
        help_text="As sodium nitrite, from the label of the curing salt in hand: it differs by lot.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["salt_g"] = mass_field("Salt")
        self.fields["water_g"] = mass_field("Water", help_text="1 litre of water weighs 1000 g.")
        self.fields["cure_g"] = mass_field("Curing salt", required=False)
        self.order_fields(["code", "salt_g", "water_g", "cure_g", "nitrite_percent", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A strength that no kitchen uses."""
        salt, water = float(cleaned["salt_g"]), float(cleaned["water_g"])
        strength = 100 * salt / (salt + water)
        if not WEAKEST <= strength <= STRONGEST:
            yield "salt_g", f"That is a brine of {strength:.1f} % w/w. Are both weights right?"

    def keep(self, hand: Hand) -> str:
        """Make the brine."""
        said = self.cleaned_data
        brine = actions.make_brine(
            code=said["code"],
            salt_g=said["salt_g"],
            water_g=said["water_g"],
            cure_g=said["cure_g"],
            nitrite_percent=said["nitrite_percent"],
            hand=hand,
            at=said["at"],
        )
        return f"Brine {brine.code}, {actions.strength_in_words(brine)}, kept."


class BrineField(forms.ModelChoiceField):
    """One of the newest brines."""

    def label_from_instance(self, obj: Any) -> str:
        """Code, strength, day."""
        made = f"made {obj.at:%a} {obj.at.day} {obj.at:%b}"
        return f"{obj.code}: {actions.strength_in_words(obj)}, {made}"


class IntoBrineForm(StepForm):
    """A batch goes into a brine."""

    verb = submit = "Into brine"
    title = "Into brine"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        brines = standing(Brine.objects.filter(site=self.site))
        newest = brines.order_by("-at").values("pk")[:NEWEST]
        self.fields["brine"] = BrineField(
            brines.filter(pk__in=list(newest.values_list("pk", flat=True))).order_by("-at"),
            widget=forms.RadioSelect,
            empty_label=None,
            error_messages={"required": "Choose the brine. Make one first if there is none."},
        )
        self.fields["thickness_mm"] = length_field(
            "Thickness of the pieces", required=False, help_text="The guidance goes by it."
        )
        self.fields["meat_g"] = mass_field(
            "Weight of the food",
            required=False,
            help_text="Needed where the brine holds curing salt: the dose of nitrite is reckoned on it.",
        )
        self.order_fields(["brine", "thickness_mm", "meat_g", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """Curing salt without the weight of the food that lies in it."""
        if cleaned["brine"].cure_g is not None and cleaned["meat_g"] is None:
            yield "meat_g", "This brine holds curing salt. Weigh the food, or its nitrite can't be reckoned."

    def keep(self, hand: Hand) -> str:
        """Into the brine."""
        said = self.cleaned_data
        actions.into_brine(
            batch=self.batch,
            brine=said["brine"],
            thickness_mm=said["thickness_mm"],
            meat_g=said["meat_g"],
            hand=hand,
            at=said["at"],
        )
        return f"{self.batch.code} into brine {said['brine'].code}."


class OutOfBrineForm(StepForm):
    """A batch comes out of its brine."""

    verb = submit = "Out of brine"
    consent = "Not rinsed, as said"
    title = "Out of brine"
    rinsed = forms.BooleanField(label="Rinsed in cold running water", required=False)
    dried = forms.BooleanField(label="Dried", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["rinsed", "dried", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """Commonly food is rinsed when it leaves a brine."""
        if not cleaned["rinsed"]:
            yield "rinsed", "Not rinsed? Commonly it is rinsed in cold running water now."

    def keep(self, hand: Hand) -> str:
        """Out of the brine."""
        said = self.cleaned_data
        actions.out_of_brine(
            batch=self.batch, rinsed=said["rinsed"], dried=said["dried"], hand=hand, at=said["at"]
        )
        return f"{self.batch.code} out of the brine."
