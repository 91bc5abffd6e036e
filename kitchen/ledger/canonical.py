"""The one form in which an entry is hashed: canonical JSON.

Keys sorted, no spaces, UTF-8, no floats (a number is an integer or a text), moments in UTC.
The same content always gives the same bytes, on every machine.
"""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any
from uuid import UUID


def plain(value: Any) -> Any:
    """The JSON value of a Python value; a float is refused, for it has no one spelling."""
    match value:
        case None | bool() | int():
            return value
        case Enum():
            return value.value
        case str():
            return value
        case float():
            raise TypeError(f"A float ({value!r}) can't stand in an entry: give a Decimal or a text.")
        case Decimal():
            return f"{value.normalize():f}"
        case datetime():
            if value.tzinfo is None:
                raise TypeError(f"The moment {value!r} has no time zone.")
            return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
        case date():
            return value.isoformat()
        case UUID():
            return str(value)
        case dict():
            return {str(key): plain(each) for key, each in value.items()}
        case list() | tuple():
            return [plain(each) for each in value]
        case set() | frozenset():
            return sorted(plain(each) for each in value)
    raise TypeError(f"{type(value).__name__} can't stand in an entry.")


def text(value: Any) -> str:
    """Canonical JSON of a value."""
    return json.dumps(plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def digest(body: str) -> str:
    """SHA-256 of a body's UTF-8 bytes, in hexadecimal."""
    return hashlib.sha256(body.encode()).hexdigest()


def moment(said: str) -> datetime:
    """The moment that `plain` wrote."""
    return datetime.fromisoformat(said.replace("Z", "+00:00"))
