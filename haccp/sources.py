"""The bibliography: every figure in the library points at one source by key.

A source that nothing cites, and a key that no source has, are both errors, so the
bibliography says neither more nor less than the data and the docstrings do.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from haccp.datafiles import PROVENANCES, choose, load
from haccp.errors import DataError

_REQUIRED = frozenset({"title", "section", "body", "year", "provenance", "note"})
_OPTIONAL = frozenset({"short"})


@dataclass(frozen=True)
class Source:
    """One published thing: title, section read, issuing body or author, year.

    `short` is how a finding names it. `provenance` is one of `PROVENANCES`; `note` says
    what was and was not confirmed.
    """

    key: str
    title: str
    section: str
    body: str
    year: str
    provenance: str
    note: str
    short: str

    @property
    def citation(self) -> str:
        """The source in one line, as it is printed."""
        return f"{self.title}, {self.section}. {self.body}, {self.year}."


def parse_sources(tables: dict[str, Any], file: str) -> dict[str, Source]:
    """Sources from the tables of one file; `file` names it in an error.

    Raises :class:`DataError` naming file and key for a missing, unknown or empty field
    and for a provenance that is not one of `PROVENANCES`.
    """
    found = {}
    for key, table in tables.items():
        where = f"{file} [{key}]"
        missing, unknown = _REQUIRED - table.keys(), table.keys() - _REQUIRED - _OPTIONAL
        if missing or unknown:
            raise DataError(f"{where}: {_lists('missing', missing)}{_lists('unknown', unknown)}.")
        fields = {name: str(table[name]).strip() for name in _REQUIRED}
        if empty := [name for name in ("title", "body", "year") if not fields[name]]:
            raise DataError(f"{where}: {', '.join(sorted(empty))} must not be empty.")
        if fields["provenance"] not in PROVENANCES:
            raise DataError(f"{where}: provenance must be one of {', '.join(PROVENANCES)}.")
        found[key] = Source(key=key, short=str(table.get("short", fields["body"])), **fields)
    return found


def _lists(word: str, names: set[str] | frozenset[str]) -> str:
    return f" {word}: {', '.join(sorted(names))}" if names else ""


@cache
def sources() -> dict[str, Source]:
    """All sources of ``data/sources.toml`` by key, in the order of the file."""
    return parse_sources(load("sources"), "haccp/data/sources.toml")


def source(key: str) -> Source:
    """The source with this key; raises :class:`DataError` naming the choices."""
    return choose(sources(), key, "source")


def cited(tables: Any) -> Iterator[str]:
    """Every key under `source` or `sources` anywhere in the tables of a data file."""
    if isinstance(tables, dict):
        for name, value in tables.items():
            if name == "source" and isinstance(value, str):
                yield value
            elif name == "sources" and isinstance(value, list):
                yield from (each for each in value if isinstance(each, str))
            else:
                yield from cited(value)
    elif isinstance(tables, list):
        for each in tables:
            yield from cited(each)


def data_names() -> list[str]:
    """The names of all data files but the bibliography itself."""
    folder = files("haccp").joinpath("data")
    names = (each.name.removesuffix(".toml") for each in folder.iterdir() if each.name.endswith(".toml"))
    return sorted(name for name in names if name != "sources")


def _cited_in_code() -> str:
    """The text of the library's own modules: a formula's source is named in its docstring."""
    modules = (each for each in files("haccp").iterdir() if each.name.endswith(".py"))
    return "\n".join(each.read_text(encoding="utf-8") for each in modules)


def check_sources() -> None:
    """Raise :class:`DataError` for a key that no source has, or a source that nothing cites."""
    known, used = sources(), set[str]()
    for name in data_names():
        for key in cited(load(name)):
            if key not in known:
                raise DataError(
                    f"haccp/data/{name}.toml cites “{key}”, which the bibliography does not have."
                )
            used.add(key)
    used.update(re.findall(r"[\w-]+", _cited_in_code()))
    idle = [key for key in known if key not in used]
    if idle:
        raise DataError(
            f"haccp/data/sources.toml: nothing cites {', '.join(idle)}. Cite them or take them out."
        )
