"""The readings of one channel: figures in °C, less what the sensor or the file got wrong."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

from haccp.units import convert
from kitchen.feeds.cells import UNIT_LABELS, number, unit_of
from kitchen.feeds.clock import Timed
from kitchen.feeds.sensor import Value, is_placeholder, judge
from kitchen.feeds.shapes import (
    Answers,
    Channel,
    Choice,
    LoggedReading,
    Question,
    RefusedRow,
    chosen,
    shorten,
)
from kitchen.feeds.table import Row, Table

_FINEST = Decimal("0.000001")
# A switch of the unit shows as a jump of at least this many figures that vanishes, to within so many
# kelvin, when the other unit is read.
_TURNS = {"degC": "degF", "degF": "degC"}
_LEAST_TURN = Decimal(25)
_TURN_NEAR = Decimal("0.5")


@dataclass(frozen=True)
class Column:
    """Where a channel stands, in which unit its heading (or an answer) says it is, and its decimal sign."""

    at: int
    name: str
    unit: str | None
    unit_column: int | None
    mark: str

    def cell(self, row: Row) -> str:
        """The channel's cell of one row; empty if the row is too short."""
        return row.cells[self.at] if self.at < len(row.cells) else ""

    def read(self, row: Row) -> tuple[Decimal, str] | str:
        """The figure and its unit, or the reason why there is none."""
        text = self.cell(row)
        found = number(text)
        if found is None:
            return f"no reading: “{shorten(text, 30)}”" if text else "no reading: the cell is blank"
        value = found.value(self.mark)
        if value is None:
            return f"“{shorten(text, 30)}” is written with another decimal sign than the rest"
        line_unit = row.units.get(self.at, row.units.get(-1))
        cell = (
            row.cells[self.unit_column]
            if self.unit_column is not None and self.unit_column < len(row.cells)
            else ""
        )
        stated = {each for each in (found.unit, unit_of(cell) if cell else None) if each}
        if not stated and (line_unit or self.unit):
            return value, line_unit or self.unit or ""
        if line_unit or self.unit:
            stated.add(line_unit or self.unit or "")
        if len(stated) == 1:
            return value, stated.pop()
        if stated:
            return f"two units for one reading: {' and '.join(sorted(UNIT_LABELS[each] for each in stated))}"
        return "no unit is stated for this reading"


def read_column(
    table: Table, rows: list[Timed], column: Column, answers: Answers
) -> tuple[Channel, list[RefusedRow], Question | None]:
    """The channel, the rows that give it nothing, and the question if it holds one placeholder only."""
    refused: list[RefusedRow] = []
    kept: list[Timed] = []
    values: list[Value] = []
    units: dict[str, None] = {}
    for timed in rows:
        row = table.rows[timed.place]
        found = column.read(row)
        if isinstance(found, str):
            refused.append(RefusedRow(row.line, shorten(row.text), found))
            continue
        units[found[1]] = None
        kept.append(timed)
        values.append(Value(found[0], celsius(found[0], found[1]), timed.segment))
    given = column.unit if len(units) == 1 else None
    turn = _unit_turn(values, given)
    if turn is not None and given:
        asked, other = _ask_turn(column, table.rows[kept[turn].place], values, turn, given)
        answer = chosen(answers, asked)
        if answer is None:
            return Channel(column.name, given, ()), refused, asked
        if answer == other:
            units[other] = None
            values[turn:] = [each._replace(celsius=celsius(each.raw, other)) for each in values[turn:]]
    wrong = judge(values)
    question = None
    if values and len(wrong) == len(values) and all(is_placeholder(each) for each in values):
        question = _ask_constant(column, values)
        if question and chosen(answers, question) == "real":
            wrong, question = {}, None
        elif question and chosen(answers, question) == "error":
            question = None
    readings = []
    for place, (timed, value) in enumerate(zip(kept, values, strict=True)):
        row = table.rows[timed.place]
        if place in wrong:
            refused.append(RefusedRow(row.line, shorten(row.text), wrong[place]))
        elif timed.at is not None:
            readings.append(LoggedReading(row.line, timed.at, value.celsius))
    return Channel(column.name, ", ".join(units), tuple(readings)), refused, question


def _unit_turn(values: list[Value], unit: str | None) -> int | None:
    """Where the figures jump as they would if the logger had been switched to the other unit, or None."""
    if unit not in _TURNS:
        return None
    for place in range(1, len(values)):
        before, after = values[place - 1], values[place]
        if abs(after.raw - before.raw) < _LEAST_TURN or is_placeholder(before) or is_placeholder(after):
            continue
        if abs(celsius(after.raw, _TURNS[unit]) - before.celsius) <= _TURN_NEAR:
            return place
    return None


def _ask_turn(column: Column, row: Row, values: list[Value], turn: int, unit: str) -> tuple[Question, str]:
    other, label = _TURNS[unit], UNIT_LABELS
    jump = f"from {values[turn - 1].raw} to {values[turn].raw}"
    question = Question(
        f"unit_change_{column.at + 1}",
        f"At line {row.line} “{column.name}” jumps {jump}, as it would if the logger had been switched from "
        f"{label[unit]} to {label[other]}. Say what happened.",
        (
            Choice("same", f"the temperature did jump: {label[unit]} throughout", f"{jump} {label[unit]}"),
            Choice(
                other,
                f"from line {row.line} on the figures are {label[other]}",
                f"{values[turn].raw} {label[other]}",
            ),
        ),
    )
    return question, other


def celsius(value: Decimal, unit: str) -> Decimal:
    """`value` in °C: as written if it is in °C, else exact to a millionth of a degree."""
    if unit == "degC":
        return value
    scale, zero = _scale(unit)
    exact = Fraction(value) * scale + zero
    return (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(_FINEST)


@cache
def _scale(unit: str) -> tuple[Fraction, Fraction]:
    zero = convert(0, unit, "degC")
    return convert(1, unit, "degC") - zero, zero


def _ask_constant(column: Column, values: list[Value]) -> Question | None:
    if len({each.celsius for each in values}) > 1 or not 0 < values[0].celsius < 150:
        return None
    return Question(
        f"constant_{column.at + 1}",
        f"All {len(values)} readings of “{column.name}” are {values[0].raw}, which is also what some sensors "
        "give before they have measured. Say whether it was really so.",
        (
            Choice("real", "yes, that was the temperature"),
            Choice("error", "no, the sensor had not measured: refuse them"),
        ),
    )
