"""The moment of every row, whichever way the file tells it; or the questions that it leaves open."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from kitchen.feeds.cells import DateText, MomentText, moment, number, zone_offset
from kitchen.feeds.clock import (
    Timed,
    ask_date_order,
    ask_day,
    ask_moment,
    instant,
    localise,
    newest_first,
    pass_midnights,
    stated_offset,
)
from kitchen.feeds.columns import Columns
from kitchen.feeds.counts import LONGEST_S, SECONDS, ask_count, since_epoch, span
from kitchen.feeds.shapes import Answers, Choice, Question, chosen
from kitchen.feeds.table import Row, Table

_START = (
    "The file counts time from its own start. Say at which date and time (local) the logger was started, "
    "that is, where its time is zero."
)


class TimeReader:
    """Reads the times of one table; `questions` holds what is open after :meth:`read`."""

    def __init__(
        self,
        table: Table,
        columns: Columns,
        answers: Answers,
        zone: ZoneInfo,
        started_at: datetime | None,
        mark: str,
    ) -> None:
        self.table, self.columns, self.answers = table, columns, answers
        self.zone, self.started_at, self.mark = zone, started_at, mark
        self.questions: list[Question] = []
        self.notes: list[str] = []
        self.refused: dict[int, str] = {}
        self.counting = False

    def read(self) -> list[Timed]:
        """One :class:`Timed` for every row with a readable time, in the order of the file or reversed."""
        if self.columns.ticks is not None:
            rows = self._ticks()
        elif self.columns.clock is not None and self.columns.day is None:
            rows = self._clocks_alone()
        else:
            rows = self._stamps()
        for row in rows:
            row.segment = self.table.rows[row.place].segment
        if self.questions or not rows:
            return rows
        if not self.counting and newest_first([row.naive for row in rows]):
            rows.reverse()
            self.notes.append("The file has its newest row first; it was read from its end.")
        if self.columns.clock is not None and self.columns.day is None and not self.counting:
            pass_midnights(rows, self.notes)
        question = localise(rows, self.zone, self.answers, self.notes)
        if question:
            self.questions.append(question)
        return rows

    def _cell(self, row: Row, at: int | None) -> str:
        return row.cells[at] if at is not None and at < len(row.cells) else ""

    def _no_time(self, place: int, cell: str) -> None:
        self.refused[place] = f"no time that can be read: “{cell[:40]}”" if cell else "no time in this row"

    # -- date and time as written -------------------------------------------------

    def _stamps(self) -> list[Timed]:
        parsed: list[tuple[int, DateText, MomentText]] = []
        for place, row in enumerate(self.table.rows):
            if self.columns.stamp is not None:
                cell = self._cell(row, self.columns.stamp)
                found = moment(cell)
                day = found.day if found else None
            else:
                cell = f"{self._cell(row, self.columns.day)} {self._cell(row, self.columns.clock)}"
                found, day = moment(self._cell(row, self.columns.clock)), self._day(row)
            if found is None or day is None or found.time_of_day is None:
                self._no_time(place, cell.strip())
            else:
                parsed.append((place, day, found))
        order, question = ask_date_order((day for _, day, _ in parsed), self.answers)
        if question:
            self.questions.append(question)
            return []
        heading = zone_offset(stated_offset(self.columns.time_name))
        rows = []
        for place, day, found in parsed:
            resolved = day.resolve(order)
            if resolved is None or found.time_of_day is None:
                self.refused[place] = "its date does not exist in the order in which the others are written"
                continue
            naive = datetime(resolved.year, resolved.month, resolved.day) + found.time_of_day  # noqa: DTZ001
            rows.append(Timed(place, naive, found.offset if found.offset is not None else heading))
        return rows

    def _day(self, row: Row) -> DateText | None:
        cell = self._cell(row, self.columns.day)
        found = moment(cell)
        if found:
            return found.day
        compact = moment(f"{cell} 00:00")
        return compact.day if compact else None

    # -- a clock without a date ---------------------------------------------------

    def _clocks_alone(self) -> list[Timed]:
        parsed: list[tuple[int, MomentText]] = []
        for place, row in enumerate(self.table.rows):
            cell = self._cell(row, self.columns.clock)
            found = moment(cell)
            if found is None or found.clock is None or found.day is not None:
                self._no_time(place, cell)
            else:
                parsed.append((place, found))
        if not parsed:
            return []
        kind = "elapsed" if self.columns.elapsed else self._ask_kind(parsed)
        if kind is None:
            return []
        if kind == "elapsed":
            return self._elapsed_clocks(parsed)
        day, question = self._first_day()
        if question or day is None:
            return []
        rows = []
        heading = zone_offset(stated_offset(self.columns.time_name))
        for place, found in parsed:
            if found.time_of_day is None:
                self._no_time(place, self._cell(self.table.rows[place], self.columns.clock))
                continue
            naive = datetime(day.year, day.month, day.day) + found.time_of_day  # noqa: DTZ001
            rows.append(Timed(place, naive, found.offset if found.offset is not None else heading))
        return rows

    def _ask_kind(self, parsed: list[tuple[int, MomentText]]) -> str | None:
        if any(found.half or found.offset is not None for _, found in parsed):
            return "clock"
        first = self._cell(self.table.rows[parsed[0][0]], self.columns.clock)
        question = Question(
            "time_kind",
            "The file gives times without a date. Say what they are.",
            (
                Choice("clock", "the time of day", f"{first} on the kitchen clock"),
                Choice("elapsed", "the time since the logger was started", f"{first} after the start"),
            ),
        )
        answer = chosen(self.answers, question)
        if answer is None:
            self.questions.append(question)
        return answer

    def _first_day(self) -> tuple[date | None, Question | None]:
        if self.started_at is not None:
            return instant(self.started_at, self.zone).astimezone(self.zone).date(), None
        found, question = ask_day(
            "first_day", "The file gives no date. Say on which day its first row was read.", self.answers
        )
        if question:
            self.questions.append(question)
        return found, question

    def _elapsed_clocks(self, parsed: list[tuple[int, MomentText]]) -> list[Timed]:
        scale = 1
        if all(found.clock_parts == 2 for _, found in parsed):
            first = self._cell(self.table.rows[parsed[-1][0]], self.columns.clock)
            question = Question(
                "elapsed_format",
                "The time since the start is written with one colon. Say what it means.",
                (
                    Choice("hm", "hours and minutes", f"{first} is {first.replace(':', ' h ')} min"),
                    Choice("ms", "minutes and seconds", f"{first} is {first.replace(':', ' min ')} s"),
                ),
            )
            answer = chosen(self.answers, question)
            if answer is None:
                self.questions.append(question)
            scale = 60 if answer == "ms" else 1
        elapsed = [(place, found.clock / scale) for place, found in parsed if found.clock is not None]
        return self._from_start(elapsed)

    # -- numbers that count -------------------------------------------------------

    def _ticks(self) -> list[Timed]:
        ticks: list[tuple[int, Decimal]] = []
        for place, row in enumerate(self.table.rows):
            cell = self._cell(row, self.columns.ticks)
            found = number(cell)
            value = found.value(self.mark) if found and not found.unit else None
            if value is None or not 0 <= value < Decimal(10) ** 14:
                self._no_time(place, cell)
            else:
                ticks.append((place, value))
        if not ticks:
            return []
        unit = self.columns.tick_unit
        if unit is None:
            unit, question = ask_count(self.columns.time_name, ticks[0][1], ticks[-1][1], self.answers)
            if question:
                self.questions.append(question)
                return []
        assert unit is not None
        if unit in SECONDS:
            fits = [(place, value * SECONDS[unit]) for place, value in ticks]
            for place, seconds in fits:
                if seconds > LONGEST_S:
                    self._no_time(place, self._cell(self.table.rows[place], self.columns.ticks))
            return self._from_start(
                [(place, span(seconds)) for place, seconds in fits if seconds <= LONGEST_S]
            )
        return self._from_epoch(unit, ticks)

    def _from_start(self, elapsed: list[tuple[int, timedelta]]) -> list[Timed]:
        self.counting = True
        start = self.started_at
        if start is None:
            start, question = ask_moment("started_at", _START, self.answers)
            if question:
                self.questions.append(question)
                return []
        if start is None or not 2000 <= start.year <= 2099:
            self.questions.append(
                Question("started_at", f"{_START} The year must be from 2000 to 2099.", (), "moment")
            )
            return []
        zero = instant(start, self.zone).replace(tzinfo=None)
        return [Timed(place, zero + span, timedelta(0)) for place, span in elapsed]

    def _from_epoch(self, unit: str, ticks: list[tuple[int, Decimal]]) -> list[Timed]:
        rows = []
        for place, value in ticks:
            found = since_epoch(unit, value)
            if found is None:
                self._no_time(place, self._cell(self.table.rows[place], self.columns.ticks))
            else:
                rows.append(Timed(place, found, timedelta(0) if unit == "unix" else None))
        return rows
