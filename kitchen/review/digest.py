"""The digest of what is known of a batch: it tells whether anything came after a signature."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from datetime import datetime
from typing import Any

from haccp import record


def record_digest(gathered: record.BatchRecord, signed_at: datetime | None = None) -> str:
    """A digest of what is known of a batch, whenever it is looked at.

    A fridge that is read twice a day as it should be says nothing new of a signed batch, so its
    readings after `signed_at` are left out; what they change shows in the outcome.

    Two records with one digest hold the same facts; when it changes after a signature, the
    batch has reopened. A probe's check after its last reading here is no fact of the batch: where
    it fails, the readings before it are no longer trusted, and that is one.
    """
    facts = _told(gathered)
    del facts["seen_at"]
    if signed_at is not None:
        for log in facts.get("logs", ()):
            if log["key"].startswith("fridge:"):
                log["readings"] = [each for each in log["readings"] if each["at"] <= signed_at]
    last = _last_readings(gathered)
    checks = facts.get("probe_checks", ())
    facts["probe_checks"] = [each for each in checks if each["at"] <= last[each["probe"]]]
    text = json.dumps(facts, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _told(value: Any) -> Any:
    """What was told, as plain values. A field that says nothing is left out, so that a new kind of fact
    which nobody has told yet does not open what was signed before there was such a kind."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = ((each, getattr(value, each.name)) for each in dataclasses.fields(value))
        return {each.name: _told(said) for each, said in fields if said != each.default}
    if isinstance(value, tuple):
        return [_told(each) for each in value]
    return sorted(value) if isinstance(value, frozenset) else value


def _last_readings(gathered: record.BatchRecord) -> dict[str, datetime]:
    """When each probe was last read for a batch."""
    last: dict[str, datetime] = {}
    for each in gathered.readings():
        last[each.probe] = max(each.at, last.get(each.probe, each.at))
    return last
