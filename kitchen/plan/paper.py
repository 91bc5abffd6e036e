"""The plan on paper: a signed version gives the same bytes whenever it is printed."""

from __future__ import annotations

from django.template.loader import render_to_string

from kitchen.ledger import canonical
from kitchen.papers.pdf import Attached, render
from kitchen.plan.showing import Shown, context

SHEETS = ("paper.css", "plan.css")


def plan_pdf(shown: Shown) -> bytes:
    """The PDF, with the content that was signed attached as data."""
    html = render_to_string("plan/paper.html", context(shown))
    data = Attached("plan.json", "The content of this plan, as it is signed", canonical.text(shown.content))
    return render(html, made_at=shown.made_at, attached=[data], sheets=SHEETS)
