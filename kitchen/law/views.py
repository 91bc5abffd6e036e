"""Pages of the law: the limits in force here, one limit, and what the head chef chooses."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from haccp.limits import regimes
from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.law import limit_page, rows
from kitchen.law.forms import ChoiceForm, RegimeForm
from kitchen.people.actions import change_regime, choose_limit
from kitchen.people.hands import hand_of, head_chef_only
from kitchen.people.regime import chosen_on, names, regime_on


def _today(request: HttpRequest) -> date:
    return moments.local(moments.now(), request.site.timezone).date()  # type: ignore[attr-defined]


def _day(request: HttpRequest) -> tuple[date, str]:
    """The day that is asked for, or today with what is wrong with what was typed."""
    said, today = request.GET.get("day", "").strip(), _today(request)
    try:
        return (date.fromisoformat(said) if said else today), ""
    except ValueError:
        return today, f"“{said}” is no day: type it like {today.isoformat()}. These are the limits of today."


def limits(request: HttpRequest) -> HttpResponse:
    """The limits in force here on a day; those of another regime for information."""
    site = request.site  # type: ignore[attr-defined]
    day, wrong = _day(request)
    own = regime_on(site, day)
    wanted = request.GET.get("regime") or own
    if wanted not in regimes():
        raise Http404("No such regime.")
    search = request.GET.get("q", "").strip()
    context = {
        "shown": rows.shown(site, wanted, day, search),
        "name": names()[wanted],
        "own": own,
        "own_name": names()[own],
        "wanted": wanted,
        "others": [(key, name) for key, name in names().items() if key != own],
        "search": search,
        "day": day,
        "wrong": wrong,
        "today": _today(request),
        "room": "larder",
    }
    return render(request, "law/limits.html", context, status=422 if wrong else 200)


def limit(request: HttpRequest, key: str) -> HttpResponse:
    """One limit of any regime: why it applies here or not, its source, and what others print."""
    found = limit_page.limit_named(key)
    if found is None:
        raise Http404("No such limit.")
    day, _ = _day(request)
    site = request.site  # type: ignore[attr-defined]
    context = limit_page.page(site, found, day) | {
        "today": _today(request),
        "chosen": key in chosen_on(site, _today(request)),
        "room": "larder",
    }
    return render(request, "law/limit.html", context)


@head_chef_only
def choose(request: HttpRequest, key: str) -> HttpResponse:
    """Put a limit that ships switched off in force from now on, or take it out again."""
    site = request.site  # type: ignore[attr-defined]
    found = limit_page.limit_named(key)
    if found is None or not found.ships_off:
        raise Http404("No such limit is switched off.")
    on = key not in chosen_on(site, _today(request))
    form = ChoiceForm(
        request.POST or None, site=site, submit="Put it in force" if on else "Take it out again"
    )

    def do(said: dict[str, Any]) -> str:
        choose_limit(limit=key, on=on, reason=said["reason"], hand=hand_of(request, said["entry_id"]))
        state = "in force" if on else "no longer in force"
        return f"{key} is {state} for batches that are begun from now on."

    return enter(
        request,
        form,
        do,
        title=f"{key}: put in force" if on else f"{key}: take out again",
        back=reverse("limit", args=[key]),
        template="law/choose.html",
        row=rows.Row(found, (), False),
        on=on,
        room="larder",
    )


@head_chef_only
def regime(request: HttpRequest) -> HttpResponse:
    """Let other limits apply at this site from a day on."""
    site = request.site  # type: ignore[attr-defined]
    form = RegimeForm(request.POST or None, site=site, today=_today(request))

    def do(said: dict[str, Any]) -> str:
        change_regime(
            regime=said["regime"],
            from_day=said["from_day"],
            reason=said["reason"],
            hand=hand_of(request, said["entry_id"]),
        )
        return f"From {said['from_day']:%d %b %Y} the limits of {names()[said['regime']]} apply."

    return enter(request, form, do, title="Change the regime", back=reverse("site"), room="larder")
