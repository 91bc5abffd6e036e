"""The Larder page, and deliveries."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.larder import ledger_page, receiving
from kitchen.larder.actions import receive_lot
from kitchen.larder.forms import ACCEPT, LotForm
from kitchen.people.hands import hand_of


def larder(request: HttpRequest) -> HttpResponse:
    """What is in the larder, and what is due."""
    now = moments.now()
    page = ledger_page.of(request.site, now)  # type: ignore[attr-defined]
    return render(request, "larder/larder.html", {"page": page, "now": now, "room": "larder"})


def receive(request: HttpRequest) -> HttpResponse:
    """Take a delivery in, or reject it."""
    site = request.site  # type: ignore[attr-defined]
    form = LotForm(request.POST or None, site=site)
    today = moments.local(moments.now(), site.timezone).date()

    def do(said: dict[str, Any]) -> str:
        lot = receive_lot(
            code=said["code"],
            product=said["product"],
            supplier=said["supplier"],
            material=said["material"],
            use_by=said["use_by"],
            grams=None if said["grams"] is None else round(said["grams"]),
            celsius=said["celsius"],
            probe=said["probe"],
            allergens=said["allergens"],
            condition=said["condition"],
            accepted=said["decision"] == ACCEPT,
            reason=said["reason"],
            attributes=[said["state"], *said["nature"]],
            at=said["at"],
            hand=hand_of(request, said["entry_id"]),
        )
        return f"{lot} {'kept' if lot.accepted else 'kept as rejected'}."

    return enter(
        request,
        form,
        do,
        title="Receive a lot",
        back=reverse("larder"),
        template="larder/receive.html",
        limits=receiving.limits_shown(site, today),
        room="larder",
    )
