"""Read the library's own data files."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from haccp.errors import DataError
from haccp.ranges import Range

T = TypeVar("T")

PROVENANCES = (
    "page seen",
    "page seen (secondary reproduction)",
    "derived from page seen",
    "from memory",
    "own computation",
    "own estimate",
    "common practice, no source",
)


@cache
def load(name: str) -> dict[str, Any]:
    """The tables of ``haccp/data/<name>.toml``.

    Raises :class:`DataError` when the file is missing or is not TOML.
    """
    try:
        return tomllib.loads(files("haccp").joinpath("data", f"{name}.toml").read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise DataError(
            f"haccp/data/{name}.toml cannot be read: {error}. Restore it from the release."
        ) from None


def as_range(values: list[float], where: str) -> Range:
    """`values` = [low, best, high] as a :class:`Range`; `where` names it in an error."""
    if len(values) != 3:
        raise DataError(f"{where} needs three numbers: low, best, high.")
    return Range(*map(float, values))


def pedigree(table: dict[str, Any], where: str) -> tuple[tuple[str, ...], str, str]:
    """Source keys, provenance and note of one table.

    Raises :class:`DataError` when the provenance is not one of `PROVENANCES`, or
    when a table claims to have been read somewhere and names no source.
    """
    sources, provenance = tuple(table.get("sources", ())), table.get("provenance", "")
    if provenance not in PROVENANCES:
        raise DataError(f"{where}: provenance must be one of {', '.join(PROVENANCES)}.")
    if not sources and provenance.startswith(("page seen", "derived", "from memory")):
        raise DataError(f"{where}: a figure that is {provenance} needs the key of its source.")
    return sources, provenance, str(table.get("note", ""))


def choose(items: dict[str, T], key: str, what: str) -> T:
    """`items[key]`; an unknown key raises :class:`DataError` naming the choices."""
    try:
        return items[key]
    except KeyError:
        raise DataError(f"There is no {what} “{key}”. Choose one of: {', '.join(sorted(items))}.") from None
