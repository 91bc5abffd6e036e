"""Correct an entry: a new entry with the reason; both stay visible."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, hold, record
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import CORRECTION, correctable


def original(entry: Entry) -> Entry:
    """The entry that a chain of corrections began with."""
    while entry.kind == CORRECTION:
        entry = Entry.objects.get(pk=entry.said["of"])
    return entry


def kind_and_said(entry: Entry) -> tuple[str, dict[str, Any]]:
    """What stands after an entry: its own content, or what a correction put in its place."""
    said = entry.said
    return (said["kind"], said["said"]) if entry.kind == CORRECTION else (entry.kind, said)


def correct(
    of: UUID, said: dict[str, Any] | None, *, reason: str, hand: Hand, happened_at: datetime | None = None
) -> Entry:
    """Replace what entry `of` says by `said` (None: it should not have been made at all)."""
    if not reason.strip():
        raise Refused("Say why it is corrected: the reason is printed beside the old value.", "reason")
    with transaction.atomic():
        hold(hand.site)
        entry = Entry.objects.filter(pk=of, site=hand.site).first()
        if entry is None:
            raise Refused("There is no such entry at this site.")
        kind, _ = kind_and_said(entry)
        if not correctable(kind):
            raise Refused("An entry of this kind can't be corrected. Add what is new beside it.")
        if Entry.objects.filter(
            site=hand.site, kind=CORRECTION, body__contains=f'"of":"{entry.pk}"'
        ).exists():
            raise Refused("This entry was corrected before. Correct the newer one.")
        content = {"of": entry.pk, "kind": kind, "said": said, "reason": reason.strip()}
        return record(CORRECTION, content, hand=hand, happened_at=happened_at or entry.happened_at)
