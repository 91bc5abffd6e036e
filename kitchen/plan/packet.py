"""The packet for a special process: what an authority wants to see before it approves one method.

It is asked for where the regime wants a variance, and shown where it wants to be consulted. It is
made for a draft too, since the approval comes before the first bag.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string

from haccp.limits import Limit
from kitchen.base.moments import local
from kitchen.ledger import canonical
from kitchen.ledger.chain import head
from kitchen.methods.governed import governs
from kitchen.methods.models import Method
from kitchen.papers.pdf import Attached, render
from kitchen.people.regime import rules_of
from kitchen.plan.approvals import approvals
from kitchen.plan.content import compose
from kitchen.plan.families import Family, families
from kitchen.plan.paper import SHEETS
from kitchen.plan.parts import Item, figure, limit_item
from kitchen.plan.showing import Shown, context

# How a row says that somebody is to be asked first.
_ASKS = re.compile(r"\b(variance|approval|consult\w*|permission)\b", re.IGNORECASE)


def asks(row: Limit) -> bool:
    """Whether a row of the regime says that an authority is to be asked."""
    return bool(_ASKS.search(f"{row.condition} {row.note} {row.not_covered}"))


def asked_for(method: Method, family: Family, now: datetime) -> list[Item]:
    """The rows of the regime about this food that ask for an approval, a variance, a consultation."""
    site = method.dish.site
    rules = rules_of(site, local(now, site.timezone).date())
    words = family.all_words.union(*(family.words_at(step) for step in family.way))
    return [limit_item(row) for row in rules.rows if asks(row) and governs(row, words)]


def label(method: Method, family: Family, now: datetime) -> list[tuple[str, str]]:
    """What the label of a bag says."""
    site = method.dish.site
    rules = rules_of(site, local(now, site.timezone).date())
    kept = [row for row in rules.limits("chill_store", family.all_words) if row.tier in ("keep", "")]
    coldest = min(kept, key=lambda row: (row.upper or row.amount).celsius, default=None)
    at_once = "not stored: served at once"
    life, keep = at_once, at_once
    if method.life_days:
        life = f"{method.life_days} days from the day of the cook, as the regime counts them"
        keep = f"{figure(coldest)} [{coldest.id}]" if coldest else "as cold as the fridge is set"
    return [
        ("Kitchen", site.name),
        ("Dish", method.dish.name),
        ("Batch and bag", f"code of the batch and number of the bag, such as {site.code}-261125-A / 3"),
        ("Sealed and cooked", "day and time"),
        ("Use by", life),
        ("Keep", keep),
        ("Allergens", method.allergens or "none declared"),
    ]


def packet_context(method: Method, now: datetime) -> dict[str, Any]:
    """Everything that the packet prints."""
    site = method.dish.site
    (family,) = families([method])
    newest = head(site)
    shown = Shown(site, compose(site, now, [method]), None, None, newest.recorded_at if newest else now)
    return {
        **context(shown),
        "method": method,
        "asked": asked_for(method, family, now),
        "label": label(method, family, now),
        "approvals": approvals(site, local(now, site.timezone).date(), method),
    }


def packet_pdf(method: Method, now: datetime) -> bytes:
    """The packet on paper, its content attached as data."""
    said = packet_context(method, now)
    html = render_to_string("plan/packet.html", said)
    shown: Shown = said["shown"]
    data = Attached("packet.json", "The content of this packet", canonical.text(shown.content))
    return render(html, made_at=shown.made_at, attached=[data], sheets=SHEETS)
