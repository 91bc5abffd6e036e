"""Forms for a delivery, and for the end of a lot."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms

from haccp import units
from haccp.materials import materials
from kitchen.base import moments
from kitchen.base.fields import MomentField, PadInput, mass_field, temperature_field
from kitchen.base.forms import EntryForm
from kitchen.base.layout import RowsForm
from kitchen.equipment.models import Probe
from kitchen.larder.models import LotClosed, LotThawed
from kitchen.larder.receiving import NATURES, STATES

ACCEPT, REJECT = "accept", "reject"
ORDER = [
    *("product", "supplier", "code", "material", "state", "nature", "use_by", "grams"),
    *("celsius", "probe", "allergens", "condition", "decision", "reason", "at"),
]


class CloseForm(EntryForm):
    """What became of the last of a lot."""

    submit = "Close the lot"
    how = forms.ChoiceField(
        label="What became of it",
        choices=LotClosed.How.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose used up or discarded."},
    )
    note = forms.CharField(max_length=200, required=False)


class OpenAgainForm(EntryForm):
    """Why a lot that was closed is open after all."""

    backdated = False
    submit = "Open it again"
    reason = forms.CharField(
        max_length=200,
        error_messages={"required": "Say why: the reason is printed beside the closing."},
    )


class LotForm(RowsForm):
    """What one supplier delivered under one code."""

    submit = "Keep the delivery"
    rows = (("product", "supplier"), ("code", "material"), ("use_by", "grams"), ("celsius", "probe"))
    product = forms.CharField(max_length=80, help_text="As on the delivery note: chicken breast, skinless.")
    supplier = forms.CharField(max_length=80)
    code = forms.CharField(label="Lot code", max_length=40, help_text="As it is printed on the pack.")
    material = forms.ChoiceField(label="Food")
    use_by = forms.DateField(
        label="Use-by", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    state = forms.ChoiceField(label="Delivered", choices=STATES, initial="chilled", widget=forms.RadioSelect)
    nature = forms.MultipleChoiceField(
        label="What is true of it",
        choices=NATURES,
        initial=["raw"],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="The limits at delivery differ.",
    )
    probe = forms.ModelChoiceField(Probe.objects.none(), required=False, empty_label="not measured")
    allergens = forms.CharField(
        max_length=200, required=False, help_text="As declared on the pack, with commas between."
    )
    condition = forms.CharField(
        max_length=200, required=False, help_text="Packs, seals, smell, ice: what was seen."
    )
    decision = forms.ChoiceField(
        label="Accept or reject",
        choices=[(ACCEPT, "accept"), (REJECT, "reject")],
        initial=ACCEPT,
        widget=forms.RadioSelect,
    )
    reason = forms.CharField(
        max_length=200,
        required=False,
        help_text="Needed for a rejection, and for a delivery that is taken in above its limit.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = self.site.temperature_unit
        self.fields["material"].choices = [
            ("", "choose"),
            *((key, each.name) for key, each in materials().items()),
        ]  # type: ignore[attr-defined]
        self.fields["probe"].queryset = Probe.objects.filter(site=self.site, out_of_use=False)  # type: ignore[attr-defined]
        self.fields["grams"] = mass_field("Weight", required=False)
        self.fields["celsius"] = temperature_field(
            "Temperature between two packs", unit, low=-2, high=8, required=False
        )
        self.order_fields(ORDER)

    def clean(self) -> dict[str, Any]:
        """A temperature comes from a probe."""
        cleaned = super().clean()
        if cleaned.get("celsius") is not None and not cleaned.get("probe") and "probe" not in self.errors:
            self.add_error("probe", "Say which probe was read: a reading without a probe proves nothing.")
        return cleaned

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A slip of the finger in the temperature, a use-by that is past, a weight of tonnes."""
        if cleaned.get("celsius") is not None:
            doubt = units.suspect(float(cleaned["celsius"]), -25, 15, self.site.temperature_unit)
            if doubt:
                yield "celsius", doubt
        today = moments.local(cleaned.get("at") or moments.now(), self.site.timezone).date()
        use_by = cleaned.get("use_by")
        if use_by and use_by < today and cleaned["decision"] == ACCEPT:
            yield "use_by", "That day is past. Check the pack, or reject the delivery."
        elif use_by and (use_by - today).days > 3 * 365:
            yield "use_by", "That is more than three years ahead. Check the pack."
        if cleaned.get("grams") and cleaned["grams"] > 1_000_000:
            yield "grams", "That is more than a tonne. Was it typed in kilograms? Write the unit: 12 kg."


class ThawForm(RowsForm):
    """A lot that is thawed through."""

    submit = "Keep the thaw"
    rows = (("celsius", "water_c"),)
    how = forms.ChoiceField(
        label="Where",
        choices=LotThawed.How.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose where it was thawed."},
    )
    pack = forms.ChoiceField(
        label="Vacuum pack",
        choices=[("", "no vacuum pack"), ("open", "opened before"), ("closed", "left closed")],
        required=False,
        widget=forms.RadioSelect,
        help_text="A closed vacuum pack of fish is opened before it thaws.",
    )
    probe = forms.ModelChoiceField(Probe.objects.none(), required=False, empty_label="not measured")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = self.site.temperature_unit
        zone = self.site.timezone
        self.fields["begun_at"] = MomentField(
            zone, label="Taken out of the freezer", required=True, help_text=""
        )
        self.fields["celsius"] = temperature_field(
            "The food, at its warmest", unit, low=-2, high=8, required=False
        )
        self.fields["water_c"] = temperature_field("The water", unit, low=2, high=21, required=False)
        self.fields["probe"].queryset = Probe.objects.filter(site=self.site, out_of_use=False)  # type: ignore[attr-defined]
        self.fields["at"].label = "Thawed through"
        self.order_fields(["how", "begun_at", "at", "celsius", "water_c", "probe", "pack", "sure"])

    @property
    def pack_open(self) -> bool | None:
        """Whether a vacuum pack was opened; None where there was none."""
        said = self.cleaned_data["pack"]
        return None if not said else bool(said == "open")


class FreezingPaperForm(RowsForm):
    """What the supplier's paper says of freezing against parasites."""

    submit = "Keep the paper"
    backdated = False
    rows = (("celsius", "hours"),)
    statement = forms.CharField(
        label="Reference of the paper",
        max_length=120,
        error_messages={"required": "Give the reference of the paper: without it nothing is proven."},
    )
    hours = forms.DecimalField(
        label="For how long",
        min_value=1,
        max_value=9999,
        max_digits=6,
        decimal_places=1,
        required=False,
        widget=PadInput(unit="h"),
    )
    exempt = forms.BooleanField(
        label="It need not be frozen: the paper says why",
        required=False,
        help_text="Farmed on feed without parasites, or of a kind that the law names.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = self.site.temperature_unit
        self.fields["celsius"] = temperature_field("Frozen at", unit, low=-40, high=-18, required=False)
        self.fields["solid_c"] = temperature_field(
            "Until solid at",
            unit,
            low=-45,
            high=-30,
            required=False,
            help_text="Only where the paper says another.",
        )
        self.order_fields(["statement", "celsius", "hours", "solid_c", "exempt"])
