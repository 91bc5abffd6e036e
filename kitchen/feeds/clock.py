"""From the times as written to moments in UTC: date order, start moment, clock changes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo

from kitchen.feeds.cells import ORDERS, DateText
from kitchen.feeds.shapes import Answers, Choice, Question, chosen

_HOUR = timedelta(hours=1)
_HALF_DAY = timedelta(hours=12)
_NONE = timedelta(0)


@dataclass
class Timed:
    """One row on its way to a moment. `naive` is local time or, with `offset`, the time at that offset."""

    place: int
    naive: datetime
    offset: timedelta | None = None
    at: datetime | None = None
    segment: int = 0
    reason: str = ""


def ask_date_order(dates: Iterable[DateText], answers: Answers) -> tuple[str, Question | None]:
    """The order of day, month and year that the dates themselves prove, or the question."""
    open_dates = {each for each in dates if len(each.orders) > 1}
    if not open_dates:
        return "ymd", None
    valid = {order: sum(1 for each in open_dates if each.resolve(order)) for order in ORDERS}
    best = [order for order, count in valid.items() if count == max(valid.values())]
    readings = {tuple(each.resolve(order) for each in sorted(open_dates, key=_parts)) for order in best}
    if len(readings) == 1:
        return best[0], None
    example = next(
        each for each in sorted(open_dates, key=_parts) if len({each.resolve(order) for order in best}) > 1
    )
    written = "/".join(f"{part:02d}" for part in example.parts)
    question = Question(
        "date_order",
        "The dates in the file can be read in more than one way. Say in which order they are written.",
        tuple(
            Choice(order, ORDERS[order], f"{written} is {_spell(example.resolve(order))}") for order in best
        ),
    )
    answer = chosen(answers, question)
    return (answer, None) if answer else (best[0], question)


def ask_moment(key: str, text: str, answers: Answers) -> tuple[datetime | None, Question | None]:
    """A local date and time that was typed as the answer to `key`, or the question for it."""
    try:
        return datetime.fromisoformat(str(answers.get(key, "")).strip()), None
    except ValueError:
        return None, Question(key, text, (), "moment")


def ask_day(key: str, text: str, answers: Answers) -> tuple[date | None, Question | None]:
    """A date that was typed as the answer to `key`, or the question for it."""
    try:
        said = date.fromisoformat(str(answers.get(key, "")).strip())
    except ValueError:
        return None, Question(key, text, (), "day")
    if not 2000 <= said.year <= 2099:
        return None, Question(key, f"{text} The year must be from 2000 to 2099.", (), "day")
    return said, None


def instant(moment: datetime, zone: ZoneInfo) -> datetime:
    """`moment` in UTC; one without an offset is local to `zone` (a repeated hour: its first pass)."""
    return (moment if moment.tzinfo else moment.replace(tzinfo=zone)).astimezone(UTC)


def usual_step(steps: Iterable[timedelta]) -> timedelta:
    """The median of the steps that go forward; zero if none does."""
    forward = [each for each in steps if each > _NONE]
    return median(forward) if forward else _NONE  # type: ignore[type-var]


def newest_first(times: Sequence[datetime]) -> bool:
    """Whether the rows run backwards through time as a whole."""
    steps = [later - earlier for earlier, later in pairwise(times)]
    back, forward = sum(1 for each in steps if each < _NONE), sum(1 for each in steps if each > _NONE)
    return back > 3 * forward


def pass_midnights(rows: list[Timed], notes: list[str]) -> None:
    """Rows that hold a clock time only: a fall of half a day or more is the next day."""
    days, before = 0, None
    for row in rows:
        clock = row.naive
        if before is not None and before - clock >= _HALF_DAY:
            days += 1
            notes.append(
                f"The clock passes midnight ({days} day{'s' if days > 1 else ''} after the first row)."
            )
        before = clock
        row.naive = clock + timedelta(days=days)


def localise(rows: list[Timed], zone: ZoneInfo, answers: Answers, notes: list[str]) -> Question | None:
    """Set `at` of every row. A repeated hour follows the order of the file; a missing hour is refused."""
    kept: timedelta | None = None
    usual = usual_step(later.naive - earlier.naive for earlier, later in pairwise(rows))
    at = missing = 0
    while at < len(rows):
        row = rows[at]
        # A logger that lives through a missing hour has a wrong clock: nothing is joined across it.
        row.segment += missing
        if row.offset is not None:
            row.at = (row.naive - row.offset).replace(tzinfo=UTC)
        elif kept is not None:
            row.at = (row.naive - kept).replace(tzinfo=UTC)
        elif _repeated(row.naive, zone):
            stop = at
            while stop < len(rows) and rows[stop].offset is None and _repeated(rows[stop].naive, zone):
                stop += 1
            question, kept = _repeated_run(rows, at, stop, zone, usual, answers, notes)
            if question:
                return question
            at = stop
            continue
        else:
            row.at = instant(row.naive, zone)
            if row.at.astimezone(zone).replace(tzinfo=None) != row.naive:
                row.at = None
                missing += 1
                row.reason = (
                    f"{row.naive:%d %b %Y %H:%M} does not exist in {zone.key}: the clocks were put forward. "
                    "Was the logger's clock left on winter time?"
                )
        at += 1
    return None


def _repeated_run(
    rows: list[Timed],
    start: int,
    stop: int,
    zone: ZoneInfo,
    usual: timedelta,
    answers: Answers,
    notes: list[str],
) -> tuple[Question | None, timedelta | None]:
    run = rows[start:stop]
    turns = []
    for at in range(1, len(run)):
        fall = run[at - 1].naive - run[at].naive
        on_time = _HOUR - fall <= 3 * usual
        if (fall > _NONE and (on_time or fall > 1.5 * usual)) or (fall == _NONE and usual >= _HOUR):
            turns.append(at)
    day = f"{run[0].naive:%d %b %Y}"
    if len(turns) > 1:
        for row in run:
            row.reason = (
                f"in the repeated hour of {day} the rows go back more than once: their order is not clear"
            )
        return None, None
    if turns:
        _set(run[: turns[0]], zone, 0)
        _set(run[turns[0] :], zone, 1)
        notes.append(
            f"The clocks went back on {day}: the hour that comes twice was told apart by the rows' order."
        )
        return None, None
    question = Question(
        "clock_change",
        f"The clocks went back on {day}, and the file holds times of the hour that came twice only once. "
        "Say what they are.",
        (
            Choice("first", "the first time round, on summer time"),
            Choice("second", "the second time round, on winter time"),
            Choice("kept", "the logger's clock was not put back: this and all that follows is summer time"),
        ),
    )
    answer = chosen(answers, question)
    if answer is None:
        return question, None
    _set(run, zone, 1 if answer == "second" else 0)
    if answer != "kept":
        return None, None
    return None, run[0].naive.replace(tzinfo=zone, fold=0).utcoffset()


def _set(rows: list[Timed], zone: ZoneInfo, fold: int) -> None:
    for row in rows:
        row.at = row.naive.replace(tzinfo=zone, fold=fold).astimezone(UTC)


def _repeated(naive: datetime, zone: ZoneInfo) -> bool:
    first = naive.replace(tzinfo=zone, fold=0).utcoffset()
    second = naive.replace(tzinfo=zone, fold=1).utcoffset()
    return first is not None and second is not None and first > second


def stated_offset(heading: str) -> str:
    """The offset that a heading such as “Time (UTC+1)” states, as text; empty if none."""
    match = re.search(
        r"(?:\b|_)(?:utc|gmt)(?:\s*[+\-−]\s*[0-9]{1,2}(?::?[0-9]{2})?)?(?![a-z])", heading, re.IGNORECASE
    )
    return match[0].strip("_").replace(" ", "") if match else ""


def _parts(each: DateText) -> tuple[int, int, int]:
    return each.parts


def _spell(day: date | None) -> str:
    return f"{day.day} {day:%B %Y}" if day else "no date"
