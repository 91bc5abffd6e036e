"""Walk a site's chain and name the first entry that does not hold."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from kitchen.ledger import canonical
from kitchen.ledger.chain import genesis
from kitchen.ledger.models import Entry


@dataclass(frozen=True)
class Flaw:
    """The first entry of a chain that does not hold, and why."""

    seq: int
    reason: str


@dataclass(frozen=True)
class Verdict:
    """What a walk along one chain found."""

    site: str
    count: int
    head: str
    flaw: Flaw | None


def _flaw(entry: Entry, seq: int, previous: str, site: Any) -> Flaw | None:
    if entry.seq != seq:
        return Flaw(seq, f"entry no. {seq} is missing; no. {entry.seq} stands in its place")
    if canonical.digest(entry.body) != entry.digest:
        return Flaw(seq, f"the content of entry no. {seq} does not give its digest: it was changed")
    if entry.previous != previous:
        return Flaw(seq, f"entry no. {seq} does not follow the one before it")
    try:
        body = json.loads(entry.body)
    except ValueError:
        return Flaw(seq, f"the content of entry no. {seq} can't be read")
    columns = {
        "id": str(entry.pk),
        "site": site.slug,
        "seq": entry.seq,
        "kind": entry.kind,
        "happened_at": canonical.plain(entry.happened_at),
        "recorded_at": canonical.plain(entry.recorded_at),
        "person": entry.person.code if entry.person else None,
        "previous": entry.previous,
    }
    wrong = [name for name, value in columns.items() if body.get(name) != value]
    if wrong:
        return Flaw(seq, f"entry no. {seq} says otherwise in its columns: {', '.join(wrong)}")
    return None


def verify(site: Any) -> Verdict:
    """Check every entry of a site against its digest, its columns and the one before it."""
    previous, count = genesis(site), 0
    entries = Entry.objects.of_site(site).select_related("person").iterator(chunk_size=2000)
    for seq, entry in enumerate(entries, start=1):
        flaw = _flaw(entry, seq, previous, site)
        if flaw:
            return Verdict(site.slug, count, previous, flaw)
        previous, count = entry.digest, seq
    return Verdict(site.slug, count, previous, None)
