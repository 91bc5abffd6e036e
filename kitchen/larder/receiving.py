"""The limits at delivery: which apply to a food, and whether it came in above one."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from haccp import units
from haccp.limits import Limit, exact
from haccp.rules.receive import KINDS
from haccp.sources import source
from kitchen.people.regime import rules_of

TOPIC = "receive"
# The word for a lot that the law frees from freezing against parasites.
EXEMPT = "parasite exempt"
STATES = [
    ("chilled", "chilled"),
    ("frozen", "frozen"),
    ("quick-frozen", "quick-frozen, and labelled so"),
    ("hot", "hot"),
    ("ambient", "at room temperature"),
]
NATURES = [
    ("raw", "raw"),
    ("minced", "minced"),
    ("meat preparation", "seasoned or marinated raw meat"),
    ("offal", "offal"),
    ("scombroid", "tuna, mackerel, sardine or another fish that forms histamine"),
]


@dataclass(frozen=True)
class Shown:
    """A limit at delivery as the form shows it."""

    figure: str
    condition: str
    source: str


def words_of(material: str, attributes: Collection[str]) -> frozenset[str]:
    """The words of a delivery by which limits are triggered."""
    words = set(attributes)
    if "quick-frozen" in words:
        words.add("frozen")
    # What is delivered frozen is not judged by what the law asks of fresh, chilled food.
    if words & {"frozen", "hot", "ambient"}:
        words.discard("raw")
    if material in KINDS:
        words.add(KINDS[material])
    return frozenset(words)


def limits_for(site: Any, day: date, material: str, attributes: Collection[str]) -> tuple[Limit, ...]:
    """The temperature limits that a delivery has to meet."""
    return rules_of(site, day).limits(TOPIC, words_of(material, attributes), quantity="food_temperature")


def over_limit(
    site: Any, day: date, material: str, attributes: Collection[str], celsius: Decimal | None
) -> str:
    """In words, the strictest limit that a delivery misses; empty where it misses none."""
    if celsius is None:
        return ""
    read = exact(float(celsius))
    missed = [each for each in limits_for(site, day, material, attributes) if not each.admits_celsius(read)]
    if not missed:
        return ""
    worst = max(missed, key=lambda each: abs(float(_edge(each, read) - read)))
    off = abs(float(_edge(worst, read) - read))
    typed = units.format_temperature(float(celsius), site.temperature_unit)
    off_text = f"{off * 1.8:.1f} °F" if site.temperature_unit == "degF" else f"{off:.1f} °C"
    side = "over" if _edge(worst, read) < read else "under"
    return (
        f"{typed} is {off_text} {side} the limit of {worst.printed} "
        f"({worst.condition}; {worst.whose}, {worst.section}, {worst.status})."
    )


def _edge(limit: Limit, read: Any) -> Any:
    """The edge of a limit that a reading lies beyond."""
    low = limit.amount.exact_celsius
    return limit.upper.exact_celsius if limit.upper and read > low else low


def limits_shown(site: Any, day: date) -> list[Shown]:
    """All temperature limits at delivery that the site's ruleset has."""
    signs = {"<=": "at most ", ">=": "at least ", "within": ""}
    return [
        Shown(
            f"{signs[each.operator]}{each.printed}",
            each.condition,
            f"{source(each.source).title}, {each.section} ({each.status})",
        )
        for each in rules_of(site, day).rows
        if each.topic == TOPIC and each.quantity.endswith("_temperature") and not each.advice
    ]
