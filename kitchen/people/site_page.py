"""The page of the site itself: where it is, whose limits apply, and what was chosen."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kitchen.base import moments
from kitchen.people.regime import changes, chosen_on, names, regime_on


def site_page(request: HttpRequest) -> HttpResponse:
    """Whose limits apply here, since when and why, and what comes next."""
    site: Any = request.site  # type: ignore[attr-defined]
    today = moments.local(moments.now(), site.timezone).date()
    called = names()
    own = regime_on(site, today)
    history = site.regime_changes.select_related("entry__person").order_by("-entry__seq")
    context = {
        "today": today,
        "regime": called[own],
        "opened_under": called.get(site.regime, site.regime),
        "history": [(each, called.get(each.regime, each.regime)) for each in history],
        "coming": [
            (each, called.get(each.regime, each.regime)) for each in changes(site) if each.from_day > today
        ],
        "chosen": sorted(chosen_on(site, today)),
        "room": "larder",
    }
    return render(request, "people/site.html", context)
