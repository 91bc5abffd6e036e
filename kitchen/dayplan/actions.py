"""What is done about the day plan."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from kitchen.base.refusals import Refused
from kitchen.dayplan.models import DishWanted
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.methods.models import Method

AHEAD = timedelta(days=14)


def want_dish(*, method: Method, bags: int, grams: int, ready_at: datetime, hand: Hand) -> DishWanted:
    """Put a dish on the plan: so many bags, ready at a moment to come."""
    if not method.signed_id:
        raise Refused("That method is not signed: nothing can be planned by it.", "method")
    if not hand.moment < ready_at <= hand.moment + AHEAD and not taken_before(hand):
        raise Refused("Plan for a time between now and two weeks ahead.", "ready_at")
    said = {
        "dish": method.dish.name,
        "version": method.version,
        "bags": bags,
        "grams": grams,
        "ready_at": ready_at,
    }
    entry = record("dayplan.want", said, hand=hand)
    return DishWanted.objects.get(entry=entry)


@projects("dayplan.want", correctable=True)
def _want(entry: Entry, said: dict[str, Any]) -> None:
    method = Method.objects.get(dish__site=entry.site, dish__name=said["dish"], version=said["version"])
    DishWanted.objects.create(
        site=entry.site,
        entry=entry,
        at=entry.happened_at,
        method=method,
        bags=said["bags"],
        grams=said["grams"],
        ready_at=datetime.fromisoformat(said["ready_at"]),
    )


def drop_dish(*, wanted: DishWanted, reason: str, hand: Hand) -> Entry:
    """Take a dish off the plan; the line stays in the chain with the reason."""
    return correct(wanted.entry_id, None, reason=reason, hand=hand)
