"""The form behind every reading: one temperature, the probe that read it, and what is expected of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms

from haccp import units
from kitchen.base.fields import temperature_field
from kitchen.base.forms import EntryForm
from kitchen.equipment.models import Probe


@dataclass(frozen=True)
class Expected:
    """What a reading should be [°C], and beyond what it is asked about before it is kept."""

    low: float
    high: float
    least: float
    most: float

    @classmethod
    def around(cls, middle: float, band: float, below: float, above: float) -> Expected:
        """A band around a set point, asked about far below and far above it."""
        return cls(middle - band, middle + band, middle - below, middle + above)


class ReadingForm(EntryForm):
    """One temperature. The pad opens with the page; to keep the figure sends the form."""

    label = "Temperature"
    # Further fields that come before the moment.
    first: tuple[str, ...] = ()

    def __init__(
        self, *args: Any, expected: Expected, probe: Probe | None = None, label: str = "", **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.expected = expected
        unit = self.site.temperature_unit
        field = temperature_field(label or self.label, unit, low=expected.low, high=expected.high)
        bounds = {"least": expected.least, "most": expected.most}
        for name, value in bounds.items():
            shown = units.to_fahrenheit(value) if unit == "degF" else value
            field.widget.attrs[f"data-{name}"] = f"{shown:g}"
        # The pad sends the form by itself only where nothing else is left to be said.
        if not self.is_bound and probe is not None:
            field.widget.attrs |= {"data-pad-opens": "", "data-pad-sends": self.submit}
        self.fields["celsius"] = field
        self.fields["probe"] = forms.ModelChoiceField(
            Probe.objects.filter(site=self.site, out_of_use=False),
            initial=probe,
            error_messages={
                "required": "Say which probe was read: a reading without a probe proves nothing."
            },
        )
        self.order_fields(["celsius", "sure", "probe", *self.first])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A figure far from what is expected was probably mistyped."""
        doubt = units.suspect(
            float(cleaned["celsius"]), self.expected.least, self.expected.most, self.site.temperature_unit
        )
        if doubt:
            yield "celsius", doubt
