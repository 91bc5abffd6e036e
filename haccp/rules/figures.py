"""A figure beside a row: on which side, by how much, and by what is proven. Exact, in the row's own unit.

A figure has a tolerance. It is *proven* where its unfavourable edge is on the right side too, and
only *as read* where the figure itself is. A strict row is missed by a figure that equals it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any

from haccp.limits import Amount, Limit, exact
from haccp.record import BatchRecord, Finding, Outcome, Reading, Step
from haccp.units import Rounding
from haccp.wording import Clock, difference, span, temperature

_TEMPERATURES = ("degC", "degF")
_TIME = ("s", "min", "h", "day")
# Units whose name stands before the figure: of a difference only the figure is said.
_NAMED = ("pH", "aw")
_LESS, _MORE, _WITHIN = "<=", ">=", "within"


@dataclass(frozen=True)
class Beside:
    """A figure beside a row: temperatures [°C], times [s], anything else in the row's own unit."""

    row: Limit
    value: Fraction
    tolerance: Fraction = Fraction(0)

    @property
    def edges(self) -> tuple[Fraction | None, Fraction | None]:
        """The lowest and the highest that the row allows; None where it has no such edge."""
        edge = base(self.row)
        if self.row.operator == _LESS:
            return None, edge
        if self.row.operator == _MORE:
            return edge, None
        return edge, None if self.row.upper is None else base(self.row, upper=True)

    def _inside(self, low_value: Fraction, high_value: Fraction) -> bool:
        low, high = self.edges
        above = low is None or low_value > low or (low_value == low and not self.row.strict)
        return above and (high is None or high_value < high or (high_value == high and not self.row.strict))

    @property
    def met(self) -> bool:
        """Whether the figure as it was read is on the right side."""
        return self._inside(self.value, self.value)

    @property
    def proven(self) -> bool:
        """Whether it is with its tolerance."""
        return self._inside(self.value - self.tolerance, self.value + self.tolerance)

    @property
    def margin(self) -> Fraction:
        """How far the figure is from the edge that is nearest, without a sign."""
        return min((abs(self.value - each) for each in self.edges if each is not None), default=Fraction(0))

    @property
    def required(self) -> str:
        """What the row asks, in words."""
        return asked(self.row)

    @property
    def measured(self) -> str:
        """The figure in words, rounded to the side that does not flatter it."""
        side: Rounding = "down" if self.row.operator == _MORE else "up"
        return said(self.row, self.value, side)

    @property
    def margin_said(self) -> str:
        """How far off, or how much to spare, in words."""
        tail = "to spare" if self.met else "short" if self._too_little else "over"
        return f"{_difference(self.row, self.margin)} {tail}"

    @property
    def _too_little(self) -> bool:
        low, _ = self.edges
        return low is not None and self.value <= low

    def figures(self, *entries: str) -> dict[str, Any]:
        """The fields of a finding that repeat the figures."""
        return {
            "limit": self.row.id,
            "measured": self.measured,
            "required": self.required,
            "margin": self.margin_said,
            "entries": tuple(each for each in entries if each),
        }


def asked(row: Limit) -> str:
    """What a row of one figure asks, in words."""
    if row.operator == _WITHIN:
        return row.printed
    if row.operator == _LESS:
        return f"{'less than' if row.strict else 'at most'} {row.amount}"
    return f"{'more than' if row.strict else 'at least'} {row.amount}"


def base(row: Limit, *, upper: bool = False) -> Fraction:
    """The figure of a row as it is compared: temperatures in °C, times in s, else as printed."""
    amount = row.upper if upper and row.upper is not None else row.amount
    if amount.unit in _TEMPERATURES:
        return amount.exact_celsius
    return exact(amount.seconds) if amount.unit in _TIME else amount.value


def said(row: Limit, value: Fraction, side: Rounding = "nearest") -> str:
    """A figure in the unit of a row, in words."""
    if row.unit in _TEMPERATURES:
        return temperature(float(value), row.unit, side)
    if row.unit in _TIME:
        return span(float(value), "up" if side == "nearest" else side)
    return str(Amount(value, row.unit))


def _difference(row: Limit, value: Fraction) -> str:
    if row.unit in _TEMPERATURES:
        return difference(float(value), row.unit)
    if row.unit in _TIME:
        return span(float(value), "up")
    return str(Amount(value, row.unit)) if row.unit not in _NAMED else f"{float(value):g}"


def beside(row: Limit, reading: Reading) -> Beside:
    """A reading beside a row of temperature."""
    return Beside(row, exact(reading.celsius), exact(reading.tolerance_k))


def in_time(row: Limit, start: datetime, end: datetime) -> Beside:
    """A stretch of time beside a row of time."""
    return Beside(row, exact((end - start).total_seconds()))


def strictest(rows: Iterable[Limit]) -> Limit | None:
    """The row that asks most: the lowest upper edge, else the highest lower one; None of none."""
    every = list(rows)
    upper = [row for row in every if row.operator in (_LESS, _WITHIN)]
    if upper:
        return min(upper, key=lambda row: (base(row, upper=row.operator == _WITHIN), not row.strict))
    return max(every, key=lambda row: (base(row), row.strict), default=None)


def worst_reading(row: Limit, readings: Sequence[Reading]) -> Reading:
    """The reading furthest on the wrong side of a row: the warmest, or where heat is asked the coldest."""
    if row.operator == _MORE:
        return min(readings, key=lambda each: each.celsius - each.tolerance_k)
    return max(readings, key=lambda each: each.celsius + each.tolerance_k)


def verdict(figure: Beside, *, missed: Outcome, doubtful: Outcome) -> tuple[Outcome, str]:
    """Outcome and the tail of a sentence; `doubtful` is for what the tolerance leaves open."""
    if not figure.met:
        return missed, f": {figure.margin_said}."
    if not figure.proven:
        tail = "not proven" if doubtful is Outcome.UNPROVEN else "met as read, not"
        return doubtful, f": {tail} with the tolerance of the instrument."
    return Outcome.MEETS, ": met, proven." if figure.tolerance else ": met."


def of_batch(rule: str, step: Step, outcome: Outcome, sentence: str, **rest: Any) -> Finding:
    """A finding about a whole batch."""
    return Finding(rule=rule, step=step, outcome=outcome, sentence=sentence, **rest)


def clock_of(record: BatchRecord) -> Clock:
    """The clock of a batch's site."""
    return Clock.at(record.timezone, record.day)
