"""Read the written week: who did what, when, and what was typed.

The week lies in ``fixtures/<slug>/*.toml`` and the folders below it. A file gives what its
entries share (a day, a hand, a batch) and then `entries`, one line each:

    at = "-6 09:10"    a clock time in the kitchen's zone, six days before today
    at = "09:10"       the same on the `day` of the file
    at = "-6 09:10 +95"
                       95 minutes after that, by the clock that no summer time moves
    at = "now -85"     85 minutes before the present moment
    late = 70          told to the app 70 minutes after it happened
    said = "09:10 62.1, 09:41 62.0"
                       several readings in one line; each is an entry of its own
    cores = {1 = 2.1, 2 = 1.9}
                       the cores of several bags, probed one after the other

What has not come yet at the present moment is left out. Nothing that the app computes is
written: no outcome, no sentence, no code of a batch.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo


class ScriptError(Exception):
    """A line of the written week can't be used; the message names file and line."""


@dataclass(frozen=True)
class Clock:
    """The present moment, and the kitchen's zone in which the script tells time."""

    now: datetime
    zone: ZoneInfo

    @property
    def today(self) -> date:
        """Today in the kitchen."""
        return self.now.astimezone(self.zone).date()

    def day(self, offset: int) -> date:
        """The day so many days from today."""
        return self.today + timedelta(days=offset)

    def moment(self, said: str, day: int | None = None) -> datetime:
        """The moment in UTC that the script means; raises ValueError for text that means none."""
        if said.startswith("now"):
            return self.now + timedelta(minutes=int(said[3:].replace(" ", "") or 0))
        said, _, later = said.partition("+")
        *days, clock = said.split()
        if days:
            day = int(days[0])
        if day is None or len(days) > 1:
            raise ValueError(f"“{said}” has no day")
        local = datetime.combine(self.day(day), time.fromisoformat(clock), self.zone)
        return local.astimezone(UTC) + timedelta(minutes=int(later or 0))


@dataclass(frozen=True)
class Line:
    """One thing that was done: what, when, when the app was told, by whom, and what was said."""

    where: str
    do: str
    at: datetime
    told_at: datetime
    by: str | None
    facts: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Week:
    """The whole script: the place as it was opened, and the lines in the order in which they were told."""

    folder: Path
    place: dict[str, Any]
    clock: Clock
    lines: tuple[Line, ...]


def read_week(folder: Path, now: datetime) -> Week:
    """Read every file of a written week and lay it before the present moment.

    Raises `ScriptError` naming file and line.
    """
    place = _load(folder / "place.toml")
    clock = Clock(now, ZoneInfo(place["site"]["timezone"]))
    lines: list[Line] = []
    for file in sorted(folder.rglob("*.toml")):
        data = _load(file)
        shared = {key: value for key, value in data.items() if not isinstance(value, list | dict)}
        for number, entry in enumerate(data.get("entries", ()), start=1):
            where = f"{file.relative_to(folder)}, entry {number}"
            lines += _lines({**shared, **entry}, clock, where)
    lines = [each for each in lines if each.told_at <= now]
    # Python sorts stably: what was told in the same minute stays in the order of the files.
    lines.sort(key=lambda each: each.told_at)
    return Week(folder, place, clock, tuple(lines))


def _load(file: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(file.read_text("utf-8"), parse_float=Decimal)
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise ScriptError(f"{file}: {error}") from error


def _lines(entry: dict[str, Any], clock: Clock, where: str) -> list[Line]:
    facts = dict(entry)
    day, late = facts.pop("day", None), int(facts.pop("late", 0))
    by, said, cores = facts.pop("by", None), facts.pop("said", None), facts.pop("cores", None)
    try:
        do = facts.pop("do")
        if cores is not None:
            at = facts.pop("at")
            times = [(at, {**facts, "bag": int(bag), "celsius": c}) for bag, c in cores.items()]
        elif said is None:
            times = [(facts.pop("at"), facts)]
        else:
            times = [_reading(each, facts) for each in said.split(",")]
        moments = [(clock.moment(at, day), each) for at, each in times]
    except (KeyError, ValueError, ArithmeticError) as error:
        raise ScriptError(f"{where}: {error!r}") from error
    return [Line(where, do, at, at + timedelta(minutes=late), by, each) for at, each in moments]


def _reading(said: str, facts: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    at, celsius = said.strip().rsplit(maxsplit=1)
    return at, {**facts, "celsius": Decimal(celsius)}
