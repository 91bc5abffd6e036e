"""Ids that are made where an entry is made and sort by the time of making."""

from __future__ import annotations

import secrets
import time
from uuid import UUID


def new_id() -> UUID:
    """A version 7 UUID (RFC 9562, section 5.7): 48 bits of Unix milliseconds, 74 random bits."""
    milliseconds = time.time_ns() // 1_000_000
    value = (milliseconds & ((1 << 48) - 1)) << 80 | secrets.randbits(80)
    value = value & ~(0xF << 76) | 0x7 << 76
    value = value & ~(0x3 << 62) | 0x2 << 62
    return UUID(int=value)
