"""Pages of the batches room: what a meter or a laboratory gave."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from kitchen.base.entering import enter
from kitchen.batches.actions import measure_batch
from kitchen.batches.measuring import MeasureForm
from kitchen.people.hands import hand_of


def measure(request: HttpRequest) -> HttpResponse:
    """A figure of pH, water activity, salt or of a laboratory, for one batch."""
    form = MeasureForm(request.POST or None, site=request.site)  # type: ignore[attr-defined]

    def do(said: dict[str, Any]) -> str:
        measure_batch(
            batch=said["batch"],
            quantity=said["quantity"],
            value=said["value"],
            tolerance=said["tolerance"] or 0,
            checked=said["checked"],
            at=said["at"],
            hand=hand_of(request, said["entry_id"]),
        )
        return f"{said['batch'].code}: {said['quantity'].replace('_', ' ')} {said['value']} kept."

    return enter(request, form, do, title="pH and other figures", back=reverse("larder"), room="larder")
