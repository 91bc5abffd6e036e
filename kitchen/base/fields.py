"""Form fields for what a cook types: temperatures, lengths, weights, moments."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.dateparse import parse_datetime

from haccp import units
from haccp.errors import HaccpError


class PadInput(forms.TextInput):
    """A number that the pad on the tablet types; without script an ordinary input."""

    def __init__(
        self, *, unit: str, low: float | None = None, high: float | None = None, **attrs: Any
    ) -> None:
        given = {"inputmode": "decimal", "autocomplete": "off", "data-pad": "", "data-unit": unit, **attrs}
        if low is not None:
            given["data-low"] = f"{low:g}"
        if high is not None:
            given["data-high"] = f"{high:g}"
        super().__init__(attrs=given)


class MeasuredField(forms.CharField):
    """A figure with a unit, read by `haccp.units`; the value is a Decimal in the stored unit."""

    def __init__(self, parse: Callable[[str], float], *, places: int, **kwargs: Any) -> None:
        self.parse = parse
        self.quantum = Decimal(1).scaleb(-places)
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Any:
        """The figure, or what to type instead."""
        said = super().clean(value)
        if said in self.empty_values:
            return None
        try:
            return Decimal(repr(self.parse(said))).quantize(self.quantum)
        except HaccpError as trouble:
            raise forms.ValidationError(str(trouble)) from trouble


def temperature_field(
    label: str, unit: str, *, low: float | None = None, high: float | None = None, **kwargs: Any
) -> MeasuredField:
    """A temperature in the site's unit; `low` and `high` [°C] are what to expect, drawn as a scale."""
    shown = {"low": low, "high": high}
    if unit == "degF":
        shown = {name: None if value is None else units.to_fahrenheit(value) for name, value in shown.items()}
    return MeasuredField(
        lambda said: units.parse_temperature(said, unit),
        places=2,
        label=label,
        widget=PadInput(unit="°F" if unit == "degF" else "°C", **shown),
        **kwargs,
    )


def length_field(
    label: str, *, low: float | None = None, high: float | None = None, **kwargs: Any
) -> MeasuredField:
    """A length in mm."""
    return MeasuredField(
        units.parse_length, places=1, label=label, widget=PadInput(unit="mm", low=low, high=high), **kwargs
    )


def mass_field(label: str, **kwargs: Any) -> MeasuredField:
    """A mass in g."""
    return MeasuredField(units.parse_mass, places=1, label=label, widget=PadInput(unit="g"), **kwargs)


class MomentField(forms.DateTimeField):
    """A moment in the site's time zone. Blank means now.

    When clocks go back an hour comes twice: `fold` says which of the two was meant, and
    while it is not said the moment is not accepted.
    """

    def __init__(self, timezone: str, **kwargs: Any) -> None:
        self.zone = ZoneInfo(timezone)
        self.fold: int | None = None
        self.ambiguous = False
        kwargs.setdefault("required", False)
        kwargs.setdefault("label", "When")
        kwargs.setdefault("help_text", "Leave blank for now.")
        widget = forms.DateTimeInput(attrs={"type": "datetime-local", "step": "60"}, format="%Y-%m-%dT%H:%M")
        super().__init__(widget=widget, **kwargs)

    def to_python(self, value: Any) -> datetime | None:
        """The moment in UTC-aware form, read on the kitchen's clock."""
        said = str(value or "").strip()
        if not said:
            return None
        try:
            naive = parse_datetime(said)
        except ValueError:
            naive = None
        if naive is None:
            raise forms.ValidationError("Type the date and the time, like 2026-11-24 14:30.")
        naive = naive.replace(tzinfo=None)
        first, second = (naive.replace(tzinfo=self.zone, fold=fold) for fold in (0, 1))
        if first.utcoffset() == second.utcoffset():
            return first.astimezone(UTC)
        if (first.utcoffset() or timedelta()) < (second.utcoffset() or timedelta()):
            raise forms.ValidationError("That time did not exist: the clocks went forward over it.")
        self.ambiguous = True
        if self.fold is None:
            raise forms.ValidationError("That time came twice, for the clocks went back. Say which one.")
        # In UTC: Python calls a moment of a repeated hour unequal to every other, whatever the zone.
        return (second if self.fold else first).astimezone(UTC)
