"""What a change of limits means for the methods that are open at a site."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from haccp.limits import Ruleset
from haccp.record import Outcome
from kitchen.methods.actions import findings_under
from kitchen.methods.governed import food_words, governs, open_methods
from kitchen.methods.models import Method
from kitchen.people.kept import Changed, between
from kitchen.people.regime import chosen_on, rules_under


@dataclass(frozen=True)
class Touched:
    """An open method, the changed limits that are about it, and what it would fail by the new ones."""

    method: Method
    limits: tuple[str, ...]
    failing: tuple[str, ...]


def touched(
    methods: Iterable[Method], before: Ruleset, after: Ruleset
) -> tuple[list[Changed], list[Touched]]:
    """What changes between two rulesets, and which methods it touches, with their failings after it."""
    changed = between(before, after)
    was, will = ({each.id: each for each in rules.rows} for rules in (before, after))
    found = []
    for method in methods:
        have = food_words(method)
        about = [
            each.id
            for each in changed
            if any(row and governs(row, have) for row in (was.get(each.id), will.get(each.id)))
        ]
        if about:
            failing = [each for each in findings_under(method, after) if each.outcome == Outcome.FAILS]
            found.append(Touched(method, tuple(about), tuple(each.sentence for each in failing)))
    return changed, found


def under(site: Any, regime: str, day: date) -> Ruleset:
    """A regime on a day with what the site chose by then."""
    return rules_under(regime, day, chosen_on(site, day))


def failing_under(site: Any, regime: str, day: date) -> list[Touched]:
    """The signed open methods of a site that would fail under a regime."""
    rules = under(site, regime, day)
    found = []
    for method in open_methods(site):
        failing = [each for each in findings_under(method, rules) if each.outcome == Outcome.FAILS]
        if method.signed_id and failing:
            found.append(Touched(method, (), tuple(each.sentence for each in failing)))
    return found
