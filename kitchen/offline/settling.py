"""The pages on which held entries are settled: entered right, or set aside with a reason."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import Replay, enter
from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand
from kitchen.offline import actions, replay
from kitchen.offline.arriving import try_again
from kitchen.offline.forms import AsideForm
from kitchen.people.hands import hand_of, head_chef_only
from kitchen.people.models import Person
from kitchen.review.held import Held, unsettled


def held_page(request: HttpRequest) -> HttpResponse:
    """All held entries of this kitchen."""
    held = unsettled(request.site).order_by("at")  # type: ignore[attr-defined]
    return render(request, "offline/held.html", {"held": [(each, said_of(each)) for each in held]})


def said_of(held: Held) -> list[tuple[str, str]]:
    """What was said in a held entry, field by field."""
    left_out = {"entry_id", "csrfmiddlewaretoken", "sure", "fold"}
    fields = held.entry.said["fields"].items()
    return [
        (name.replace("_", " "), ", ".join(values))
        for name, values in fields
        if name not in left_out and any(values)
    ]


def _fields(held: Held, zone: str) -> dict[str, list[str]]:
    """What was said, with the moment at which it was made where none was typed."""
    fields: dict[str, list[str]] = held.entry.said["fields"]
    if any(fields.get("at", [])) or held.address.split("/")[3:4] == ["entry"]:
        return fields
    made_at = datetime.fromisoformat(held.entry.said["made_at"])
    here = made_at.astimezone(ZoneInfo(zone))
    return {**fields, "at": [f"{here:%Y-%m-%dT%H:%M}"], "fold": [str(here.fold)]}


def settle(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One held entry: what was said, why it is held, and the form in which it is entered right."""
    held = get_object_or_404(unsettled(request.site), of=pk)  # type: ignore[attr-defined]
    person: Person = request.user  # type: ignore[assignment]
    sent = request.method == "POST"
    fields = dict(request.POST.lists()) if sent else _fields(held, held.site.timezone)
    now = moments.now()
    looked = Replay(now, tablet=hand_of(request).tablet, look=True)
    mine = person.is_head_chef or (held.entry.said["proven"] and held.entry.person == person)
    refusal = ""
    try:
        if sent and mine:
            kept = _enter_right(held, person, fields, looked)
            messages.success(request, kept)
            return redirect("held")
        replay.run(person=person, address=held.address, fields=fields, entry_id=held.of, replay=looked)
    except Refused as trouble:
        refusal = trouble.message
    form = looked.form if mine else None
    context = {
        "held": held,
        "said": said_of(held),
        "form": form,
        "refusal": refusal,
        "title": looked.title or held.words,
        "back": reverse("held"),
        "aside": AsideForm(site=held.site) if person.is_head_chef else None,
    }
    return render(request, "offline/settle.html", context, status=422 if sent else 200)


def _enter_right(held: Held, person: Person, fields: dict[str, list[str]], looked: Replay) -> str:
    """Make the entry as it is said now, and settle the held one by it; both or neither."""
    now = looked.made_at
    hand = Hand(site=held.site, person=person, tablet=looked.tablet, now=now)
    try:
        with transaction.atomic():
            kept = replay.take(
                person=person,
                address=held.address,
                fields=fields,
                entry_id=held.of,
                made_at=now,
                tablet=looked.tablet,
            )
            actions.settle(held=held, how=actions.ENTERED, hand=hand)
    except Refused:
        # The form once more, with what it objects to beside its fields.
        replay.run(person=person, address=held.address, fields=fields, entry_id=held.of, replay=looked)
        raise
    try_again(held.site, person, now)
    return kept


@head_chef_only
def set_aside(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Set a held entry aside, with the reason."""
    held = get_object_or_404(unsettled(request.site), of=pk)  # type: ignore[attr-defined]
    form = AsideForm(request.POST or None, site=held.site)

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        actions.settle(held=held, how=actions.ASIDE, hand=hand, reason=said["reason"])
        return "Set aside. What was said stays in the records."

    title = f"Set aside: {held.words}"
    return enter(request, form, do, title=title, back=reverse("held"), room="pass")
