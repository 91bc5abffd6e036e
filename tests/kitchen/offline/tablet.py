"""A tablet without network, for tests: it keeps forms and sends them when it is told to."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from typing import Any

from kitchen.base.ids import new_id
from kitchen.offline import sealing


class FakeTablet:
    """Keeps what a cook logs; its clock may be out."""

    def __init__(self, client: Any, factory: Any, *, ahead: timedelta = timedelta(0)) -> None:
        self.client, self.factory, self.ahead = client, factory, ahead
        self.entries: list[dict[str, Any]] = []
        self.who = factory.cook
        self.token = sealing.token(factory.cook, factory.now)

    def keep(self, address: str, *, minutes: float = 0, **fields: Any) -> dict[str, Any]:
        """Log something, some minutes after the last thing."""
        now: datetime = self.factory.pass_time(minutes)
        entry_id = str(new_id())
        said = {name: value if isinstance(value, list) else [str(value)] for name, value in fields.items()}
        entry = {
            "id": entry_id,
            "address": address,
            "fields": {"entry_id": [entry_id], **said},
            "tablet_time": (now + self.ahead).isoformat(),
            "ahead_ms": round(self.ahead / timedelta(milliseconds=1)),
            "by": self.who.code,
            "token": self.token,
            "sealed": "",
            "tablet": "By the baths",
            "words": f"logged at {address}",
        }
        self.entries.append(entry)
        return entry

    def send(self, entries: list[Any] | None = None, **more: Any) -> Any:
        """Send what is kept; the answer."""
        sent = {"sent_at": (self.factory.now + self.ahead).isoformat()}
        said = {**sent, "entries": self.entries if entries is None else entries, **more}
        return self.client.post("/outbox/", json.dumps(said), content_type="application/json")

    def answers(self, entries: list[Any] | None = None) -> list[tuple[str, str]]:
        """Send, and say what became of each."""
        answer = self.send(entries)
        assert answer.status_code == 200, answer.content
        return [(each["answer"], each["said"]) for each in answer.json()["answers"]]
