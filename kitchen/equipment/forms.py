"""Forms for probes and their checks, and for baths, chillers and fridges."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms

from haccp import units
from haccp.materials import media
from kitchen.base.fields import PadInput, temperature_field
from kitchen.base.forms import EntryForm
from kitchen.base.layout import RowsForm
from kitchen.equipment.checking import expectations
from kitchen.equipment.models import Probe, ProbeCheck

CHILL_MEDIA = ("ice_slurry", "blast_chiller", "running_water")
BATH_MEDIA = ("stirred_bath", "still_bath")


def probes_of(site: Any) -> Any:
    """The probes of a site that are in use."""
    return Probe.objects.filter(site=site, out_of_use=False)


def figure(
    label: str, unit: str, low: str, high: str, *, places: int = 1, **kwargs: Any
) -> forms.DecimalField:
    """A plain figure that the pad types, between two bounds that nothing real lies outside of."""
    return forms.DecimalField(
        label=label,
        min_value=Decimal(low),
        max_value=Decimal(high),
        decimal_places=places,
        widget=PadInput(unit=unit),
        **kwargs,
    )


class ProbeForm(EntryForm):
    """Take a probe into use."""

    backdated = False
    submit = "Take into use"
    name = forms.CharField(max_length=40, help_text="As it is marked on the probe.")
    serial = forms.CharField(label="Serial number", max_length=40, required=False)
    tolerance_k = figure(
        "Tolerance",
        "°C",
        "0.05",
        "3",
        places=2,
        help_text="How far from the truth it may read, from its maker's sheet or its certificate. "
        "Every reading is judged at its unfavourable edge.",
    )


class ProbeCheckForm(EntryForm):
    """What a probe reads in melting ice or in boiling water."""

    submit = "Keep the check"
    medium = forms.ChoiceField(label="Checked in", widget=forms.RadioSelect)

    def __init__(self, *args: Any, site: Any, day: Any, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.expected = {each.medium: each for each in expectations(site, day)}
        names = dict(ProbeCheck.Medium.choices)
        self.fields["medium"].choices = [  # type: ignore[attr-defined]
            (key, f"{names[key]}: {each.words}") for key, each in self.expected.items()
        ]
        self.fields["celsius"] = temperature_field("The probe reads", site.temperature_unit)
        self.order_fields(["medium", "celsius", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A reading that lies far from both ends of the scale was probably mistyped."""
        true = self.expected[cleaned["medium"]].true_c
        doubt = units.suspect(float(cleaned["celsius"]), true - 5, true + 5, self.site.temperature_unit)
        if doubt:
            yield "celsius", doubt


class ReasonForm(EntryForm):
    """Why a probe goes out of use, or comes back."""

    backdated = False
    reason = forms.CharField(
        max_length=200, help_text="Such as: read 1.6 °C in melting ice; sent for repair."
    )

    def __init__(self, *args: Any, submit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.submit = submit


class PlaceForm(RowsForm):
    """What baths, chillers and fridges have in common."""

    backdated = False
    submit = "Take into use"
    choices: tuple[str, ...] = ()
    name = forms.CharField(max_length=40)
    medium = forms.ChoiceField(label="Kind")
    probe = forms.ModelChoiceField(
        Probe.objects.none(),
        required=False,
        empty_label="none fixed",
        help_text="The probe that usually reads it.",
    )
    every_min = forms.IntegerField(
        label="A reading every", min_value=1, max_value=1440, widget=PadInput(unit="min")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = media()
        self.fields["medium"].choices = [(key, known[key].name) for key in self.choices]  # type: ignore[attr-defined]
        self.fields["probe"].queryset = probes_of(self.site)  # type: ignore[attr-defined]
        if len(self.choices) == 1:
            self.fields["medium"].widget = forms.HiddenInput()
            self.fields["medium"].initial = self.choices[0]


class BathForm(PlaceForm):
    """Take a bath into use."""

    choices = BATH_MEDIA
    rows = (
        ("name", "medium"),
        ("probe", "every_min"),
        ("volume_l", "heater_w"),
        ("band_k",),
        ("fall_k_per_min", "rise_k_per_min"),
    )
    volume_l = figure("Volume", "litres", "1", "2000")
    heater_w = forms.IntegerField(
        label="Power of the heater",
        min_value=50,
        max_value=50000,
        required=False,
        widget=PadInput(unit="W"),
        help_text="From its plate: how many cold bags it can take at once follows from it.",
    )
    band_k = figure(
        "Band around the set point",
        "°C",
        "0.1",
        "5",
        help_text="How far the water may stray and still count.",
    )
    fall_k_per_min = figure(
        "Greatest fall",
        "°C/min",
        "0.001",
        "20",
        places=3,
        required=False,
        help_text="The fastest that its water can cool with the heater off. It bounds what may have happened "
        "between two readings. Leave blank for the figure of its kind.",
    )
    rise_k_per_min = figure(
        "Greatest rise",
        "°C/min",
        "0.001",
        "20",
        places=3,
        required=False,
        help_text="The same, at full power.",
    )

    def clean(self) -> dict[str, Any]:
        """A rate that is left blank is that of the kind of bath."""
        cleaned = super().clean()
        kind = media().get(cleaned.get("medium", ""))
        if kind:
            for name in ("fall_k_per_min", "rise_k_per_min"):
                if name not in self.errors and cleaned.get(name) is None:
                    cleaned[name] = Decimal(repr(getattr(kind, name)))
        return cleaned


class ChillerForm(PlaceForm):
    """Take an ice slurry, a blast chiller or a sink of running water into use."""

    choices = CHILL_MEDIA
    rows = (("name", "medium"), ("probe", "every_min"))


class FridgeForm(PlaceForm):
    """Take a fridge or freezer into use."""

    choices = ("fridge_air",)
    rows = (("probe", "every_min"), ("low_c", "high_c"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = self.site.temperature_unit
        self.fields["low_c"] = temperature_field("Lowest", unit)
        self.fields["high_c"] = temperature_field("Highest", unit)

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A band that stands on its head, or that no fridge has."""
        if cleaned["low_c"] >= cleaned["high_c"]:
            yield "high_c", "The highest lies at or below the lowest. Are the two the right way round?"
        elif cleaned["low_c"] < -40 or cleaned["high_c"] > 15:
            yield "high_c", "That is no usual band for a fridge or freezer. Is it right?"
