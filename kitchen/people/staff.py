"""The head chef's page of the people who sign in, and its forms."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from kitchen.base.entering import enter
from kitchen.people import actions
from kitchen.people.forms import CookCodeChangeForm, CookForm, LeaveForm
from kitchen.people.hands import hand_of, head_chef_only
from kitchen.people.models import Person, Role


@head_chef_only
def people(request: HttpRequest) -> HttpResponse:
    """Who signs in here, and who did."""
    rows = Person.objects.filter(site=request.site).order_by("-is_active", "name")  # type: ignore[attr-defined]
    return render(request, "people/people.html", {"people": rows, "room": "larder"})


@head_chef_only
def add(request: HttpRequest) -> HttpResponse:
    """Add a cook; they sign in by their cook code on an enrolled tablet."""
    site = request.site  # type: ignore[attr-defined]
    form = CookForm(request.POST or None, site=site)

    def do(said: dict[str, Any]) -> str:
        code = said["code"].strip()
        person = actions.add_person(
            site=site,
            code=code,
            name=said["name"].strip(),
            role=Role.COOK,
            # A cook has no password, so that nobody signs in by this name; it only tells sites apart.
            handle=f"{site.slug}.{code}".lower(),
            cook_code=said["cook_code"],
            hand=hand_of(request, said["entry_id"]),
        )
        return f"{person} added, staff code {person.code}."

    return enter(request, form, do, title="Add a cook", back=reverse("people"), room="larder")


def _person(request: HttpRequest, pk: int) -> Person:
    return get_object_or_404(Person, pk=pk, site=request.site)  # type: ignore[attr-defined]


@head_chef_only
def change_code(request: HttpRequest, pk: int) -> HttpResponse:
    """Another cook code: one that was forgotten, or that others know."""
    person = _person(request, pk)
    form = CookCodeChangeForm(request.POST or None, site=person.site)

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        actions.change_cook_code(person=person, cook_code=said["cook_code"], hand=hand)
        return f"Cook code of {person} changed."

    title = f"Cook code of {person}"
    return enter(request, form, do, title=title, back=reverse("people"), room="larder")


@head_chef_only
def leave(request: HttpRequest, pk: int) -> HttpResponse:
    """A person signs in no more; if they came back, again."""
    person = _person(request, pk)
    here = person.is_active
    verb = "No more sign-in" if here else "Sign-in again"
    form = LeaveForm(request.POST or None, site=person.site, submit=verb)

    def do(said: dict[str, Any]) -> str:
        act = actions.let_go if here else actions.take_back
        act(person=person, hand=hand_of(request, said["entry_id"]))
        return f"{person} signs in {'no more' if here else 'again'}."

    title = f"{person} signs in {'no more' if here else 'again'}"
    return enter(request, form, do, title=title, back=reverse("people"), room="larder")
