"""Whether the work stays in its order: of one corrected moment, and of all that was logged of a batch."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from kitchen.base import moments
from kitchen.batches.models import Bag, Batch
from kitchen.bench.whereabouts import events
from kitchen.chilling.models import ChillIn, ChillOut
from kitchen.cooking.models import BagIn, BagOut, BathLog
from kitchen.finishing.actions import ENDS
from kitchen.ledger.models import standing

# Kind of entry: the other end of the stay, and whether that end must come after it.
_ENDS = {
    "bags.in": (BagOut, True, "came out"),
    "bags.out": (BagIn, False, "went in"),
    "chill.in": (ChillOut, True, "came out"),
    "chill.out": (ChillIn, False, "went in"),
}
_OUT = {"bath out": "bath in", "chill out": "chill in"}
# A form keeps minutes only, so a moment of the same minute is not before another.
ALIKE = timedelta(minutes=1)


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


def contradictions(batch: Batch) -> set[str]:
    """What can't be true of the bags of a batch, each in a sentence: two places at once, out before in."""
    found: set[str] = set()
    zone, begun = batch.site.timezone, batch.entry.happened_at
    bags: dict[int, tuple[str, int, str]] = {}
    sealed: set[int] = set()
    for _, number, kind, at, place, name, _ in events([batch]):
        if not number:
            continue
        bag, when = f"Bag {number}", moments.clock(at, zone)
        if at < begun - ALIKE:
            found.add(f"{bag}: {when} is before its batch was begun, {moments.clock(begun, zone)}.")
        if kind == "seal":
            sealed.add(number)
            continue
        here = bags.get(number, ("", 0, ""))
        if here[0] == "end":
            found.add(f"{bag}: more was logged at {when}, after it was {here[2]}.")
        elif kind in _OUT:
            if here[:2] != (_OUT[kind], place):
                found.add(f"{bag} came out at {when} of a place where it was not.")
            bags[number] = ("", 0, "")
        elif kind in ("bath in", "chill in", "store"):
            # Out of a fridge is never logged: what comes next says it.
            if here[0] in ("bath in", "chill in"):
                found.add(f"{bag} went into {name} at {when} while it was in {here[2]}.")
            if number not in sealed:
                found.add(f"{bag} went into {name} at {when}, before it was sealed.")
            bags[number] = (kind, place, name)
        elif kind == "end" and name in ENDS:
            bags[number] = ("end", 0, name)
    return found
