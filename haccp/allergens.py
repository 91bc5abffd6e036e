"""Allergens by name: one word for each, whatever a specification calls it, and which list asks for it.

The lists follow the rows of the law that name them (``data/allergens.toml``); the spellings are our own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from haccp.datafiles import load
from haccp.errors import DataError

_NO_NAME = frozenset({"", "none", "no", "-", "nil", "no allergens", "none declared"})


@dataclass(frozen=True)
class AllergenList:
    """The allergens that a row of the law asks to declare."""

    name: str
    limits: frozenset[str]
    allergens: tuple[str, ...]


@cache
def names() -> dict[str, str]:
    """Every word that is known, with the allergen that it names."""
    found: dict[str, str] = {}
    for table in load("allergens")["allergen"]:
        for word in (table["key"], *table["words"]):
            if found.setdefault(word, table["key"]) != table["key"]:
                raise DataError(f"haccp/data/allergens.toml: “{word}” names two allergens.")
    return found


@cache
def lists() -> tuple[AllergenList, ...]:
    """All lists. Raises :class:`DataError` for an allergen in a list that is described nowhere."""
    keys = {table["key"] for table in load("allergens")["allergen"]}
    found = []
    for table in load("allergens")["list"]:
        if lost := set(table["allergens"]) - keys:
            raise DataError(
                f"haccp/data/allergens.toml, {table['name']}: no allergen {', '.join(sorted(lost))}."
            )
        found.append(AllergenList(table["name"], frozenset(table["limits"]), tuple(table["allergens"])))
    return tuple(found)


def list_of(limit: str) -> AllergenList | None:
    """The list that a row of the law asks for, by the row's id."""
    return next((each for each in lists() if limit in each.limits), None)


@cache
def of_material(material: str) -> str | None:
    """The allergen that a food itself is, by its key in ``data/materials.toml``; None for most."""
    tables = load("allergens")["allergen"]
    return next((table["key"] for table in tables if material in table.get("materials", ())), None)


def named(words: Iterable[str]) -> frozenset[str]:
    """The allergens that words name; a word that is not known stays as it is, in small letters."""
    known = names()
    small = (" ".join(word.lower().split()).strip(" .") for word in words)
    return frozenset(known.get(word, word) for word in small if word not in _NO_NAME)


def is_known(name: str) -> bool:
    """Whether a name is one of the allergens described."""
    return name in names().values()
