"""The page of one probe: its checks, and what its newest failed check puts in doubt."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from kitchen.base import moments
from kitchen.equipment.checking import due_after
from kitchen.equipment.models import Probe
from kitchen.review import reach

SHOWN = 30


def probe(request: HttpRequest, pk: int) -> HttpResponse:
    """One probe. It stands in this room since only here it is known which batches were judged by it."""
    site = request.site  # type: ignore[attr-defined]
    shown = get_object_or_404(Probe, pk=pk, site=site)
    newest = reach.newest_check(shown)
    checks = shown.checks.select_related("entry__person").order_by("-at", "-pk")[:SHOWN]
    due = (
        due_after(site, moments.local(newest.at, site.timezone).date()) if newest and newest.passed else None
    )
    context = {
        "probe": shown,
        "checks": checks,
        "newest": newest,
        "due": due,
        "reach": reach.of_failed(newest) if newest and not newest.passed else None,
        "room": "larder",
    }
    return render(request, "equipment/probe.html", context)
