"""A limit in words that a kitchen uses: its figure with the side on which to be, its days, its provenance."""

from __future__ import annotations

from datetime import date

from haccp.limitrows import Limit
from kitchen.base.filters import day as day_in_words

_SIDES = {
    (">=", False): "at least",
    (">=", True): "more than",
    ("<=", False): "at most",
    ("<=", True): "less than",
}
_DUTIES = {"no_limit": "no figure is printed", "required": "required", "prohibited": "prohibited"}
_STATUSES = {
    "law": "law: it binds",
    "proposed law": "proposed law: it does not bind yet",
    "model code": "model code: it binds where it was adopted",
    "guidance": "guidance: it is not law; an officer expects it or better",
    "research": "research: nobody asks for it",
}
_PROVENANCES = {
    "page seen": "the printed page was read",
    "page seen (secondary reproduction)": "read where another prints it again, not at its source",
    "derived from page seen": "worked out from a page that was read",
    "from memory": "written down from memory, and to be checked at its source",
}
_CONFIDENCES = {
    "high": "sure of it",
    "medium-high": "fairly sure of it",
    "medium": "not quite sure of it",
    "low-medium": "rather unsure of it",
    "low": "unsure of it",
}


def figure(limit: Limit) -> str:
    """The figure with its unit and the side on which to be, or the duty in words."""
    if limit.unit == "rule_ref":
        return f"as {limit.text}"
    if limit.unit == "date":
        return f"from {day_in_words(date.fromisoformat(limit.text))}"
    if limit.value is None:
        return _DUTIES.get(limit.text, limit.text.replace("_", " "))
    side = _SIDES.get((limit.operator, limit.strict), "")
    return f"{side} {limit.printed}".strip()


def status(limit: Limit) -> str:
    """What a status means for a kitchen."""
    return _STATUSES[limit.status]


def provenance(limit: Limit) -> str:
    """How far its source was seen, and how sure who wrote it down was."""
    seen = _PROVENANCES.get(limit.provenance, limit.provenance)
    return f"{seen}; {_CONFIDENCES.get(limit.confidence, limit.confidence)}"


def in_force(limit: Limit) -> str:
    """From when until when, as far as that is known."""
    first, last = (day_in_words(each) if each else "" for each in (limit.in_force_from, limit.in_force_until))
    if first and last:
        return f"from {first} until {last}"
    if first:
        return f"since {first}"
    return f"until {last}" if last else "no day is given"


def food(limit: Limit) -> str:
    """For which food it is."""
    needed = sorted(limit.applies)
    if limit.any_of:
        needed.append(" or ".join(sorted(limit.any_of)))
    said = f"food that is: {', '.join(needed)}" if needed else "every food"
    return f"{said}, not where it is {', '.join(sorted(limit.unless))}" if limit.unless else said
