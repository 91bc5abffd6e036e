"""Prerequisites of a HACCP plan, how it is verified, what people are taught, when it is looked at again.

Data: ``data/prerequisites.toml``; own words, on the subjects of codex-general-principles-2022.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from haccp.datafiles import load
from haccp.errors import DataError

FILE = "haccp/data/prerequisites.toml"


@dataclass(frozen=True)
class Prerequisite:
    """What is done whatever is cooked; `kept` says where its record lies."""

    key: str
    name: str
    what: str
    kept: str


@dataclass(frozen=True)
class Verification:
    """What shows that a plan is kept and works. `when` is empty where the regime says how often."""

    key: str
    name: str
    what: str
    who: str
    when: str
    record: str


@dataclass(frozen=True)
class Topic:
    """What people with one of these roles are taught."""

    topic: str
    roles: tuple[str, ...]


def parse_prerequisites(rows: list[dict[str, Any]], file: str = FILE) -> dict[str, Prerequisite]:
    """Prerequisites by key; :class:`DataError` names the row that does not hold."""
    found: dict[str, Prerequisite] = {}
    for number, row in enumerate(rows, start=1):
        where = f"{file}, prerequisite {number} ({row.get('key', 'without key')})"
        if row.keys() != {"key", "name", "what", "kept"} or not all(row.values()):
            raise DataError(f"{where}: it has a key, a name, what it is and where its record is kept.")
        if row["key"] in found:
            raise DataError(f"{where}: the key is there already.")
        found[row["key"]] = Prerequisite(**row)
    return found


@cache
def prerequisites() -> dict[str, Prerequisite]:
    """All prerequisites by key, in the order of the file."""
    return parse_prerequisites(load("prerequisites")["prerequisite"])


@cache
def training() -> tuple[Topic, ...]:
    """What people are taught, in the order of the file."""
    return tuple(Topic(row["topic"], tuple(row["roles"])) for row in load("prerequisites")["training"])


@cache
def verification() -> tuple[Verification, ...]:
    """What shows that a plan is kept and works, in the order of the file."""
    return tuple(Verification(**row) for row in load("prerequisites")["verification"])


@cache
def triggers() -> tuple[str, ...]:
    """What makes a plan be looked at again, in the order of the file."""
    return tuple(str(row["what"]) for row in load("prerequisites")["trigger"])
