"""Which column is the time and which are temperatures, and in what unit each is."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

from kitchen.feeds.cells import UNIT_LABELS, is_error_text, moment, number
from kitchen.feeds.headings import ELAPSED, OTHER, TIME_UNITS, TIME_WORD, unit_in_heading
from kitchen.feeds.shapes import Answers, Choice, LoggerFileError, Question, chosen, shorten
from kitchen.feeds.table import Table

_SAMPLE = 400


@dataclass(frozen=True)
class Columns:
    """Places of the columns, from 0. Exactly one of `stamp`, `clock` (perhaps with `day`) and `ticks` is set.

    `stamp` holds date and time in one cell; `day` and `clock` hold them apart;
    `ticks` counts from a start, in `tick_unit` (None: not stated).
    """

    names: tuple[str, ...]
    temperatures: tuple[int, ...]
    units: dict[int, str]
    unit_column: int | None = None
    stamp: int | None = None
    day: int | None = None
    clock: int | None = None
    ticks: int | None = None
    tick_unit: str | None = None
    elapsed: bool = False
    time_name: str = ""


def find_columns(table: Table, answers: Answers) -> tuple[Columns, list[Question]]:
    """Sort the columns by heading and by content; questions if several could be the time."""
    kinds, width = _kinds(table)
    names = tuple(
        (table.heading[at] if at < len(table.heading) else "") or f"column {at + 1}" for at in range(width)
    )
    questions: list[Question] = []
    time = _time_columns(table, names, kinds, answers, questions)
    used = {time.get(each) for each in ("stamp", "day", "clock", "ticks")}
    units = {at: unit for at, name in enumerate(names) if (unit := unit_in_heading(name, names))}
    unit_column = next((at for at in range(width) if kinds[at] == "unit"), None)
    numeric = [
        at
        for at in range(width)
        if at not in used and kinds[at] == "number" and not TIME_WORD.search(names[at])
    ]
    wanted = tuple(at for at in numeric if not OTHER.search(names[at]))
    if not wanted:
        # A temperature column of nothing but errors is one all the same: its rows are refused by reason.
        wanted = tuple(at for at in units if kinds[at] == "nothing" and not OTHER.search(names[at]))
    with_unit = tuple(at for at in wanted if at in units)
    # Beside headings that state a unit, the bare ones may be temperatures too: they are offered as well.
    if not wanted:
        raise LoggerFileError(
            f"No temperature column was found. The columns are: {shorten(', '.join(names), 200)}. "
            "Export the file again with the temperature in it, or name that column “Temperature (°C)”."
        )
    ordered = with_unit + tuple(at for at in wanted if at not in units)
    return Columns(names, ordered, units, unit_column, **time), questions  # type: ignore[arg-type]


def ask_channel(table: Table, columns: Columns, answers: Answers) -> tuple[tuple[int, ...], Question | None]:
    """The temperature columns to read, or the question which one it is."""
    if len(columns.temperatures) == 1:
        return columns.temperatures, None
    question = Question(
        "channel",
        "The file has several columns of temperatures. Say which one is the bath.",
        tuple(
            Choice(str(at + 1), columns.names[at], _examples(table, at))
            for at in sorted(columns.temperatures)
        ),
    )
    wanted = [each.strip() for each in str(answers.get("channel", "")).split(",")]
    known = {each.value for each in question.choices}
    if not wanted or any(each not in known for each in wanted):
        return (), question
    return tuple(int(each) - 1 for each in dict.fromkeys(wanted)), None


def ask_units(
    table: Table, columns: Columns, channels: tuple[int, ...], answers: Answers, preferred: str
) -> tuple[dict[int, str], list[Question]]:
    """The unit of each channel that states none in its heading, as answered; a question where it is open."""
    found = dict(columns.units)
    if table.unit_above:
        found = {at: found.get(at, table.unit_above) for at in channels}
    questions = []
    for at in channels:
        if at in found or not any(_unstated(row.units, row.cells, columns, at) for row in table.rows):
            continue
        example = _examples(table, at)
        order = sorted(UNIT_LABELS, key=lambda each: each != preferred)
        question = Question(
            f"unit_{at + 1}",
            f"The file does not say in which unit “{columns.names[at]}” is. Look at the logger if in doubt.",
            tuple(Choice(each, UNIT_LABELS[each], example) for each in order),
        )
        answer = chosen(answers, question)
        if answer is None:
            questions.append(question)
        else:
            found[at] = answer
    return found, questions


def _unstated(stated: dict[int, str], cells: list[str], columns: Columns, at: int) -> bool:
    if at >= len(cells) or at in stated or -1 in stated or columns.unit_column is not None:
        return False
    value = number(cells[at])
    return value is not None and value.unit is None


def _examples(table: Table, at: int) -> str:
    values = [row.cells[at] for row in table.rows if at < len(row.cells) and number(row.cells[at])]
    if not values:
        return ""
    return values[0] if len(values) == 1 else f"line by line from {values[0]} to {values[-1]}"


def _kinds(table: Table) -> tuple[list[str], int]:
    sample = table.rows[:_SAMPLE]
    width = max((len(row.cells) for row in sample), default=0)
    if table.heading:
        width = max(len(table.heading), 1)
    kinds = []
    for at in range(width):
        counts = Counter(_kind(row.cells[at]) for row in sample if at < len(row.cells))
        # A blank or an error says nothing of what the column holds.
        counts.pop("error", None)
        kinds.append(counts.most_common(1)[0][0] if counts else "nothing")
    return kinds, width


def _kind(cell: str) -> str:
    if cell in (
        "C",
        "F",
        "K",
        "°C",
        "°F",
        "ºC",
        "ºF",
        "degC",
        "degF",
        "Celsius",
        "Fahrenheit",
        "℃",
        "℉",
        "c",
        "f",
    ):
        return "unit"
    if number(cell):
        return "number"
    found = moment(cell)
    if found:
        return "stamp" if found.day and found.clock is not None else "day" if found.day else "clock"
    return "error" if is_error_text(cell) else "text"


def _time_columns(
    table: Table, names: tuple[str, ...], kinds: list[str], answers: Answers, questions: list[Question]
) -> dict[str, object]:
    def of(kind: str) -> list[int]:
        return [at for at, each in enumerate(kinds) if each == kind]

    def one(found: list[int]) -> int:
        if len(found) == 1:
            return found[0]
        question = Question(
            "time_column",
            "Several columns hold a time. Say which one tells when the temperature was read.",
            tuple(Choice(str(at + 1), names[at], _example_cell(table, at)) for at in found),
        )
        answer = chosen(answers, question)
        if answer is None:
            questions.append(question)
            return found[0]
        return int(answer) - 1

    if of("stamp"):
        at = one(of("stamp"))
        return {"stamp": at, "time_name": names[at]}
    clocks = [at for at in of("clock") if not ELAPSED.search(names[at])]
    if of("day") and clocks:
        day, at = of("day")[0], one(clocks)
        return {"day": day, "clock": at, "time_name": f"{names[day]} {names[at]}"}
    # Compact dates (20260301) look like numbers; beside a clock a heading tells them.
    compact = [at for at in of("number") if re.search(r"\bdate\b", names[at], re.IGNORECASE)]
    if compact and clocks and re.fullmatch(r"20[0-9]{6}", _example_cell(table, compact[0])):
        return {"day": compact[0], "clock": one(clocks), "time_name": names[compact[0]]}
    counting = [
        at
        for at in of("number")
        if TIME_WORD.search(names[at]) and not re.search("interval", names[at], re.I)
    ]
    timed = counting + of("clock")
    if not timed:
        raise LoggerFileError(
            f"No time column was found. The columns are: {shorten(', '.join(names), 200)}. Export the file "
            "again with date and time, or name the column with the seconds since the start “elapsed_s”."
        )
    at = one(timed)
    named_elapsed = bool(ELAPSED.search(names[at]))
    if kinds[at] == "clock":
        return {"clock": at, "elapsed": named_elapsed, "time_name": names[at]}
    unit = next((each for each, pattern in TIME_UNITS if pattern.search(names[at])), None)
    if re.search(r"unix|epoch", names[at], re.IGNORECASE):
        unit = "unix"
    return {"ticks": at, "tick_unit": unit, "elapsed": named_elapsed, "time_name": names[at]}


def _example_cell(table: Table, at: int) -> str:
    return next((row.cells[at] for row in table.rows if at < len(row.cells) and row.cells[at]), "")
