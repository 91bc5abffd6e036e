"""The day plan: what must go in when, so that everything is ready."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.dayplan import actions, planning
from kitchen.dayplan.forms import DropForm, WantForm
from kitchen.dayplan.models import DishWanted
from kitchen.dayplan.picture import plan_picture
from kitchen.ledger.models import standing
from kitchen.people.hands import hand_of, head_chef_only


def day_asked(request: HttpRequest, today: date) -> date:
    """The day in the address; today where there is none, or none that can be read."""
    try:
        asked = date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        return today
    return asked if abs((asked - today).days) <= 366 else today


def context_of(site: Any, day: date, now: Any) -> dict[str, Any]:
    """What page and paper show of a day."""
    plan = planning.plan_of(site, day, now)
    title = _("Day plan")
    chart = plan_picture(plan.placed, timezone=site.timezone, title=title)
    return {"plan": plan, "chart": chart, "day": day}


def day_plan(request: HttpRequest) -> HttpResponse:
    """One day: what is wanted, which bath takes it, and what is to be done when."""
    site, now = request.site, moments.now()  # type: ignore[attr-defined]
    today = moments.local(now, site.timezone).date()
    day = day_asked(request, today)
    near = {"before": day - timedelta(days=1), "after": day + timedelta(days=1), "today": today}
    return render(request, "dayplan/day.html", context_of(site, day, now) | near)


@head_chef_only
def want(request: HttpRequest) -> HttpResponse:
    """Put a dish on the plan."""
    site, now = request.site, moments.now()  # type: ignore[attr-defined]
    form = WantForm(request.POST or None, site=site, methods=planning.newest_methods(site), now=now)
    back = reverse("day_plan")

    def do(said: dict[str, Any]) -> str:
        line = actions.want_dish(
            method=said["method"],
            bags=said["bags"],
            grams=said["grams"],
            ready_at=said["ready_at"],
            hand=hand_of(request, said["entry_id"]),
        )
        nonlocal back
        back = f"{back}?day={moments.local(line.ready_at, site.timezone).date()}"
        return _("%(dish)s is on the plan.") % {"dish": line.method.dish.name}

    answer = enter(request, form, do, title=_("Put a dish on the plan"), back=back)
    if answer.status_code == 302:
        answer["Location"] = back
    return answer


@head_chef_only
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a dish off the plan."""
    lines = standing(DishWanted.objects.filter(site=request.site))  # type: ignore[attr-defined]
    line = get_object_or_404(lines.select_related("method__dish"), pk=pk)
    form = DropForm(request.POST or None, site=line.site)

    def do(said: dict[str, Any]) -> str:
        actions.drop_dish(wanted=line, reason=said["reason"], hand=hand_of(request, said["entry_id"]))
        return _("%(dish)s is off the plan.") % {"dish": line.method.dish.name}

    day = moments.local(line.ready_at, line.site.timezone).date()
    title = _("Take %(dish)s off the plan") % {"dish": line.method.dish.name}
    return enter(request, form, do, title=title, back=f"{reverse('day_plan')}?day={day}")
