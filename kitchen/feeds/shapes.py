"""What a look at a logger file gives: readings, or the questions that stand in their way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

# Question key -> value of the choice that was taken (or what was typed, for a moment or a day).
Answers = Mapping[str, str]


class LoggerFileError(ValueError):
    """The file cannot be read at all; the message says why and what to do."""


@dataclass(frozen=True)
class Choice:
    """One way to read the file; `example` shows what it makes of a piece of it."""

    value: str
    label: str
    example: str = ""


@dataclass(frozen=True)
class Question:
    """Something that the file leaves open.

    `kind` is *choice* (one of `choices`), *moment* (a local date and time, ISO
    8601) or *day* (a local date, ISO 8601). The last two have no choices.
    """

    key: str
    text: str
    choices: tuple[Choice, ...] = ()
    kind: str = "choice"


class LoggedReading(NamedTuple):
    """One reading of one channel: line of the file, moment in UTC, temperature in °C."""

    line: int
    at: datetime
    celsius: Decimal


@dataclass(frozen=True)
class Channel:
    """A temperature column. `unit` is what the file gave: degC, degF, kelvin, or several with commas."""

    name: str
    unit: str
    readings: tuple[LoggedReading, ...]


@dataclass(frozen=True)
class RefusedRow:
    """A line that gives no reading, and why."""

    line: int
    text: str
    reason: str


@dataclass(frozen=True)
class Look:
    """The outcome of one look at a file. While there are `questions` there are no channels.

    `rows` counts the lines below the heading that are not blank. `breaks` are
    moments across which readings are never joined.
    """

    digest: str
    encoding: str
    separator: str = ""
    decimal_mark: str = ""
    rows: int = 0
    questions: tuple[Question, ...] = ()
    channels: tuple[Channel, ...] = ()
    refused: tuple[RefusedRow, ...] = ()
    notes: tuple[str, ...] = ()
    breaks: tuple[datetime, ...] = ()


def shorten(text: str, width: int = 160) -> str:
    """`text` on one line of at most `width` characters, for a list or an example."""
    flat = " ".join(text.split())
    return flat if len(flat) <= width else flat[: width - 1] + "…"


def chosen(answers: Answers, question: Question) -> str | None:
    """The answer to `question` if it is one of its choices; an unknown answer is no answer."""
    value = str(answers.get(question.key, "")).strip()
    return value if value in {each.value for each in question.choices} else None
