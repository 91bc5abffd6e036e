"""What a tablet sends: one kept form each, read strictly."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from kitchen.base.refusals import Refused
from kitchen.ledger import canonical

MOST_ENTRIES, MOST_BYTES = 100, 20_000
# A clock further out than this is no clock: a century, so that no sum of moments overflows.
MOST_AHEAD_MS = 3_155_760_000_000


@dataclass(frozen=True)
class Sent:
    """One form as the tablet kept it. `ahead` is the tablet's clock less the server's, when last seen."""

    entry_id: UUID
    address: str
    fields: dict[str, list[str]]
    tablet_time: datetime
    ahead: timedelta
    by: str
    token: str
    sealed: str
    tablet: str
    words: str

    @property
    def made_at(self) -> datetime:
        """When it was made, on the server's clock."""
        return self.tablet_time - self.ahead

    @property
    def content(self) -> str:
        """A digest of what was said, by which a resend is told from another entry with the same id."""
        return canonical.digest(canonical.text([self.address, self.fields]))

    @property
    def proof(self) -> dict[str, str]:
        """By what its maker is to be known."""
        return {"token": self.token, "sealed": self.sealed}


def read(raw: Any) -> Sent:
    """One entry of an outbox; refuses what no tablet of ours would send."""
    if not isinstance(raw, dict) or len(json.dumps(raw)) > MOST_BYTES:
        raise Refused("This is no entry of an outbox.")
    try:
        said = Sent(
            entry_id=UUID(_text(raw, "id", 36)),
            address=_text(raw, "address", 200),
            fields=_fields(raw["fields"]),
            tablet_time=datetime.fromisoformat(_text(raw, "tablet_time", 40)),
            ahead=timedelta(milliseconds=_whole(raw["ahead_ms"])),
            by=_text(raw, "by", 8),
            token=_text(raw, "token", 400),
            sealed=_text(raw, "sealed", 1000),
            tablet=_text(raw, "tablet", 40),
            words=_text(raw, "words", 300),
        )
        if said.tablet_time.tzinfo is None:
            raise ValueError("a moment without its zone")
        # Both must be moments that can be written down.
        canonical.text([said.tablet_time, said.made_at])
    except (ValueError, TypeError, KeyError, OverflowError) as trouble:
        raise Refused("This is no entry of an outbox, or a part of it is missing.") from trouble
    return said


def _text(raw: dict[str, Any], name: str, most: int) -> str:
    value = raw[name]
    if not isinstance(value, str) or len(value) > most or "\x00" in value:
        raise ValueError(name)
    value.encode()  # a lone half of a surrogate pair can't be written down
    return value


def _whole(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > MOST_AHEAD_MS:
        raise ValueError("ahead_ms")
    return value


def _fields(raw: Any) -> dict[str, list[str]]:
    if not isinstance(raw, dict) or len(raw) > 100:
        raise ValueError("fields")
    found = {}
    for name, values in raw.items():
        if not isinstance(values, list) or len(values) > 100:
            raise ValueError(name)
        texts = {str(place): value for place, value in enumerate(values)}
        found[_text({"name": name}, "name", 60)] = [_text(texts, place, 2000) for place in texts]
    return found


def entries_of(raw: Any) -> Sequence[Any]:
    """The list of entries in what was sent; refuses anything else."""
    entries = raw.get("entries") if isinstance(raw, dict) else None
    if not isinstance(entries, list):
        raise Refused("This is no outbox.")
    if len(entries) > MOST_ENTRIES:
        raise Refused(f"Send at most {MOST_ENTRIES} entries at a time.")
    return entries
