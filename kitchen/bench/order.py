"""Whether a corrected moment leaves the work in its order."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from kitchen.batches.models import Bag
from kitchen.chilling.models import ChillIn, ChillOut
from kitchen.cooking.models import BagIn, BagOut, BathLog
from kitchen.ledger.models import standing

# Kind of entry: the other end of the stay, and whether that end must come after it.
_ENDS = {
    "bags.in": (BagOut, True, "came out"),
    "bags.out": (BagIn, False, "went in"),
    "chill.in": (ChillOut, True, "came out"),
    "chill.out": (ChillIn, False, "went in"),
}


def out_of_order(site: Any, kind: str, said: dict[str, Any], at: datetime) -> str | None:
    """Why this moment can't be, in words; None if it can."""
    if "log" in said and at < BathLog.objects.get(entry_id=said["log"]).started_at:
        return "That is before this bath log began. Check the time."
    if kind not in _ENDS:
        return None
    model, after, words = _ENDS[kind]
    bags = Bag.objects.filter(batch__site=site, batch__code=said["batch"], number__in=said["bags"])
    where = {"bath_log__entry_id": said["log"]} if "log" in said else {"chiller__name": said["chiller"]}
    ends = standing(model.objects.filter(bag__in=bags, **where)).order_by("at")
    other = ends.first() if after else ends.last()
    if other and (at > other.at if after else at < other.at):
        return f"That is {'after' if after else 'before'} the bags {words}. Check the time."
    return None
