"""From lines to a table: where the heading is, which lines are rows, where the log stops."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field

from kitchen.feeds.cells import is_error_text, moment, number, unit_of
from kitchen.feeds.headings import STOP_START, TIME_WORD, unit_in_heading
from kitchen.feeds.shapes import LoggerFileError, RefusedRow, shorten

_LONGEST_LINE = 4_000
_LONGEST_UNIT_LINE = 80
_MOST_COLUMNS = 100
_UNIT_LINE = re.compile(r"[#\s\"]*(?:temperature )?units?\s*[:=;,|\t ]\s*(.+?)[\s\",;|]*", re.IGNORECASE)
_OTHER_UNIT = re.compile(r"[\[(]?(?:s|secs?|min|h|%|%rh|[dmyhs:/.\- ]{5,}|#)[\])]?", re.IGNORECASE)


@dataclass
class Row:
    """A line of data, cut into cells. Rows of two different `segment`s are never joined."""

    line: int
    text: str
    cells: list[str]
    segment: int
    units: dict[int, str]


@dataclass
class Table:
    """The rows below a heading. `heading` is empty if there is none; `wide` rows have more cells than it."""

    heading: list[str]
    rows: list[Row]
    separator: str
    lines: int
    refused: list[RefusedRow] = field(default_factory=list)
    unit_above: str | None = None
    wide: list[Row] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def cut(text: str, separator: str) -> list[str] | None:
    """The cells of one line, quoted fields honoured; None if it cannot be cut."""
    if len(text) > _LONGEST_LINE:
        return None
    try:
        rows = list(csv.reader([text], delimiter=separator, skipinitialspace=separator != "\t", strict=True))
    except csv.Error:
        return None
    if len(rows) != 1 or len(rows[0]) > _MOST_COLUMNS:
        return None
    return [each.strip() for each in rows[0]]


def is_data(cells: list[str] | None) -> bool:
    """Whether a line looks like a reading: a moment and a number, or at least two numbers."""
    if not cells:
        return False
    moments = numbers = errors = 0
    for each in cells:
        if number(each):
            numbers += 1
        elif moment(each):
            moments += 1
        elif each and is_error_text(each):
            errors += 1
        if moments and numbers + errors:
            return True
    if not moments and any(TIME_WORD.search(each) for each in cells):
        return False
    return numbers > 1 or (numbers > 0 and errors > 0)


def read_table(lines: list[str], separator: str) -> Table:
    """Cut every line, find the heading, sort what is below it into rows, unit lines, stops, refusals."""
    cut_lines = [cut(text, separator) for text in lines]
    top = _heading_at(lines, cut_lines)
    first_data = next(
        at for at, cells in enumerate(cut_lines) if is_data(cells) and (top is None or at > top)
    )
    heading = list(cut_lines[top] or []) if top is not None else []
    table = Table(heading, [], separator, 0)
    reader = _Reader(table, len(heading))
    for text in lines[: top or 0]:
        above = _UNIT_LINE.fullmatch(text[:_LONGEST_UNIT_LINE])
        table.unit_above = (unit_of(above[1]) if above else None) or table.unit_above
    start = top + 1 if top is not None else first_data
    for at in range(start, len(lines)):
        if lines[at].strip():
            table.lines += 1
            reader.take(at + 1, lines[at], cut_lines[at])
    return table


def is_heading(cells: list[str] | None) -> bool:
    """A line of names, one of which speaks of time, and with no moment among them."""
    if not cells or len(cells) < 2 or is_data(cells) or _is_units(cells):
        return False
    named = [each for each in cells if each]
    return (
        len(named) > 1
        and any(TIME_WORD.search(each) for each in named)
        and not any(moment(each) for each in named)
    )


def _is_units(cells: list[str]) -> bool:
    stated = [each for each in cells if unit_of(each)]
    return bool(stated) and all(unit_of(each) or _OTHER_UNIT.fullmatch(each) for each in cells if each)


def _heading_at(lines: list[str], cut_lines: list[list[str] | None]) -> int | None:
    recent: list[int] = []
    fallback: int | None = None
    for at, cells in enumerate(cut_lines):
        if not lines[at].strip():
            continue
        if is_data(cells):
            near = [each for each in recent[-4:] if is_heading(cut_lines[each])]
            if near:
                return near[-1]
            if fallback is None and recent:
                above = cut_lines[recent[-1]] or []
                same_width = cells is not None and len(above) == len(cells) > 1
                fallback = recent[-1] if same_width and not any(number(each) for each in above) else None
        recent.append(at)
    return fallback


class _Reader:
    """Sorts the lines below the heading, one after the other."""

    def __init__(self, table: Table, width: int) -> None:
        self.table = table
        self.width = width
        self.names = table.heading
        self.segment = 0
        self.units: dict[int, str] = {}
        self.event = ""

    def take(self, line: int, text: str, cells: list[str] | None) -> None:
        if cells is None:
            self._refuse(
                line, text, "the line cannot be cut into columns (an open quotation mark, or too long)"
            )
        elif is_data(cells) or (len(cells) > 1 and moment(cells[0])):
            self._row(line, text, cells)
        elif is_heading(cells):
            self._heading_again(line, cells)
        elif self._take_units(line, text, cells):
            return
        elif STOP_START.search(text):
            self._break(line, text)
        else:
            self._refuse(line, text, "not a reading: no time with a temperature beside it")

    def _row(self, line: int, text: str, cells: list[str]) -> None:
        words = " ".join(each for each in cells if STOP_START.search(each))
        changed = words != self.event
        self.event = words
        stops = re.search(r"\b(?:stop|pause|interrupt|\w* ?off|power(?:ed)? ?down)", words, re.IGNORECASE)
        if words and changed and not stops:
            self._break(line, text)
        trailing = cells[self.width :] if self.width else []
        if self.width and len(cells) < self.width and len(cells) < 2:
            self._refuse(line, text, f"{len(cells)} columns where the heading has {self.width}")
        elif any(trailing) and not words:
            self.table.wide.append(Row(line, text, cells, self.segment, dict(self.units)))
            self._refuse(
                line,
                text,
                f"{len(cells)} columns where the heading has {self.width}: nobody can say which is which",
            )
        else:
            self.table.rows.append(Row(line, text, cells, self.segment, dict(self.units)))
        if words and changed and stops:
            self._break(line, text)

    def _take_units(self, line: int, text: str, cells: list[str]) -> bool:
        plain = _UNIT_LINE.fullmatch(text[:_LONGEST_UNIT_LINE])
        if plain and (unit := unit_of(plain[1])):
            self.units = {-1: unit}
        elif _is_units(cells) and len(cells) > 1 and self.width and not self.table.rows:
            # The second line of a heading: it belongs to the names above it.
            names = self.table.heading + [""] * (len(cells) - self.width)
            units = cells + [""] * (len(names) - len(cells))
            self.table.heading = [f"{name} {unit}".strip() for name, unit in zip(names, units, strict=True)]
            self.width = len(names)
        elif _is_units(cells):
            stated = {at: unit for at, cell in enumerate(cells) if (unit := unit_of(cell))}
            self.units = {-1: next(iter(stated.values()))} if len(cells) == 1 else stated
        else:
            return False
        if self.table.rows:
            self.table.notes.append(f"Line {line}: the unit is stated anew ({shorten(text, 40)}).")
        return True

    def _heading_again(self, line: int, cells: list[str]) -> None:
        def bare(names: list[str]) -> list[str]:
            return [
                re.sub(r"[\[(]?(?:°|º|deg)?\s*[cf]?[\])]?\s*$", "", each.lower()).strip() for each in names
            ]

        if bare(cells) != bare(self.names):
            raise LoggerFileError(
                f"At line {line} the columns change to “{shorten(', '.join(cells), 80)}”. Split the file "
                "there and bring the parts one by one."
            )
        self.units = {at: unit for at, name in enumerate(cells) if (unit := unit_in_heading(name, cells))}
        self._break(line, "the heading is repeated")

    def _break(self, line: int, text: str) -> None:
        self.segment += 1
        self.table.notes.append(
            f"Line {line}: the log stops or starts here ({shorten(text, 60)}); not joined across."
        )

    def _refuse(self, line: int, text: str, reason: str) -> None:
        self.table.refused.append(RefusedRow(line, shorten(text), reason))
