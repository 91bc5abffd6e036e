"""One limit as its source prints it, and how a row of a limits file becomes one.

A limit keeps the unit of print. A measured value is compared with it exactly (in
fractions), never converted, rounded and then compared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property
from typing import Any

from haccp import units
from haccp.datafiles import PROVENANCES
from haccp.errors import DataError, RangeError
from haccp.sources import sources

STATUSES = ("law", "model code", "guidance", "research")
CONFIDENCES = ("high", "medium-high", "medium", "low")
OPERATORS = ("<=", ">=", "within", "")
_TIME_S = {"s": 1, "min": 60, "h": 3600, "day": 86400}
# Units that are words, with a plural.
_WORDS_OF_TIME = ("day", "month")
_NO_NUMBER = ("text", "rule_ref")
_SYMBOLS = {"degC": " °C", "degF": " °F", "per_day": " a day", "log10": " log", "": ""}
UNITS = (*_TIME_S, "month", "degC", "degF", "mm", "per_day", "log10", "mg/dm2", "mg/kg", *_NO_NUMBER)

_REQUIRED = (
    "id",
    "topic",
    "condition",
    "applies",
    "unless",
    "quantity",
    "operator",
    "value",
    "unit",
    "source",
    "section",
    "edition",
    "status",
    "provenance",
    "confidence",
    "not_covered",
    "last_confirmed",
    "note",
)
_AMOUNTS = ("also", "hold", "upper", "start", "end", "also_end", "store", "also_store")
_WORDS = (
    "id",
    "topic",
    "condition",
    "quantity",
    "source",
    "section",
    "edition",
    "not_covered",
    "note",
    "table",
    "clock",
    "event",
    "tier",
    "medium",
    "counts_from",
    "chosen_only",
)
_OPTIONAL = (
    *_AMOUNTS,
    "table",
    "any_of",
    "clock",
    "event",
    "tier",
    "medium",
    "counts_from",
    "first_day",
    "advice",
    "chosen_only",
    "from",
    "until",
    "replaces",
)


def exact(value: float) -> Fraction:
    """The shortest decimal that gives this float, as a fraction: what was read, not its binary tail.

    Raises :class:`RangeError` if it is no number.
    """
    if not math.isfinite(value):
        raise RangeError("A figure to compare with a limit must be a number.")
    return Fraction(repr(float(value)))


@dataclass(frozen=True)
class Amount:
    """A number in its unit of print; `unit` is one of `UNITS`."""

    value: Fraction
    unit: str

    @cached_property
    def exact_celsius(self) -> Fraction:
        """The temperature in °C, exactly; :class:`DataError` for anything but a temperature."""
        if self.unit not in ("degC", "degF"):
            raise DataError(f"{self} is not a temperature.")
        return units.convert(self.value, self.unit, "degC")

    @cached_property
    def celsius(self) -> float:
        """The temperature in °C, to the last digit that a float holds."""
        return float(self.exact_celsius)

    @cached_property
    def seconds(self) -> float:
        """The duration in s; :class:`DataError` for anything but a duration of fixed length."""
        if self.unit not in _TIME_S:
            raise DataError(f"{self} is not a duration.")
        return float(self.value * _TIME_S[self.unit])

    def __str__(self) -> str:
        number = f"{float(self.value):g}".replace("-", "−")
        word = f" {self.unit}s" if self.unit in _WORDS_OF_TIME and self.value != 1 else f" {self.unit}"
        return f"{number}{_SYMBOLS.get(self.unit, word)}"


@dataclass(frozen=True)
class Table:
    """Rows that are alternatives of each other.

    `reference_c` [°C], `z_c`, `z_above_c` [K] and `minutes` [min] are the process on which
    the table rests, where one is published; `basis` says it in words.
    """

    key: str
    name: str
    reference_c: float | None = None
    z_c: float | None = None
    z_above_c: float | None = None
    minutes: float | None = None
    basis: str = ""
    source: str = ""


@dataclass(frozen=True)
class Limit:
    """One limit; the fields are explained at the head of ``data/uk.toml``."""

    id: str
    regime: str
    topic: str
    condition: str
    applies: frozenset[str]
    any_of: frozenset[str]
    unless: frozenset[str]
    quantity: str
    operator: str
    value: Fraction | None
    text: str
    unit: str
    source: str
    section: str
    edition: str
    status: str
    provenance: str
    confidence: str
    not_covered: str
    last_confirmed: date
    note: str
    table: str = ""
    also: Amount | None = None
    hold: Amount | None = None
    upper: Amount | None = None
    start: Amount | None = None
    end: Amount | None = None
    also_end: Amount | None = None
    store: Amount | None = None
    also_store: Amount | None = None
    clock: str = ""
    event: str = ""
    tier: str = ""
    medium: str = ""
    counts_from: str = ""
    first_day: int | None = None
    advice: bool = False
    chosen_only: str = ""
    in_force_from: date | None = None
    in_force_until: date | None = None
    replaces: tuple[str, ...] = ()

    @cached_property
    def amount(self) -> Amount:
        """Value and unit; :class:`DataError` for a row that prints words instead of a number."""
        if self.value is None:
            raise DataError(f"{self.id} prints no number.")
        return Amount(self.value, self.unit)

    @property
    def ships_off(self) -> str:
        """Why the row is off unless the kitchen chose it; empty for a row that is on."""
        if self.chosen_only:
            return self.chosen_only
        return "From memory with low confidence." if self.confidence == "low" else ""

    @property
    def whose(self) -> str:
        """Whose limit it is, in few words."""
        return sources()[self.source].short

    def in_force(self, day: date) -> bool:
        """Whether the row is in force on this day."""
        return (self.in_force_from is None or self.in_force_from <= day) and (
            self.in_force_until is None or day <= self.in_force_until
        )

    def triggered_by(self, words: frozenset[str]) -> bool:
        """Whether the words of a food trigger this row."""
        return (
            self.applies <= words
            and not (self.unless & words)
            and (not self.any_of or bool(self.any_of & words))
        )

    def admits_celsius(self, celsius: Fraction) -> bool:
        """Whether an exact temperature [°C] lies on the right side of a temperature limit."""
        edge = self.amount.exact_celsius
        if self.operator == ">=":
            return celsius >= edge
        if self.operator == "<=":
            return celsius <= edge
        return self.upper is not None and edge <= celsius <= self.upper.exact_celsius

    @property
    def printed(self) -> str:
        """The figure itself in words: ``60 °C for 45 min``, ``3 °C within 90 min``."""
        if self.value is None:
            return self.text
        if self.hold is not None:
            return f"{self.amount} for {self.hold}" if self.hold.value else f"{self.amount}"
        if self.upper is not None:
            return f"{self.amount} to {self.upper}"
        if self.end is not None and self.unit in _TIME_S:
            return f"{self.end} within {self.amount}"
        return str(self.amount)

    def plain(self) -> dict[str, Any]:
        """The row as plain JSON values, the same on every machine."""
        row: dict[str, Any] = {
            "id": self.id,
            "regime": self.regime,
            "topic": self.topic,
            "table": self.table,
            "condition": self.condition,
            "applies": sorted(self.applies),
            "any_of": sorted(self.any_of),
            "unless": sorted(self.unless),
            "quantity": self.quantity,
            "operator": self.operator,
            "value": self.text if self.value is None else _number(self.value),
            "unit": self.unit,
            "from": _day(self.in_force_from),
            "until": _day(self.in_force_until),
            "source": self.source,
            "section": self.section,
            "edition": self.edition,
            "status": self.status,
            "provenance": self.provenance,
            "confidence": self.confidence,
            "not_covered": self.not_covered,
            "last_confirmed": _day(self.last_confirmed),
            "advice": self.advice,
            "chosen_only": self.chosen_only,
            "clock": self.clock,
            "event": self.event,
            "tier": self.tier,
            "medium": self.medium,
            "counts_from": self.counts_from,
            "first_day": self.first_day,
            "replaces": list(self.replaces),
            "note": self.note,
        }
        for name in _AMOUNTS:
            amount: Amount | None = getattr(self, name)
            row[name] = None if amount is None else {"value": _number(amount.value), "unit": amount.unit}
        return row


def _number(value: Fraction) -> int | str:
    # A decimal is kept as text: a float would not be the same bytes everywhere.
    return int(value) if value.denominator == 1 else repr(float(value))


def _day(value: date | None) -> str | None:
    return None if value is None else value.isoformat()


def _amount(table: Any, where: str) -> Amount:
    if not isinstance(table, dict) or set(table) != {"value", "unit"}:
        raise DataError(f"{where} needs a value and a unit, and nothing else.")
    if table["unit"] not in UNITS or isinstance(table["value"], str | bool):
        raise DataError(f"{where}: a number and one of these units: {', '.join(UNITS)}.")
    return Amount(exact(table["value"]), table["unit"])


def _one_of(table: dict[str, Any], name: str, choices: tuple[str, ...], where: str) -> str:
    if table[name] not in choices:
        raise DataError(f"{where}: {name} must be one of: {', '.join(each or 'empty' for each in choices)}.")
    return str(table[name])


def parse_limit(table: dict[str, Any], regime: str, file: str, number: int) -> Limit:
    """A row of a limits file as a :class:`Limit`.

    `file` and `number` (1 for the first) name the row in an error together with its id.
    Raises :class:`DataError` for a missing or unknown key, an unknown source, unit,
    operator, status or provenance, and for days the wrong way round.
    """
    where = f"{file}, limit {number} ({table.get('id', 'without id')})"
    if missing := [name for name in _REQUIRED if name not in table]:
        raise DataError(f"{where}: {', '.join(missing)} missing.")
    if unknown := sorted(table.keys() - set(_REQUIRED) - set(_OPTIONAL)):
        raise DataError(f"{where}: unknown key {', '.join(unknown)}.")
    if table["source"] not in sources():
        raise DataError(f"{where}: the bibliography has no source “{table['source']}”.")
    unit = _one_of(table, "unit", UNITS, where)
    number_wanted = unit not in _NO_NUMBER
    if isinstance(table["value"], str | bool) == number_wanted:
        raise DataError(f"{where}: a value in {unit} must {'' if number_wanted else 'not '}be a number.")
    if number_wanted == (table["operator"] == ""):
        raise DataError(f"{where}: a number needs an operator, words need none.")
    if table["operator"] == "within" and "upper" not in table:
        raise DataError(f"{where}: “within” needs its upper edge.")
    if table["quantity"] == "core_hold" and "hold" not in table:
        raise DataError(f"{where}: a hold needs how long it is.")
    starts, ends = table.get("from"), table.get("until")
    for day in (starts, ends, table["last_confirmed"]):
        if day is not None and type(day) is not date:
            raise DataError(f"{where}: days are written 2020-12-31.")
    if starts and ends and ends < starts:
        raise DataError(f"{where}: it ends before it starts.")
    rest: dict[str, Any] = {name: str(table[name]) for name in _WORDS if name in table}
    rest |= {name: _amount(table[name], f"{where} {name}") for name in _AMOUNTS if name in table}
    return Limit(
        regime=regime,
        value=exact(table["value"]) if number_wanted else None,
        text="" if number_wanted else str(table["value"]),
        unit=unit,
        operator=_one_of(table, "operator", OPERATORS, where),
        status=_one_of(table, "status", STATUSES, where),
        provenance=_one_of(table, "provenance", PROVENANCES, where),
        confidence=_one_of(table, "confidence", CONFIDENCES, where),
        in_force_from=starts,
        in_force_until=ends,
        last_confirmed=table["last_confirmed"],
        applies=frozenset(table["applies"]),
        any_of=frozenset(table.get("any_of", ())),
        unless=frozenset(table["unless"]),
        replaces=tuple(table.get("replaces", ())),
        first_day=table.get("first_day"),
        advice=bool(table.get("advice", False)),
        **rest,
    )
