"""Whose critical limits apply at a site on a day: its regime, and the limits that it chose.

A site is read with its changes once; after that nothing here asks the database again.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import cache
from typing import Any

from django.db.models import prefetch_related_objects

from haccp.limits import Ruleset, all_limits, regimes, ruleset


def regime_on(site: Any, day: date) -> str:
    """The key of the regime that applies at a site on a day."""
    found = str(site.regime)
    for change in changes(site):
        if change.from_day <= day:
            found = change.regime
    return found


def chosen_on(site: Any, day: date) -> frozenset[str]:
    """The limits that ship switched off and that the site had chosen by the end of a day."""
    prefetch_related_objects([site], "limit_choices")
    found: dict[str, bool] = {}
    for choice in site.limit_choices.all():
        if choice.withdrawn_by_id is None and choice.at.astimezone(site.zone).date() <= day:
            found[choice.limit] = choice.on
    return frozenset(limit for limit, on in found.items() if on)


def rules_of(site: Any, day: date) -> Ruleset:
    """The critical limits in force at a site on a day."""
    return rules_under(regime_on(site, day), day, chosen_on(site, day))


def rules_under(regime: str, day: date, chosen: Iterable[str]) -> Ruleset:
    """A ruleset; what was chosen and is no longer in the data is left out."""
    return ruleset(regime, day, frozenset(chosen) & _known())


@cache
def _known() -> frozenset[str]:
    return frozenset(each.id for each in all_limits())


def changes(site: Any) -> list[Any]:
    """The changes of a site's regime in the order in which they were made.

    A later one that begins earlier stands in the place of one that was to begin after it.
    """
    prefetch_related_objects([site], "regime_changes")
    found: list[Any] = []
    for change in site.regime_changes.all():
        if change.withdrawn_by_id is None:
            found = [each for each in found if each.from_day < change.from_day] + [change]
    return found


def names() -> dict[str, str]:
    """Every regime by key, in words; a local layer with the regime that it lies over."""
    known = regimes()
    return {
        key: f"{known[each.over].name}, with {each.name}" if each.over else each.name
        for key, each in known.items()
    }
