"""Rulesets as they were when something was signed by them, and what has changed since.

They are kept word for word under their digest, which the signature's entry carries: the data of
the limits may be raised later without touching what was signed, and the officer can still read it.
"""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from functools import lru_cache
from typing import Any

from haccp.limitrows import AMOUNTS, NO_NUMBER, Amount, Limit
from haccp.limits import Ruleset, diff
from kitchen.people.models import KeptRuleset

# What may be written anew about a limit without changing what it asks.
_ABOUT = frozenset(
    {"last_confirmed", "note", "provenance", "confidence", "not_covered", "section", "edition"}
)
_DAYS = {"from": "in_force_from", "until": "in_force_until"}


@dataclass(frozen=True)
class Changed:
    """A limit that differs from what it was: in words then and now, empty where it was or is not."""

    id: str
    condition: str
    before: str
    after: str


def keep(rules: Ruleset, now: datetime) -> KeptRuleset:
    """Keep a ruleset word for word; one that is there already is left as it is."""
    facts = {"content": rules.canonical, "kept_at": now}
    return KeptRuleset.objects.get_or_create(digest=rules.digest, defaults=facts)[0]


def changes(digest: str, now: Ruleset) -> list[Changed] | None:
    """What has changed from a kept ruleset to one of now; None where it was not kept."""
    if digest == now.digest:
        return []
    kept = KeptRuleset.objects.filter(digest=digest).first()
    if kept is None:
        return None
    before = Ruleset(now.regime, now.name, now.day, _rows(kept.content), ())
    return between(before, now)


def between(before: Ruleset, after: Ruleset) -> list[Changed]:
    """What a kitchen has to know of the change from one ruleset to another."""
    found = []
    for each in diff(before, after):
        if each.before and each.after and set(each.fields) <= _ABOUT:
            continue
        row = each.after or each.before
        if row is not None:
            found.append(Changed(each.id, row.condition, _in_words(each.before), _in_words(each.after)))
    return found


def _in_words(row: Limit | None) -> str:
    if row is None:
        return ""
    side = {">=": "at least ", "<=": "at most "}.get(row.operator, "")
    return f"{side}{row.printed}" + (" (advice)" if row.advice else "")


@lru_cache(maxsize=16)
def _rows(content: str) -> tuple[Limit, ...]:
    return tuple(limit_of(each) for each in json.loads(content)["limits"])


def limit_of(row: dict[str, Any]) -> Limit:
    """The limit that :meth:`haccp.limitrows.Limit.plain` wrote down, also by an earlier version of it."""
    given: dict[str, Any] = {}
    for field in dataclasses.fields(Limit):
        name = field.name
        said = row.get({to: key for key, to in _DAYS.items()}.get(name, name))
        if name == "text" or said is None:
            continue
        if name in AMOUNTS:
            given[name] = Amount(Fraction(said["value"]), said["unit"])
        elif name in ("applies", "any_of", "unless"):
            given[name] = frozenset(said)
        elif name in (*_DAYS.values(), "last_confirmed"):
            given[name] = date.fromisoformat(said)
        else:
            given[name] = tuple(said) if isinstance(said, list) else said
    figure, words = given.pop("value"), given["unit"] in NO_NUMBER
    return Limit(value=None if words else Fraction(figure), text=str(figure) if words else "", **given)
