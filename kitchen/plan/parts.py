"""The parts that a plan's content is made of: plain values, so that they can be signed, compared and printed.

An item is a thing with a key by which two versions are compared, a name, and facts: pairs of label and text.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from haccp.limits import Limit, Ruleset
from haccp.sources import source

Item = dict[str, Any]
Facts = Iterable[tuple[str, str]]

_OPERATORS = {">=": "at least ", "<=": "at most ", "within": "within ", "": ""}
# Quantities whose figure says by itself which way it is meant.
_PLAIN = ("core_hold", "cool_stage", "cool_total")
_FEW = 6


def item(key: str, name: str, facts: Facts, **more: Any) -> Item:
    """A thing of the plan; facts without a text are left out."""
    return {"key": key, "name": name, "facts": [[label, text] for label, text in facts if text], **more}


def joined(words: Sequence[str]) -> str:
    """*a*; *a and b*; *a, b and c*."""
    return " and ".join(([", ".join(words[:-1])] if words[:-1] else []) + list(words[-1:]))


def figure(row: Limit) -> str:
    """The figure of a limit with its direction: at most 3 °C, 60 °C for 45 min, required."""
    if row.value is None:
        return row.printed.replace("_", " ")
    if row.quantity in _PLAIN or (row.end is not None and row.quantity == "elapsed_time"):
        return row.printed
    if row.operator == "within" and row.upper in (None, row.amount):
        return row.printed
    return f"{_OPERATORS[row.operator]}{row.printed}"


def line(row: Limit) -> str:
    """One limit in a line of the table of critical control points."""
    advice = " (advice)" if row.advice else ""
    return f"{row.condition}: {figure(row)}{advice} [{row.id}]"


def lines(rows: Sequence[Limit], rules: Ruleset) -> list[str]:
    """Limits in lines; rows of one table, of which any one will do, share a line."""
    tables: dict[tuple[str, bool], list[Limit]] = {}
    for row in rows:
        tables.setdefault((row.table or row.id, row.advice), []).append(row)
    return [line(alike[0]) if len(alike) == 1 else _table(alike, rules) for alike in tables.values()]


def _table(rows: list[Limit], rules: Ruleset) -> str:
    first, last = rows[0], rows[-1]
    named = rules.table(first).name
    if len(rows) <= _FEW:
        figures = "; ".join(figure(each) for each in rows)
    else:
        figures = f"{figure(first)} … {figure(last)}, {len(rows)} rows in all"
    advice = ", advice" if first.advice else ""
    return f"Any one row of the {named}{advice}: {figures} [{first.id} … {last.id}]"


def limit_item(row: Limit) -> Item:
    """A limit with its source, as the plan lists it."""
    origin = source(row.source)
    edition = f", {row.edition}" if row.edition else ""
    return item(
        row.id,
        row.condition,
        [
            ("Figure", figure(row)),
            ("Source", f"{origin.title}, {row.section}{edition}"),
            ("Status", f"{row.status}, advice only" if row.advice else row.status),
            ("Provenance", f"{row.provenance}; last confirmed {row.last_confirmed.isoformat()}"),
            ("Not covered", row.not_covered),
        ],
    )
