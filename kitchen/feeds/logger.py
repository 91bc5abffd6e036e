"""A look at a temperature logger's file: its readings, or the questions that must be answered first.

Nothing is guessed. Where the order of a date, the decimal sign, the separator,
the unit, the channel or the start moment is open, :func:`look` gives questions
and no readings; the same bytes are looked at again with the answers.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from datetime import datetime
from zoneinfo import ZoneInfo

from kitchen.feeds.clock import Timed
from kitchen.feeds.columns import ask_channel, ask_units, find_columns
from kitchen.feeds.decode import decode
from kitchen.feeds.figures import ask_decimal, join_decimal_commas
from kitchen.feeds.moments import TimeReader
from kitchen.feeds.order import arrange, breaks_of, part_at_gaps
from kitchen.feeds.readings import Column, read_column
from kitchen.feeds.separators import find_separator
from kitchen.feeds.shapes import Answers, Channel, LoggerFileError, Look, Question, RefusedRow, shorten
from kitchen.feeds.table import Table, read_table

LARGEST_BYTES = 8_000_000
MOST_ROWS = 100_000


def look(
    data: bytes,
    answers: Answers | None = None,
    *,
    timezone: str,
    started_at: datetime | None = None,
    unit: str = "degC",
    limit: int = LARGEST_BYTES,
) -> Look:
    """Read the file, or say what must be answered first.

    `answers` maps the key of each question to the value of the choice taken.
    `timezone` is the kitchen's; a time without an offset is local to it.
    `started_at` is the start of a file that counts from zero (local if naive).
    `unit` is the kitchen's own: it stands first in a question, it is never
    assumed. `limit` is the largest file in bytes.

    Raises :class:`LoggerFileError`, with what to do, for a file of which
    nothing can be read.
    """
    said = dict(answers or {})
    lines, encoding = decode(data, limit)
    if len(lines) > MOST_ROWS:
        raise LoggerFileError(
            f"The file has {len(lines)} lines; at most {MOST_ROWS} are read at once. Export a shorter period."
        )
    digest = hashlib.sha256(data).hexdigest()
    separator, question = find_separator(lines, said)
    if question:
        return Look(digest, encoding, questions=(question,))
    table = read_table(lines, separator)
    question = join_decimal_commas(table, said)
    if question:
        return Look(digest, encoding, separator, rows=table.lines, questions=(question,))
    if not table.rows:
        raise _nothing_left(table.refused)
    return _Reading(table, said, ZoneInfo(timezone), started_at, unit).look(digest, encoding)


class _Reading:
    """One table on its way to channels."""

    def __init__(
        self, table: Table, answers: Answers, zone: ZoneInfo, started_at: datetime | None, unit: str
    ) -> None:
        self.table, self.answers, self.zone = table, answers, zone
        self.started_at, self.unit = started_at, unit
        self.questions: list[Question] = []

    def look(self, digest: str, encoding: str) -> Look:
        columns, questions = find_columns(self.table, self.answers)
        self.questions += questions
        channels, question = ask_channel(self.table, columns, self.answers)
        self._ask(question)
        units, questions = ask_units(self.table, columns, channels, self.answers, self.unit)
        self.questions += questions
        figures = list(channels or columns.temperatures)
        if columns.ticks is not None:
            figures.append(columns.ticks)
        mark, question = ask_decimal(self.table, figures, self.answers)
        self._ask(question)
        times = TimeReader(self.table, columns, self.answers, self.zone, self.started_at, mark or ".")
        rows = times.read()
        self.questions += times.questions
        read = [
            Column(at, columns.names[at], units.get(at), columns.unit_column, mark or ".") for at in channels
        ]
        notes: list[str] = []
        found: list[tuple[Channel, list[RefusedRow]]] = []
        if not self.questions:
            rows = self._arrange(rows, times, read, notes)
            for column in read:
                channel, refused, question = read_column(self.table, rows, column, self.answers)
                self._ask(question)
                found.append((channel, refused))
        separator, lines = self.table.separator, self.table.lines
        if self.questions:
            return Look(digest, encoding, separator, mark, lines, questions=tuple(_once(self.questions)))
        refused = self._refused(times, found)
        if not any(channel.readings for channel, _ in found):
            raise _nothing_left(refused)
        return Look(
            digest,
            encoding,
            separator,
            mark,
            lines,
            channels=tuple(channel for channel, _ in found),
            refused=tuple(refused),
            notes=tuple(self.table.notes + times.notes + notes),
            breaks=breaks_of(rows),
        )

    def _ask(self, question: Question | None) -> None:
        if question:
            self.questions.append(question)

    def _arrange(
        self, rows: list[Timed], times: TimeReader, read: list[Column], notes: list[str]
    ) -> list[Timed]:
        table = self.table

        def values(row: Timed) -> tuple[str, ...]:
            return tuple(each.cell(table.rows[row.place]) for each in read)

        def line(row: Timed) -> int:
            return table.rows[row.place].line

        kept = arrange(rows, values, line, times.counting, notes)
        times.refused.update({row.place: row.reason for row in rows if row.reason})
        part_at_gaps(kept, line, notes)
        return kept

    def _refused(self, times: TimeReader, found: list[tuple[Channel, list[RefusedRow]]]) -> list[RefusedRow]:
        refused = list(self.table.refused)
        for place, reason in times.refused.items():
            row = self.table.rows[place]
            refused.append(RefusedRow(row.line, shorten(row.text), reason))
        for channel, rows in found:
            prefix = f"{channel.name}: " if len(found) > 1 else ""
            refused += [RefusedRow(each.line, each.text, prefix + each.reason) for each in rows]
        return sorted(refused, key=lambda each: each.line)


def _once(questions: list[Question]) -> list[Question]:
    return list({each.key: each for each in questions}.values())


def _nothing_left(refused: list[RefusedRow]) -> LoggerFileError:
    reasons = Counter(each.reason for each in refused).most_common(3)
    listed = "; ".join(f"{count} × {shorten(reason, 90)}" for reason, count in reasons)
    return LoggerFileError(
        "No row of the file gives a reading"
        + (f" ({listed})" if listed else "")
        + ". Check that it is the right file, and export it again with date, time and temperature."
    )
