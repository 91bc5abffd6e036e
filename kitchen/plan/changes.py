"""What differs between two contents of the plan, in words."""

from __future__ import annotations

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
        if old.get(label) != new.get(label):
            yield f"{name}, {label[0].lower()}{label[1:]}: {_shift(old.get(label), new.get(label))}"
    for part, word in _LISTS.items():
        if part in now or part in was:
            yield from _items(was.get(part, []), now.get(part, []), f"{now['name']}: {word.lower()} ")
    if was.get("point", "") != now.get("point", ""):
        yield f"{name}: {_shift(was.get('point'), now.get('point'))}"


def _shift(old: str | None, new: str | None) -> str:
    if not old:
        return f"now {new}"
    return f"{old} → {new}" if new else f"no longer {old}"
