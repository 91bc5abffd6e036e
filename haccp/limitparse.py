"""How a row of a limits file becomes a :class:`haccp.limitrows.Limit`, and what is refused on the way."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

from haccp.datafiles import PROVENANCES
from haccp.errors import DataError
from haccp.limitrows import AMOUNTS, CONFIDENCES, NO_NUMBER, OPERATORS, STATUSES, UNITS, Amount, Limit, exact
from haccp.sources import sources
from haccp.words import ATTRIBUTES, VOCABULARY

_WORDED = ("id", "condition", "source", "section", "edition", "not_covered", "note")
_REQUIRED = frozenset(
    {*_WORDED, "topic", "applies", "unless", "quantity", "operator", "value", "unit"}
    | {"status", "provenance", "confidence", "last_confirmed"}
)
_FLAGS = ("strict", "trigger", "advice")
_OPTIONAL = frozenset(
    {*AMOUNTS, *_FLAGS, *(VOCABULARY.keys() - _REQUIRED), "table", "any_of", "first_day"}
    | {"chosen_only", "from", "until", "replaces"}
)
_WORDS = (*_WORDED, *VOCABULARY, "table", "chosen_only")


def _amount(table: Any, where: str) -> Amount:
    if not isinstance(table, dict) or set(table) != {"value", "unit"}:
        raise DataError(f"{where} needs a value and a unit, and nothing else.")
    if table["unit"] not in UNITS or not _is_number(table["value"]):
        raise DataError(f"{where}: a number and one of these units: {', '.join(UNITS)}.")
    return Amount(exact(table["value"]), table["unit"])


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _one_of(table: dict[str, Any], name: str, choices: tuple[str, ...], where: str) -> str:
    if table[name] not in choices:
        raise DataError(f"{where}: {name} must be one of: {', '.join(each or 'empty' for each in choices)}.")
    return str(table[name])


def _check_words(table: dict[str, Any], where: str) -> None:
    """Every word by which a row is chosen is one of :mod:`haccp.words`."""
    for name in ("applies", "any_of", "unless"):
        words = table.get(name, [])
        if not isinstance(words, list):
            raise DataError(f"{where}: {name} is a list of words.")
        if unknown := [each for each in words if each not in ATTRIBUTES]:
            raise DataError(f"{where}: {name} has {_quoted(unknown)}, which haccp/words.py does not have.")
    for name, known in VOCABULARY.items():
        if name in table and table[name] not in known:
            raise DataError(
                f"{where}: {name} is {_quoted([table[name]])}, which haccp/words.py does not have."
            )


def _quoted(words: list[Any]) -> str:
    return ", ".join(f"“{each}”" for each in words)


def _check_figures(table: dict[str, Any], where: str) -> None:
    """Value, unit and operator go together, and no figure lacks its partner."""
    unit = table["unit"]
    if unit == "date":
        if type(table["value"]) is not date:
            raise DataError(f"{where}: a value in date is a day, written 2020-12-31.")
    elif not (isinstance(table["value"], str) if unit in NO_NUMBER else _is_number(table["value"])):
        raise DataError(f"{where}: a value in {unit} must {'not ' if unit in NO_NUMBER else ''}be a number.")
    if (unit in ("text", "rule_ref")) != (table["operator"] == ""):
        raise DataError(f"{where}: a number needs an operator, words need none.")
    if (table["operator"] == "within") != ("upper" in table):
        raise DataError(f"{where}: “within” needs its upper edge, and nothing else has one.")
    if table["quantity"] in ("core_hold", "freeze_hold") and "hold" not in table:
        raise DataError(f"{where}: a hold needs how long it is.")
    if ("second" in table) != ("second_is" in table):
        raise DataError(f"{where}: a second figure comes with second_is, which says what it is.")


def _check_days(table: dict[str, Any], where: str) -> None:
    starts, ends = table.get("from"), table.get("until")
    for day in (starts, ends, table["last_confirmed"]):
        if day is not None and type(day) is not date:
            raise DataError(f"{where}: days are written 2020-12-31.")
    if starts and ends and ends < starts:
        raise DataError(f"{where}: it ends before it starts.")


def parse_limit(table: dict[str, Any], regime: str, file: str, number: int) -> Limit:
    """A row of a limits file as a :class:`haccp.limitrows.Limit`, where its fields are explained.

    `file` and `number` (1 for the first) name the row in an error together with its id.
    Raises :class:`DataError` for a missing or unknown key, an unknown source, unit,
    operator, status or provenance, a word that :mod:`haccp.words` does not have, figures that do not go
    together, and days the wrong way round.
    """
    where = f"{file}, limit {number} ({table.get('id', 'without id')})"
    if missing := sorted(_REQUIRED - table.keys()):
        raise DataError(f"{where}: {', '.join(missing)} missing.")
    if unknown := sorted(table.keys() - _REQUIRED - _OPTIONAL):
        raise DataError(f"{where}: unknown key {', '.join(unknown)}.")
    if table["source"] not in sources():
        raise DataError(f"{where}: the bibliography has no source “{table['source']}”.")
    unit = _one_of(table, "unit", UNITS, where)
    operator = _one_of(table, "operator", OPERATORS, where)
    _check_words(table, where)
    _check_figures(table, where)
    _check_days(table, where)
    rest: dict[str, Any] = {name: str(table[name]) for name in _WORDS if name in table}
    rest |= {name: _amount(table[name], f"{where} {name}") for name in AMOUNTS if name in table}
    rest |= {name: table[name] is True for name in _FLAGS if name in table}
    return Limit(
        regime=regime,
        value=None if unit in NO_NUMBER else exact(table["value"]),
        text=str(table["value"]) if unit in NO_NUMBER else "",
        unit=unit,
        operator=operator,
        status=_one_of(table, "status", STATUSES, where),
        provenance=_one_of(table, "provenance", PROVENANCES, where),
        confidence=_one_of(table, "confidence", CONFIDENCES, where),
        in_force_from=table.get("from"),
        in_force_until=table.get("until"),
        last_confirmed=table["last_confirmed"],
        applies=frozenset(table["applies"]),
        any_of=frozenset(table.get("any_of", ())),
        unless=frozenset(table["unless"]),
        replaces=tuple(table.get("replaces", ())),
        first_day=table.get("first_day"),
        **rest,
    )
