"""What stays for service have in common: the words that choose their rows, and when they end."""

from __future__ import annotations

from datetime import datetime

from haccp.case import Case
from haccp.course import gone_at
from haccp.record import ServiceStay

HOT, AMBIENT = "hot hold", "ambient"
AS_CONTROL = "time as control"


def words_of(case: Case, stay: ServiceStay) -> frozenset[str]:
    """The words by which the rows for a stay are chosen."""
    return case.words | stay.words | {HOT if stay.kind == HOT else AS_CONTROL}


def end_of(case: Case, stay: ServiceStay) -> datetime:
    """When a stay ended: as told, or when the bag was gone, or now."""
    ends = [each for each in (stay.until, gone_at(case.bag), case.record.seen_at) if each is not None]
    return max(min(ends), stay.from_at)
