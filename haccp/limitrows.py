"""One limit as its source prints it.

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
from haccp.errors import DataError, RangeError
from haccp.sources import sources

STATUSES = ("law", "proposed law", "model code", "guidance", "research")
CONFIDENCES = ("high", "medium-high", "medium", "low-medium", "low")
OPERATORS = ("<=", ">=", "within", "")
# Quantities of rows that a core meets by being hot enough, long enough.
HOLDS = ("core_hold", "core_temperature")
_TIME_S = {"s": 1, "min": 60, "h": 3600, "day": 86400}
# Units that are words, with a plural.
_COUNTED = ("allergen", "field", "principle", "item", "element", "step_each_way", "step_back")
_PLURAL = ("day", "month", *_COUNTED)
NO_NUMBER = ("text", "rule_ref", "date")
_SYMBOLS = {"degC": " °C", "degF": " °F", "per_day": " a day", "log10": " log", "percent": " %", "ratio": ""}
_BEFORE = {"pH": "pH", "aw": "water activity"}
UNITS = (
    *(*_TIME_S, "month", "degC", "degF", "mm", "g", "per_day", "log10", "percent", "ratio"),
    *("mg/dm2", "mg/kg", "cfu/g", "detected", *_BEFORE, *_COUNTED, *NO_NUMBER),
)

AMOUNTS = ("also", "hold", "upper", "start", "end", "also_end", "store", "also_store", "second")


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
        if self.unit in _BEFORE:
            return f"{_BEFORE[self.unit]} {number}"
        if self.unit == "detected":
            return "not detected" if self.value == 0 else f"{number} detected"
        first, *rest = self.unit.split("_")
        many = "s" if self.unit in _PLURAL and self.value != 1 else ""
        return number + _SYMBOLS.get(self.unit, " " + " ".join([first + many, *rest]))


@dataclass(frozen=True)
class Table:
    """Rows that are alternatives of each other.

    `reference_c` [°C], `z_c`, `z_above_c` [K] and `minutes` [min] are the process on which
    the table rests, where one is published; `basis` says it in words. `between` are keys of
    :mod:`haccp.holdtables` that say what holds between its rows.
    """

    key: str
    name: str
    reference_c: float | None = None
    z_c: float | None = None
    z_above_c: float | None = None
    minutes: float | None = None
    basis: str = ""
    source: str = ""
    between: tuple[str, ...] = ()


@dataclass(frozen=True)
class Limit:
    """One row of the law, as its source prints it.

    Which row it is: `id`, `regime`, `topic`, `quantity` (words of :mod:`haccp.words`), `condition` in words.
    For which food: all words of `applies`, one of `any_of` (if there are any), none of `unless`.
    What it asks: `operator` (``>=``, ``<=``, ``within`` up to `upper`), `value` in `unit`, the unit of print;
    where it prints words or a day, `value` is None and `text` holds them. `strict`: at the very figure it
    is missed. `trigger`: no limit to be met, a duty begins there. Rows of one `table` are alternatives.
    `also`, `also_end`, `also_store`: the same figure in the other unit of print. `hold`: how long at `value`.
    `start`, `end`: the temperatures from which and to which a time runs; `clock` starts it, `event` ends it.
    Of a freeze `start` is how cold it was frozen solid first; of a time without `end`, above what it counts.
    `second`: a second figure; `second_is` says what it is. `store`: the temperature at which a life
    holds; `counts_from` is its first day, whose number is `first_day`. `tier`: what becomes of food
    found there. `medium`: in what a probe is checked.
    How it counts: `advice` is shown and decides nothing; `chosen_only` says why it is off until it is chosen;
    `replaces` are rows below it that it stands in for, in force as long as it is.
    Where it is from: `source` (a key of the bibliography), `section`, `edition`, `status`, `provenance`,
    `confidence`, `last_confirmed`, and in words what is `not_covered` and a `note`.
    """

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
    second: Amount | None = None
    second_is: str = ""
    clock: str = ""
    event: str = ""
    tier: str = ""
    medium: str = ""
    counts_from: str = ""
    first_day: int | None = None
    strict: bool = False
    trigger: bool = False
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
        return "From memory with low confidence." if self.confidence.startswith("low") else ""

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

    def admits(self, figure: Fraction) -> bool:
        """Whether an exact figure in the unit of print lies on the right side of the limit.

        The figure itself will do, except where the row is `strict`. :class:`DataError` for a row
        without a number.
        """
        return self._admits(figure, self.amount.value, None if self.upper is None else self.upper.value)

    def admits_celsius(self, celsius: Fraction) -> bool:
        """The same for an exact temperature [°C] and a temperature limit in either unit of print."""
        upper = None if self.upper is None else self.upper.exact_celsius
        return self._admits(celsius, self.amount.exact_celsius, upper)

    def _admits(self, figure: Fraction, edge: Fraction, upper: Fraction | None) -> bool:
        if figure in (edge, upper):
            return not self.strict
        if self.operator == ">=":
            return figure > edge
        if self.operator == "<=":
            return figure < edge
        return upper is not None and edge < figure < upper

    @property
    def day(self) -> date | None:
        """The day that a row in days of the calendar prints; None for any other."""
        return date.fromisoformat(self.text) if self.unit == "date" else None

    @property
    def printed(self) -> str:
        """The figure itself in words: ``60 °C for 45 min``, ``3 °C within 90 min``."""
        tail = "" if self.second is None else f", {self.second_is} {self.second}"
        return f"{self._first}{tail}"

    @property
    def _first(self) -> str:
        if self.value is None:
            return self.text
        if self.hold is not None:
            return f"{self.amount} for {self.hold}" if self.hold.value else f"{self.amount}"
        if self.upper is not None and self.upper != self.amount:
            return f"{self.amount} to {self.upper}"
        if self.end is not None and self.unit in _TIME_S:
            below = self.clock == "bath in"
            return f"{self.amount} below {self.end}" if below else f"{self.end} within {self.amount}"
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
            "second_is": self.second_is,
            "strict": self.strict,
            "trigger": self.trigger,
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
        for name in AMOUNTS:
            amount: Amount | None = getattr(self, name)
            row[name] = None if amount is None else {"value": _number(amount.value), "unit": amount.unit}
        return row


def _number(value: Fraction) -> int | str:
    # A decimal is kept as text: a float would not be the same bytes everywhere.
    return int(value) if value.denominator == 1 else repr(float(value))


def _day(value: date | None) -> str | None:
    return None if value is None else value.isoformat()
