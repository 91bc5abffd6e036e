"""Pages of the methods: all dishes, one version with what the rules say of it, a new version, a signature."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.base.refusals import Refused
from kitchen.methods import foresight
from kitchen.methods.actions import draft_method, sign_method
from kitchen.methods.approvals import Approved, of_method
from kitchen.methods.forms import MethodForm, SignForm
from kitchen.methods.models import Dish, Method
from kitchen.people.hands import hand_of, head_chef_only

PREFILLED = [
    *("material", "attributes", "shape", "thickness_mm", "thickness_max_mm", "thickness_tolerance_mm"),
    *("bath_min", "chill_medium", "life_days", "brine_percent", "brine_min"),
    *("allergens", "preparation", "finish"),
]


def methods(request: HttpRequest) -> HttpResponse:
    """All dishes with the versions of their methods."""
    site = request.site  # type: ignore[attr-defined]
    dishes = Dish.objects.filter(site=site).prefetch_related(
        "methods__signed__person", "methods__entry__person"
    )
    return render(request, "methods/methods.html", {"dishes": dishes, "room": "larder"})


def _today(shown: Method) -> date:
    return moments.local(moments.now(), shown.dish.site.timezone).date()


def _method(request: HttpRequest, pk: int) -> Method:
    chosen = Method.objects.select_related("dish__site", "entry__person", "signed__person")
    return get_object_or_404(chosen, pk=pk, dish__site=request.site)  # type: ignore[attr-defined]


def method(request: HttpRequest, pk: int) -> HttpResponse:
    """One version, and what the rules say of it before a bag is ever cooked to it."""
    shown = _method(request, pk)
    latest = shown.dish.methods.order_by("-version").first()
    context = {
        "method": shown,
        "newer": latest if latest != shown else None,
        "foreseen": foresight.of(shown, _today(shown)),
        "approvals": [Approved(each) for each in of_method(shown)],
        "room": "larder",
    }
    return render(request, "methods/method.html", context)


@head_chef_only
def new_method(request: HttpRequest) -> HttpResponse:
    """Write the next version of a method, beginning from the newest one of the dish."""
    site = request.site  # type: ignore[attr-defined]
    dish = request.GET.get("dish", "")
    form = MethodForm(request.POST or None, site=site, initial=_initial(site, dish))
    drafted: list[Method] = []

    def do(said: dict[str, Any]) -> str:
        facts = {name: said[name] for name in form.fields if name not in ("entry_id", "sure", "fold", "dish")}
        made = draft_method(dish=said["dish"], hand=hand_of(request, said["entry_id"]), **facts)
        drafted.append(made)
        return f"{made} kept as a draft. Read what the rules say of it, then sign it."

    title = f"New version: {dish}" if dish else "New method"
    answer = enter(request, form, do, title=title, back=reverse("methods"), room="larder")
    if drafted and answer.status_code == 302:
        answer["Location"] = reverse("method", args=[drafted[0].pk])
    return answer


def _initial(site: Any, dish: str) -> dict[str, Any]:
    """What the newest version says, in the site's unit."""
    if not dish:
        return {}
    newest = Method.objects.filter(dish__site=site, dish__name=dish).order_by("-version").first()
    if newest is None:
        return {"dish": dish}
    initial = {name: getattr(newest, name) for name in PREFILLED}
    for name, value in initial.items():
        if isinstance(value, Decimal):
            initial[name] = f"{value.normalize():f}"
    for name in ("start_max_c", "set_point_c"):
        celsius = getattr(newest, name)
        value = celsius * 9 / 5 + 32 if site.temperature_unit == "degF" else celsius
        initial[name] = f"{value.normalize():f}"
    return {"dish": dish, **initial}


@head_chef_only
def sign(request: HttpRequest, pk: int) -> HttpResponse:
    """Sign a version; refused, with the reason, where it can't reach its limit."""
    shown = _method(request, pk)
    form = SignForm(request.POST or None, site=shown.dish.site)

    def do(said: dict[str, Any]) -> str:
        if not request.user.check_password(said["password"]):
            raise Refused("That is not your password. Nothing was signed.", "password")
        sign_method(method=shown, hand=hand_of(request, said["entry_id"]))
        return f"{shown} is signed. Batches can be made to it."

    return enter(
        request,
        form,
        do,
        title=f"Sign {shown}",
        back=reverse("method", args=[shown.pk]),
        template="methods/sign.html",
        method=shown,
        foreseen=foresight.of(shown, _today(shown)),
        room="larder",
    )
