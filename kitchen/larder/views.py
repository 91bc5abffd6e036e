"""The Larder page, and deliveries."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.larder import ledger_page, receiving
from kitchen.larder.actions import close_lot, closed, keep_freezing_paper, open_again, receive_lot, thaw_lot
from kitchen.larder.forms import ACCEPT, CloseForm, FreezingPaperForm, LotForm, OpenAgainForm, ThawForm
from kitchen.larder.models import Lot, LotFrozen, LotThawed
from kitchen.ledger.models import standing
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


def _lot(request: HttpRequest, pk: int) -> Lot:
    lots = standing(Lot.objects.filter(site=request.site))  # type: ignore[attr-defined]
    return get_object_or_404(lots.select_related("site"), pk=pk)


def close(request: HttpRequest, pk: int) -> HttpResponse:
    """A lot is used up, or what was left of it was discarded."""
    lot = _lot(request, pk)
    form = CloseForm(request.POST or None, site=lot.site)

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        close_lot(lot=lot, how=said["how"], note=said["note"], at=said["at"], hand=hand)
        return f"{lot}: {said['how']}."

    return enter(request, form, do, title=f"Close {lot}", back=reverse("larder"), room="larder")


def reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """A lot that was closed by mistake is open again."""
    lot = _lot(request, pk)
    form = OpenAgainForm(request.POST or None, site=lot.site)

    def do(said: dict[str, Any]) -> str:
        open_again(lot=lot, reason=said["reason"], hand=hand_of(request, said["entry_id"]))
        return f"{lot} is open again."

    return enter(request, form, do, title=f"Open {lot} again", back=reverse("larder"), room="larder")


def lot(request: HttpRequest, pk: int) -> HttpResponse:
    """One lot: what is known of it, how it was thawed, and the paper on its freezing."""
    found = _lot(request, pk)
    facts = {
        "thaws": standing(LotThawed.objects.filter(lot=found)).select_related("probe").order_by("at"),
        "papers": standing(LotFrozen.objects.filter(lot=found)).order_by("at"),
        "closed": closed(found),
    }
    return render(request, "larder/lot.html", {"lot": found, "room": "larder", **facts})


def thaw(request: HttpRequest, pk: int) -> HttpResponse:
    """A lot was thawed through."""
    found = _lot(request, pk)
    form = ThawForm(request.POST or None, site=found.site)

    def do(said: dict[str, Any]) -> str:
        thaw_lot(
            lot=found,
            how=said["how"],
            begun_at=said["begun_at"],
            celsius=said["celsius"],
            water_c=said["water_c"],
            probe=said["probe"],
            pack_open=form.pack_open,
            at=said["at"],
            hand=hand_of(request, said["entry_id"]),
        )
        return f"{found}: thawed {said['how']}."

    return enter(request, form, do, title=f"Thaw of {found}", back=reverse("lot", args=[pk]), room="larder")


def freezing_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The supplier's paper on a lot's freezing."""
    found = _lot(request, pk)
    form = FreezingPaperForm(request.POST or None, site=found.site)

    def do(said: dict[str, Any]) -> str:
        keep_freezing_paper(
            lot=found,
            statement=said["statement"],
            celsius=said["celsius"],
            hours=said["hours"],
            solid_c=said["solid_c"],
            exempt=said["exempt"],
            hand=hand_of(request, said["entry_id"]),
        )
        return f"{found}: paper {said['statement']} kept."

    title = f"Freezing of {found} against parasites"
    return enter(request, form, do, title=title, back=reverse("lot", args=[pk]), room="larder")
