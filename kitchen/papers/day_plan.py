"""The day plan on paper: one page for the wall. It is a plan, not a record, so it makes no entry."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from kitchen.base import moments
from kitchen.dayplan.views import context_of, day_asked
from kitchen.papers.pdf import render


def print_day_plan(request: HttpRequest) -> HttpResponse:
    """The plan of a day as a PDF."""
    site, now = request.site, moments.now()  # type: ignore[attr-defined]
    day = day_asked(request, moments.local(now, site.timezone).date())
    context = context_of(site, day, now)
    # Dated by the last line that was written, not by the clock: the same plan gives the same bytes.
    written = max((each.entry.recorded_at for each in context["plan"].wanted), default=now)
    html = render_to_string("papers/day_plan.html", context | {"site": site, "written": written})
    answer = HttpResponse(render(html, made_at=written), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="day-plan-{site.slug}-{day:%Y-%m-%d}.pdf"'
    return answer
