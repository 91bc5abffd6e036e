"""The rows in the order of time: duplicates, rows out of order, jumps of the clock."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from kitchen.feeds.clock import Timed, usual_step

_GAP_STEPS = 3
_LEAST_STEP = 0.6
_NONE = timedelta(0)
_EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)

Values = Callable[[Timed], tuple[str, ...]]
Lines = Callable[[Timed], int]


def arrange(rows: list[Timed], values: Values, line: Lines, counting: bool, notes: list[str]) -> list[Timed]:
    """The rows in order of time. What cannot be placed without a guess gets a `reason` and is left out.

    `counting` says that the times count from a start: a count that begins again
    leaves the rest of the file without a start moment.
    """
    placed = [row for row in rows if row.at is not None and not row.reason]
    placed = _in_order(placed, line, counting, notes)
    return _once(placed, values, line, notes)


def part_at_gaps(rows: list[Timed], line: Lines, notes: list[str]) -> None:
    """Give the rows after a jump of the clock a segment of their own, and say where."""
    steps = [_at(later) - _at(earlier) for earlier, later in pairwise(rows)]
    segment = 0
    previous = rows[0].segment if rows else 0
    for place, row in enumerate(rows):
        if place:
            step = steps[place - 1]
            gap = _is_gap(steps, place - 1)
            if gap:
                notes.append(
                    f"Gap of {_spell(step)} before line {line(row)}, after "
                    f"{_at(rows[place - 1]):%d %b %H:%M:%S} UTC: not joined across."
                )
            if gap or row.segment != previous:
                segment += 1
        previous = row.segment
        row.segment = segment


def breaks_of(rows: list[Timed]) -> tuple[datetime, ...]:
    """A moment between every two neighbouring rows of different segments."""
    return tuple(
        _at(earlier) + (_at(later) - _at(earlier)) / 2
        for earlier, later in pairwise(rows)
        if earlier.segment != later.segment
    )


def _is_gap(steps: list[timedelta], place: int) -> bool:
    before = [each for each in steps[max(0, place - 3) : place] if each > _NONE]
    after = [each for each in steps[place + 1 : place + 4] if each > _NONE]
    usual = [usual_step(side) for side in (before, after) if side]
    # A change of the interval is no gap: the step fits one of its sides.
    return bool(usual) and steps[place] > _GAP_STEPS * max(usual)


def _in_order(rows: list[Timed], line: Lines, counting: bool, notes: list[str]) -> list[Timed]:
    falls = _falls(rows)
    if falls:
        rows = _without_strays(rows)
        falls = _falls(rows)
    if not falls:
        return rows
    if counting and _at(rows[falls[0]]) - _at(rows[0]) <= usual_step(_steps(rows)) * 2:
        first = rows[falls[0]]
        for row in rows[falls[0] :]:
            row.reason = (
                f"the count of time begins again at line {line(first)}: its start moment is not known"
            )
        notes.append(
            f"The count of time begins again at line {line(first)}. Save the rows from there "
            "as a file of their own and bring it with its start moment."
        )
        return rows[: falls[0]]
    ordered = sorted(rows, key=_at)
    # The steps next to a fall are those of the disorder itself.
    steps = _steps(rows)
    undisturbed = [
        step
        for at, step in enumerate(steps)
        if not any(each < _NONE for each in steps[max(0, at - 1) : at + 2])
    ]
    usual = usual_step(undisturbed) or usual_step(_steps(ordered))
    moved = {id(row) for at in falls for row in (rows[at], rows[at - 1])}
    doubtful = any(
        _at(later) - _at(earlier) < usual * _LEAST_STEP
        for earlier, later in pairwise(ordered)
        if _at(later) > _at(earlier)
    )
    clash = len({_at(row) for row in rows}) < len(rows)
    if not doubtful and not clash and len({row.segment for row in rows if id(row) in moved}) == 1:
        notes.append(
            f"{len(falls)} place{'s' if len(falls) > 1 else ''} out of order (first at line "
            f"{line(rows[falls[0]])}): put in order by their times, which leave no doubt."
        )
        return ordered
    return _refuse_overlap(rows, line, notes)


def _without_strays(rows: list[Timed]) -> list[Timed]:
    """The rows less single ones whose time leaps away from neighbours that follow each other without them."""
    near = _GAP_STEPS * usual_step(_steps(rows))
    kept: list[Timed] = []
    for place, row in enumerate(rows):
        if kept and place + 1 < len(rows):
            before, at, after = _at(kept[-1]), _at(row), _at(rows[place + 1])
            if _NONE < after - before <= near and (at - after > near or before - at > near):
                row.reason = "its time lies apart from the rows before and after it"
                continue
        kept.append(row)
    return kept


def _refuse_overlap(rows: list[Timed], line: Lines, notes: list[str]) -> list[Timed]:
    kept: list[Timed] = []
    latest, shift, back = _EARLIEST, 0, False
    for row in rows:
        fell = bool(kept) and _at(row) < latest
        if fell and not back:
            shift += 1
            notes.append(
                f"The time goes back at line {line(row)} (to {_at(row):%d %b %H:%M:%S} UTC) over "
                "times that the file has already: these rows are refused. Check the logger's clock."
            )
        back = fell
        if fell:
            row.reason = "out of order: its time lies among rows that the file has already"
            continue
        row.segment += shift
        latest = _at(row)
        kept.append(row)
    return kept


def _once(rows: list[Timed], values: Values, line: Lines, notes: list[str]) -> list[Timed]:
    """Each moment once. Equal rows count once; rows that contradict each other are all refused."""
    kept: list[Timed] = []
    repeats: list[int] = []
    coarse = all(_at(row).second == 0 and _at(row).microsecond == 0 for row in rows)
    at = 0
    while at < len(rows):
        stop = at + 1
        while stop < len(rows) and _at(rows[stop]) == _at(rows[at]):
            stop += 1
        same = rows[at:stop]
        first = values(same[0])
        differ = [row for row in same if values(row) != first]
        if not differ:
            kept.append(same[0])
            repeats += [line(row) for row in same[1:]]
        elif coarse:
            kept.append(same[0])
            for row in same[1:]:
                row.reason = "its time, given to the minute, is taken already; export the times with seconds"
        else:
            for row in same:
                row.reason = "two different readings for one moment: nobody can say which is right"
        at = stop
    if repeats:
        listed = ", ".join(str(each) for each in repeats[:10]) + (" …" if len(repeats) > 10 else "")
        plural = "s" if len(repeats) > 1 else ""
        notes.append(f"{len(repeats)} duplicate row{plural} counted once (line{plural} {listed}).")
    return kept


def _falls(rows: list[Timed]) -> list[int]:
    return [at for at in range(1, len(rows)) if _at(rows[at]) < _at(rows[at - 1])]


def _steps(rows: list[Timed]) -> list[timedelta]:
    return [_at(later) - _at(earlier) for earlier, later in pairwise(rows)]


def _at(row: Timed) -> datetime:
    assert row.at is not None
    return row.at


def _spell(step: timedelta) -> str:
    seconds = step.total_seconds()
    if seconds < 120:
        return f"{seconds:g} s"
    return f"{seconds / 60:.1f} min" if seconds < 7200 else f"{seconds / 3600:.1f} h"
