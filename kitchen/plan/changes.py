"""What differs between two contents of the plan, in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kitchen.plan.parts import Item

# The parts of a plan in the order in which they are printed, with their titles.
TITLES = {
    "site": "Site and rules",
    "scope": "Scope",
    "team": "Team",
    "guests": "Guests",
    "families": "Dish families",
    "questions": "Questions of the decision",
    "points": "Critical control points",
    "limits": "Critical limits",
    "approvals": "Approvals",
    "prerequisites": "Prerequisites",
    "validation": "Validation",
    "equipment": "Equipment",
    "calibration": "Probes",
    "verification": "Verification",
    "duties": "Records asked for",
    "training": "Training",
    "triggers": "Review",
    "sources": "Sources",
}
# What follows from a change that is told elsewhere is not told again.
_FOLLOWS = ("sources", "questions")
_DIGEST = re.compile(r"[0-9a-f]{64}")
_LISTS = {"dishes": "Dish", "way": "Step", "hazards": "Hazard"}


@dataclass(frozen=True)
class Change:
    """One difference, and the part of the plan that it is in."""

    part: str
    words: str


def changes(before: dict[str, Any], after: dict[str, Any]) -> list[Change]:
    """Every difference between two contents, in the order of the plan."""
    old, new = before["plan"], after["plan"]
    found = [
        Change(title, words)
        for part, title in TITLES.items()
        if part not in _FOLLOWS
        for words in _part(old.get(part, []), new.get(part, []))
    ]
    if not found and old != new:
        found = [Change("Sources", "Other sources, or other words of the same plan.")]
    return found


def _part(old: list[Any], new: list[Any]) -> Iterator[str]:
    if all(isinstance(each, str) for each in [*old, *new]):
        yield from (f"No longer: {each}" for each in old if each not in new)
        yield from (f"New: {each}" for each in new if each not in old)
        return
    yield from _items(old, new, "")


def _items(old: list[Item], new: list[Item], where: str) -> Iterator[str]:
    was, now = ({each["key"]: each for each in items} for items in (old, new))
    for key, each in was.items():
        if key not in now:
            yield f"{where}{each['name']}: no longer in the plan."
    for key, each in now.items():
        if key not in was:
            yield f"{where}{each['name']}: new."
        else:
            yield from _facts(was[key], each, where)


def _facts(was: Item, now: Item, where: str) -> Iterator[str]:
    name = f"{where}{now['name']}"
    if was["name"] != now["name"]:
        yield f"{where}{was['name']}: now {now['name']}."
    old, new = dict(was["facts"]), dict(now["facts"])
    for label in dict.fromkeys([*old, *new]):
        for shift in _shifts(old.get(label, ""), new.get(label, "")):
            yield f"{name}, {label[0].lower()}{label[1:]}: {shift}"
    for part, word in _LISTS.items():
        if part in now or part in was:
            yield from _items(was.get(part, []), now.get(part, []), f"{now['name']}: {word.lower()} ")
    if was.get("point", "") != now.get("point", ""):
        yield from (f"{name}: {shift}" for shift in _shifts(was.get("point", ""), now.get("point", "")))


def _shifts(old: str, new: str) -> Iterator[str]:
    """From one text to another; where one of them has several lines, line by line."""
    was, now = (each.split("\n") if each else [] for each in (old, new))
    if max(len(was), len(now)) > 1:
        yield from (f"no longer {each}" for each in was if each not in now)
        yield from (f"now {each}" for each in now if each not in was)
    elif old != new:
        yield f"{_short(old)} → {_short(new)}" if old and new else f"now {new}" if new else f"no longer {old}"


def _short(text: str) -> str:
    """A digest by its first sixteen signs; any other text as it is."""
    return text[:16] if _DIGEST.fullmatch(text) else text
