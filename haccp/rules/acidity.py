"""Acid, water activity, salt: where a food rests on one of them, one row that is met will do.

The rows are ways of showing one thing: that little can grow. They are asked only of food whose words
say that it rests on them; a figure that meets none of them takes the ground from under its life.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset, exact
from haccp.record import Assay, BatchRecord, Finding, Outcome, Step
from haccp.rules.assays import words_of_food
from haccp.rules.figures import Beside, asked, of_batch

RULE = "acidity.proven"
TOPIC = "acidity"
_TOGETHER = "together with"
# What is measured, and the unit in which rows print it.
_UNITS = {"pH": "pH", "water_activity": "aw", "salt_aqueous": "percent"}


def check_acidity(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Food that rests on acid, dryness or salt shows one figure that proves it; measured in each batch.

    Rows of one table are ways to show it; several tables are all to be met.
    """
    words = words_of_food(record)
    tables: dict[str, list[Limit]] = {}
    for row in ruleset.limits(TOPIC, words):
        if row.quantity in _UNITS and not row.trigger:
            tables.setdefault(row.table or row.id, []).append(row)
    assays = [each for each in record.assays if each.quantity in _UNITS]
    return [_table(rows, assays) for rows in tables.values()]


def _table(rows: list[Limit], assays: list[Assay]) -> Finding:
    ways = [(row, figures) for row in rows if (figures := _figures(row, assays))]
    if not ways:
        row = rows[0]
        asked_for = " or ".join(_asked(each) for each in rows)
        said = f"Nobody measured what this food rests on; {asked_for} is asked ({row.whose})."
        remedy = "Measure it with a meter that was checked today, where the food changes slowest."
        return of_batch(RULE, Step.STORE, Outcome.UNPROVEN, said, limit=row.id, remedy=remedy)
    row, figures = min(ways, key=lambda way: (-_rank(way[1]), way[1][0].margin))
    said = f"{_said(figures)}; {_asked(row)} ({row.whose})"
    outcome, tail = Outcome.MEETS, ": met, proven."
    if not all(each.met for each in figures):
        outcome = Outcome.FAILS
        tail = f": {next(each for each in figures if not each.met).margin_said}."
        if len(rows) > 1:
            tail = f"{tail[:-1]}, and no other way is shown."
    elif not all(each.proven for each in figures):
        outcome, tail = Outcome.UNPROVEN, ": within the meter's tolerance, so not proven."
    elif not all(each.checked for each in assays):
        outcome, tail = Outcome.UNPROVEN, ": a meter was not checked that day, so not proven."
    return of_batch(RULE, Step.STORE, outcome, said + tail, **_fields(figures, assays))


def _rank(figures: list[Beside]) -> int:
    """How far a way is shown: 2 proven, 1 as read, 0 missed."""
    if all(each.proven for each in figures):
        return 2
    return 1 if all(each.met for each in figures) else 0


def _figures(row: Limit, assays: list[Assay]) -> list[Beside]:
    """The worst figure for each thing that a row asks; empty where one of them was not measured."""
    first = _worst(row, row.quantity, assays)
    if first is None:
        return []
    if row.second is None or row.second_is != _TOGETHER:
        return [first]
    other = next((each for each, unit in _UNITS.items() if unit == row.second.unit), "")
    second = _worst(replace(row, value=row.second.value, unit=row.second.unit, second=None), other, assays)
    return [] if second is None else [first, second]


def _worst(row: Limit, quantity: str, assays: list[Assay]) -> Beside | None:
    """Of several figures of one thing the one that is furthest on the wrong side."""
    figures = [
        Beside(row, exact(each.value), exact(each.tolerance)) for each in assays if each.quantity == quantity
    ]
    sign = 1 if row.operator == ">=" else -1
    return min(figures, key=lambda each: sign * each.value - each.tolerance, default=None)


def _asked(row: Limit) -> str:
    """What a row asks, with the figure that is to be met with it."""
    if row.second is not None and row.second_is == _TOGETHER:
        return f"{asked(row)} with {row.second} at most"
    return asked(row)


def _said(figures: list[Beside]) -> str:
    names = [each.measured for each in figures]
    return f"{_capital(names[0])} was measured{f' with {names[1]}' if len(names) > 1 else ''}"


def _capital(said: str) -> str:
    """A capital letter where the figure begins with a word other than pH."""
    return said if said.startswith("pH") else f"{said[:1].upper()}{said[1:]}"


def _fields(figures: list[Beside], assays: list[Assay]) -> dict[str, Any]:
    return figures[0].figures(*(each.entry for each in assays))


BATCH_CHECKS: list[BatchCheck] = [check_acidity]
