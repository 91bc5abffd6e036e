"""The page of one limit: why it is one here, its source, and what other regimes print of the same."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from haccp import explain
from haccp.limitrows import Limit
from haccp.limits import Ruleset, all_limits, regimes
from haccp.sources import source
from haccp.why import passed_over
from haccp.words import TOPICS
from kitchen.law import words
from kitchen.law.rows import Row
from kitchen.methods.governed import food_words, governs, open_methods
from kitchen.methods.models import Method
from kitchen.people.models import LimitChoice
from kitchen.people.regime import names, rules_of

# A regime with more rows of a kind than this has a table of its own, folded.
FEW = 8


@dataclass(frozen=True)
class Elsewhere:
    """What another regime prints on the same step and the same kind of figure."""

    regime: str
    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Why:
    """Why a limit is about one dish, and what was passed over for it."""

    method: Method
    said: str
    over: tuple[str, ...]


def limit_named(key: str) -> Limit | None:
    """A limit of any regime by its id."""
    return next((each for each in all_limits() if each.id == key), None)


def page(site: Any, limit: Limit, day: date) -> dict[str, Any]:
    """The context of a limit's page as of a day."""
    rules = rules_of(site, day)
    here = next((each for each in rules.rows if each.id == limit.id), None)
    methods = open_methods(site) if here else []
    about = [each for each in methods if governs(limit, food_words(each))]
    others = elsewhere(limit, {each.id for each in rules.rows})
    choices = LimitChoice.objects.filter(site=site, limit=limit.id, withdrawn_by=None)
    return {
        "limit": limit,
        "row": Row(here or limit, tuple(about), bool(about) and len(about) == len(methods)),
        "here": here,
        "standing": _standing(limit, here, rules),
        "rules": rules,
        "topic": TOPICS[limit.topic],
        "quantity": limit.quantity.replace("_", " "),
        "status": words.status(limit),
        "food": words.food(limit),
        "regime": regimes()[limit.regime],
        "explained": explain(here or limit),
        "whys": [_why(each, here, rules) for each in about] if here else [],
        "table": [
            Row(each, (), False) for each in rules.rows if limit.table and each.table == limit.table and here
        ],
        "few": [each for each in others if len(each.rows) <= FEW],
        "many": [each for each in others if len(each.rows) > FEW],
        "choices": choices.select_related("entry__person").order_by("-entry__seq"),
        "day": day,
        "source": source(limit.source),
    }


def _why(method: Method, limit: Limit, rules: Ruleset) -> Why:
    have = food_words(method)
    return Why(method, explain(limit, have), tuple(str(each) for each in passed_over(limit, have, rules)))


def _standing(limit: Limit, here: Limit | None, rules: Ruleset) -> str:
    """Whether it is in force at the site on the day, and if not, why."""
    if here is not None:
        own = rules.name == names().get(limit.regime) or limit.regime == rules.regime
        taken = "" if own else f" It comes from {names()[limit.regime]}."
        return (
            "It is shown here as advice and decides no outcome." if here.advice else "In force here."
        ) + taken
    if by := [each.id for each in rules.rows if limit.id in each.replaces]:
        return f"Not in force here: {by[0]} stands in its place."
    if not limit.in_force(rules.day):
        return f"Not in force on that day: it is in force {words.in_force(limit)}."
    if limit.ships_off and any(each.regime == limit.regime for each in rules.rows):
        return f"Switched off here. {limit.ships_off}"
    return f"Not in force here: it is a limit of {names()[limit.regime]}."


def elsewhere(limit: Limit, have: set[str]) -> list[Elsewhere]:
    """The rows of other regimes on the same step and kind of figure, by regime, as far as they are on."""
    found: dict[str, list[Row]] = {}
    for each in all_limits():
        same = each.topic == limit.topic and each.quantity == limit.quantity
        if same and each.regime != limit.regime and each.id not in have and not each.ships_off:
            found.setdefault(each.regime, []).append(Row(each, (), False))
    return [Elsewhere(key, names()[key], tuple(rows)) for key, rows in found.items()]
