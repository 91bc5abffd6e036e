"""What stays for service have in common: the words that choose their rows, and when they end."""

from __future__ import annotations

from datetime import datetime

from haccp.case import HOT_HOLD, Case
from haccp.course import gone_at
from haccp.record import ServiceStay

HOT, AMBIENT = HOT_HOLD, "ambient"
AS_CONTROL = "time as control"
# In the condition of a row that lets food be out only once.
ONCE = "single period"
SERVED_AS = frozenset({"served cold", "served hot"})


def words_of(case: Case, stay: ServiceStay) -> frozenset[str]:
    """The words by which the rows for a stay are chosen.

    Where nobody told whether food was out cold or hot, the rows for both hold.
    """
    if stay.kind == HOT:
        return case.words | stay.words | {HOT}
    words = (case.words - {HOT}) | stay.words | {AS_CONTROL}
    return words if words & SERVED_AS else words | SERVED_AS


def end_of(case: Case, stay: ServiceStay) -> datetime:
    """When a stay ended: as told, or when the bag was gone, or now."""
    ends = [each for each in (stay.until, gone_at(case.bag), case.record.seen_at) if each is not None]
    return max(min(ends), stay.from_at)
