"""Forms for methods: a new version, and its signature."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms

from haccp import units
from haccp.materials import materials, media
from kitchen.base.fields import PadInput, length_field, temperature_field
from kitchen.base.forms import EntryForm
from kitchen.base.layout import RowsForm
from kitchen.methods.words import ATTRIBUTES, SHAPES

CHILL_MEDIA = ("ice_slurry", "blast_chiller", "running_water")
TENTH = Decimal("0.1")
ORDER = [
    *("dish", "material", "attributes", "shape"),
    *("thickness_mm", "thickness_max_mm", "thickness_tolerance_mm", "start_max_c", "set_point_c", "bath_min"),
    *("chill_medium", "life_days", "brine_percent", "brine_min", "allergens", "preparation", "finish"),
]


class MethodForm(RowsForm):
    """One version of how a dish is prepared, cooked, chilled and kept."""

    backdated = False
    submit = "Keep as a draft"
    rows = (
        ("thickness_mm", "thickness_max_mm", "thickness_tolerance_mm"),
        ("start_max_c", "set_point_c", "bath_min"),
        ("chill_medium", "life_days"),
        ("brine_percent", "brine_min"),
    )
    dish = forms.CharField(max_length=80)
    material = forms.ChoiceField(label="Food", help_text="How fast it takes up heat.")
    attributes = forms.MultipleChoiceField(
        label="What is true of this dish",
        choices=[(key, f"{key}: {words}") for key, words in ATTRIBUTES.items()],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Each of these brings limits into force; the strictest of them governs.",
    )
    shape = forms.ChoiceField(label="Shape in the bag", choices=list(SHAPES.items()))
    thickness_mm = length_field("Usual thickness", low=10, high=80)
    thickness_max_mm = length_field(
        "Greatest thickness",
        low=10,
        high=80,
        help_text="At the thickest place; a roll’s diameter. A thicker bag is not covered by this method.",
    )
    thickness_tolerance_mm = length_field(
        "Thickness tolerance", low=1, high=5, help_text="How far a measured thickness may be off."
    )
    bath_min = forms.IntegerField(
        label="Time in the bath", min_value=1, max_value=10_000, widget=PadInput(unit="min")
    )
    chill_medium = forms.ChoiceField(label="Chill method", required=False)
    life_days = forms.IntegerField(
        label="Days kept",
        min_value=0,
        max_value=400,
        widget=PadInput(unit="days"),
        help_text="0 when it is served at once.",
    )
    brine_percent = forms.DecimalField(
        label="Brine strength",
        min_value=0,
        max_value=Decimal("26.3"),
        decimal_places=1,
        required=False,
        widget=PadInput(unit="% w/w"),
    )
    brine_min = forms.IntegerField(
        label="Time in the brine",
        min_value=1,
        max_value=20_000,
        required=False,
        widget=PadInput(unit="min"),
    )
    allergens = forms.CharField(max_length=200, required=False, help_text="With commas between.")
    preparation = forms.CharField(required=False, widget=forms.Textarea)
    finish = forms.CharField(label="Second cook", required=False, widget=forms.Textarea)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = self.site.temperature_unit
        chills = [(key, media()[key].name) for key in CHILL_MEDIA]
        self.fields["material"].choices = [
            ("", "choose"),
            *((key, each.name) for key, each in materials().items()),
        ]  # type: ignore[attr-defined]
        self.fields["chill_medium"].choices = [("", "not chilled: served at once"), *chills]  # type: ignore[attr-defined]
        self.fields["start_max_c"] = temperature_field(
            "Warmest start", unit, low=0, high=8, help_text="The warmest that a bag may go into the bath."
        )
        self.fields["set_point_c"] = temperature_field("Set point", unit, low=54, high=90)
        self.order_fields(ORDER)

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """Temperatures and times that no such method has."""
        unit = self.site.temperature_unit
        for name, low, high in (("set_point_c", 50, 95), ("start_max_c", -2, 20)):
            doubt = units.suspect(float(cleaned[name]), low, high, unit)
            if doubt:
                yield name, doubt
        if cleaned["bath_min"] > 72 * 60:
            yield "bath_min", "That is more than three days in the bath. Is it in minutes?"

    def clean(self) -> dict[str, Any]:
        """The usual thickness cannot exceed the greatest; temperatures are kept to a tenth."""
        cleaned = super().clean()
        usual, most = cleaned.get("thickness_mm"), cleaned.get("thickness_max_mm")
        if usual and most and usual > most:
            self.add_error("thickness_max_mm", "The greatest thickness is less than the usual one.")
        for name in ("start_max_c", "set_point_c"):
            if cleaned.get(name) is not None:
                cleaned[name] = cleaned[name].quantize(TENTH)
        if bool(cleaned.get("brine_percent")) != bool(cleaned.get("brine_min")):
            missing = "brine_min" if cleaned.get("brine_percent") else "brine_percent"
            if missing not in self.errors:
                self.add_error(missing, "A brine needs both its strength and its time.")
        return cleaned


class SignForm(EntryForm):
    """The head chef signs with their password, so that a tablet left open signs nothing."""

    backdated = False
    submit = "Sign this version"
    password = forms.CharField(
        label="Your password", widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )
