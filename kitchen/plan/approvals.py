"""What an authority has approved for this kitchen, as the plan prints it."""

from __future__ import annotations

from datetime import date

from django.db.models import Q

from kitchen.ledger.models import standing
from kitchen.methods.approvals import in_words
from kitchen.methods.models import Approval, Method
from kitchen.papers.wordings import Wordings
from kitchen.people.models import Site
from kitchen.plan.parts import Item, item, joined


def approvals(site: Site, day: date, method: Method | None = None) -> list[Item]:
    """The approvals that stand on a day, or those of them that may be about one method."""
    found = standing(Approval.objects.filter(Q(until=None) | Q(until__gte=day), site=site, ended=None))
    if method is not None:
        found = found.filter(Q(dish=None) | Q(dish=method.dish))
    return [_said(each) for each in found.select_related("entry", "dish", "paper").order_by("entry__seq")]


def _said(each: Approval) -> Item:
    return item(
        f"{each.authority}: {each.reference}",
        f"{each.authority}, {each.reference}",
        [
            (
                "Granted",
                Wordings.day(each.day) + (f", until {Wordings.day(each.until)}" if each.until else ""),
            ),
            ("Dish", each.dish.name if each.dish else "every dish"),
            ("For food that is", joined(sorted(each.scope)) or "any"),
            ("Allows", " ".join(in_words(one) for one in each.allows)),
            ("Note", each.note),
            (
                "Document",
                f"{each.paper.name}, digest {each.paper.digest[:16]}" if each.paper else "none kept",
            ),
            ("Entry", f"no. {each.entry.seq}"),
        ],
    )
