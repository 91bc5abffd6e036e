"""Which critical limits are about a method's food, and which methods a limit is about."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from haccp.case import words_of
from haccp.limits import Limit, Ruleset
from haccp.rules.receive import KINDS
from haccp.words import TOPICS
from kitchen.methods.models import Method

# What happens to a food at some step, whatever it is: a row that asks for one of these is about every
# dish that comes to that step.
AT_A_STEP = frozenset(
    {
        *("raw", "chilled", "frozen", "quick-frozen", "hot", "received warm", "bulk raw", "from ambient"),
        *("thawing", "running water", "brined", "fridge", "sealed", "barrier", "chill only", "packaged"),
        *("hot hold", "time as control", "microwave", "commercially processed", "non-continuous"),
        *("roast table", "sealed hot", "34 °F store"),
    }
)


def food_words(method: Method) -> frozenset[str]:
    """The words of a method's food by which limits are triggered, those of its delivery among them."""
    kind = KINDS.get(method.material)
    return words_of(method.facts) | (frozenset({kind}) if kind else frozenset())


def governs(limit: Limit, words: Collection[str]) -> bool:
    """Whether a limit is about food of these words at some step of its way."""
    asked = (limit.applies | limit.any_of) & AT_A_STEP
    return limit.triggered_by(frozenset(words) | asked)


def limits_of(method: Method, rules: Ruleset) -> list[Limit]:
    """The limits that are about a method's food and decide an outcome, in the order of the work."""
    words, order = food_words(method), list(TOPICS)
    found = [each for each in rules.rows if not each.advice and governs(each, words)]
    return sorted(found, key=lambda each: order.index(each.topic))


def open_methods(site: Any) -> list[Method]:
    """The methods to which batches may be made or are about to be: of each dish the newest signed one,
    and a draft that is newer."""
    found: dict[int, list[Method]] = {}
    methods = Method.objects.filter(dish__site=site).select_related("dish__site", "entry", "signed")
    for method in methods.order_by("dish__name", "-version"):
        kept = found.setdefault(method.dish_id, [])
        if not any(each.signed_id for each in kept):
            kept.append(method)
    return [method for methods in found.values() for method in methods]


def governed(limits: Iterable[Limit], methods: Iterable[Method]) -> dict[str, list[Method]]:
    """For each limit, by id, the methods that it is about."""
    words = [(method, food_words(method)) for method in methods]
    return {each.id: [method for method, of in words if governs(each, of)] for each in limits}
