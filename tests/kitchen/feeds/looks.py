"""Short ways to look at a file in a test. All files here are of our own invention."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from kitchen.feeds.logger import look
from kitchen.feeds.shapes import Look


def see(text: str | bytes, answers: dict[str, str] | None = None, **more: Any) -> Look:
    data = text.encode() if isinstance(text, str) else text
    return look(data, answers, **{"timezone": "Europe/London", "started_at": None, **more})


def keys(found: Look) -> list[str]:
    return [each.key for each in found.questions]


def celsius(found: Look, channel: int = 0) -> list[Decimal]:
    assert not found.questions, keys(found)
    return [each.celsius for each in found.channels[channel].readings]


def times(found: Look, channel: int = 0) -> list[str]:
    assert not found.questions, keys(found)
    return [f"{each.at:%Y-%m-%d %H:%M:%S}" for each in found.channels[channel].readings]


def refused(found: Look) -> dict[int, str]:
    return {each.line: each.reason for each in found.refused}


def degrees(*values: str) -> list[Decimal]:
    return [Decimal(each) for each in values]
