"""Why this limit and not another, in plain words.

A limit is chosen by what is true of a food, by the day, by the layers of a regime and by what the kitchen
chose. Each of these can pass a row over, and the answer says which did.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from haccp.limitrows import HOLDS, Limit
from haccp.limits import Ruleset, chain
from haccp.sources import source

__all__ = ["PassedOver", "explain", "passed_over"]

_OPERATORS = {">=": "at least", "<=": "at most", "within": "within", "": ""}


def explain(limit: Limit, words: Collection[str] | None = None, ruleset: Ruleset | None = None) -> str:
    """Why this limit and not another, in plain words.

    `words` are what is true of a food; with them the answer says which of them triggered the limit.
    With a `ruleset` too it says which other rows of the topic were passed over, and why.
    """
    parts = [
        f"{limit.id}: {limit.condition.rstrip('.')}. {_asked(limit).rstrip('.')}.",
        *_triggers(limit, words),
        *(() if ruleset is None else _layers(limit, ruleset)),
    ]
    if limit.unless:
        parts.append(f"Not where the food is: {', '.join(sorted(limit.unless))}.")
    if limit.table:
        parts.append("It is one row of a table: any row that is met will do.")
    if limit.trigger:
        parts.append("It is no limit to be met: a duty begins there.")
    if limit.advice:
        parts.append("It is advice: it is shown and decides no outcome.")
    if limit.ships_off:
        parts.append(limit.ships_off)
    parts += _pedigree(limit)
    if ruleset is not None:
        parts += [f"Passed over: {each}" for each in passed_over(limit, words or (), ruleset)]
    return " ".join(parts)


def _asked(limit: Limit) -> str:
    if limit.strict and limit.operator in ("<=", ">="):
        return f"{'less' if limit.operator == '<=' else 'more'} than {limit.printed}"
    return f"{_OPERATORS[limit.operator]} {limit.printed}".strip()


def _triggers(limit: Limit, words: Collection[str] | None) -> Iterator[str]:
    if words is not None:
        triggers = sorted((limit.applies | limit.any_of) & frozenset(words))
        if triggers:
            yield f"It applies because the food is: {', '.join(triggers)}."
        else:
            yield "It applies to every food under this regime, save what it excepts."
    elif needed := [*sorted(limit.applies), *([" or ".join(sorted(limit.any_of))] if limit.any_of else [])]:
        yield f"It applies to food that is: {', '.join(needed)}."


def _layers(limit: Limit, ruleset: Ruleset) -> Iterator[str]:
    """Whose row it is where the regime has layers, and which rows below it stands in for."""
    names = {regime.key: regime.name for regime in chain(ruleset.regime)}
    if limit.regime in names and limit.regime != ruleset.regime:
        yield f"It is a row of {names[limit.regime]}, on which {ruleset.name} lies."
    if limit.replaces:
        yield f"It stands in for {', '.join(limit.replaces)}."


def _pedigree(limit: Limit) -> Iterator[str]:
    edition = f", {limit.edition}" if limit.edition else ""
    yield f"Source: {source(limit.source).title}, {limit.section}{edition} ({limit.status})."
    if limit.in_force_from:
        yield f"In force since {limit.in_force_from.isoformat()}."
    if limit.in_force_until:
        yield f"In force until {limit.in_force_until.isoformat()}."
    if limit.not_covered:
        yield f"Not covered: {limit.not_covered}"
    yield (
        f"Provenance: {limit.provenance}, confidence {limit.confidence}; "
        f"last confirmed {limit.last_confirmed.isoformat()}."
    )


@dataclass(frozen=True)
class PassedOver:
    """One row, or the rows of one table, that did not decide, and the one reason why."""

    rows: tuple[Limit, ...]
    name: str
    why: str

    def __str__(self) -> str:
        return f"{self.name}: {self.why}"


def passed_over(limit: Limit, words: Collection[str], ruleset: Ruleset) -> tuple[PassedOver, ...]:
    """The rows of the same topic, on the same kind of figure, that did not decide; a table counts as one.

    `words` are what is true of the food. Rows of the limit's own table are alternatives and not
    among them.
    """
    have, found = frozenset(words), dict[tuple[str, str], list[Limit]]()
    names = {table.key: table.name for regime in chain(ruleset.regime) for table in regime.tables}
    for row in _others(limit, ruleset):
        found.setdefault((row.table or row.id, _why(row, limit, have, ruleset)), []).append(row)
    return tuple(
        PassedOver(tuple(rows), names.get(key, rows[0].id), why) for (key, why), rows in found.items()
    )


def _others(limit: Limit, ruleset: Ruleset) -> Iterator[Limit]:
    kinds = HOLDS if limit.quantity in HOLDS else (limit.quantity,)
    everything = {row.id: row for regime in chain(ruleset.regime) for row in regime.limits}
    everything |= {row.id: row for row in ruleset.rows}
    for row in everything.values():
        same = row.topic == limit.topic and row.quantity in kinds and row.id != limit.id
        if same and not (limit.table and row.table == limit.table):
            yield row


def _why(row: Limit, limit: Limit, have: frozenset[str], ruleset: Ruleset) -> str:
    """The first reason that passes a row over, in the order in which rows are chosen."""
    here = {each.id: each for each in ruleset.rows}
    if row.id not in here:
        return _not_here(row, ruleset)
    if lost := sorted(row.applies - have):
        return f"it is for food that is {', '.join(lost)}."
    if row.any_of and not row.any_of & have:
        return f"it is for food that is {' or '.join(sorted(row.any_of))}."
    if barred := sorted(row.unless & have):
        return f"it is not for food that is {', '.join(barred)}."
    if here[row.id].advice:
        return "it is advice and decides no outcome."
    return _beside(row, limit)


def _not_here(row: Limit, ruleset: Ruleset) -> str:
    if not row.in_force(ruleset.day):
        later = row.in_force_from is not None and row.in_force_from > ruleset.day
        edge = row.in_force_from if later else row.in_force_until
        return f"it is in force only {'from' if later else 'until'} {edge}."
    by = [each for each in ruleset.rows if row.id in each.replaces]
    if by:
        return f"{by[0].id} stands in for it ({by[0].whose})."
    return f"it is off. {row.ships_off}"


def _beside(row: Limit, limit: Limit) -> str:
    """How a row that applies too stands to the limit."""
    if row.table or limit.table:
        return "it applies too, and a row of it must be met as well."
    if row.value is None or limit.value is None or row.operator != limit.operator:
        return "it applies too, and is judged on its own."
    if row.unit != limit.unit or (row.clock, row.start, row.end) != (limit.clock, limit.start, limit.end):
        return "it applies too, and is judged on its own."
    if row.value == limit.value:
        return "it applies too and asks the same."
    weaker = (row.value < limit.value) == (row.operator == ">=")
    return f"it applies too and asks {'less' if weaker else 'more'}: {_asked(row)}."
