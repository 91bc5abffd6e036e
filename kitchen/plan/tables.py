"""The tables of a printed plan, laid out from its content."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitchen.plan.parts import Item

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ALL = "all"
QUESTIONS = 4


@dataclass(frozen=True)
class Row:
    """Cells from left to right; a strong row is about a critical control point."""

    cells: tuple[str, ...]
    strong: bool = False


@dataclass(frozen=True)
class Table:
    """A table; `kind` is the class by which the style sheet gives its columns their widths."""

    kind: str
    heads: tuple[str, ...]
    rows: tuple[Row, ...]


def letter(place: int) -> str:
    """A, B … Z, AA, AB …: the sign of a family within one plan."""
    rounds, rest = divmod(place, len(LETTERS))
    return (letter(rounds - 1) if rounds else "") + LETTERS[rest]


def letters_of(families: Sequence[Item]) -> dict[str, str]:
    """The sign of each family by its key; one alone needs none."""
    if len(families) == 1:
        return {families[0]["key"]: ""}
    return {each["key"]: letter(place) for place, each in enumerate(families)}


def signs(keys: Sequence[str], letters: dict[str, str]) -> str:
    """Some families by their signs, or *all*."""
    if len(keys) == len(letters):
        return ALL
    return ", ".join(letters[key] for key in keys)


def of_items(
    kind: str, items: Sequence[Item], first: str, labels: Sequence[str], *, keyed: bool = False
) -> Table:
    """One row per item: its name (and its key, where that says something), then the facts asked for."""
    rows = []
    for each in items:
        facts = dict(each["facts"])
        name = f"{each['name']}\n{each['key']}" if keyed else each["name"]
        rows.append(Row((name, *(facts.get(label, "") for label in labels))))
    return Table(kind, (first, *labels), tuple(rows))


def families(found: Sequence[Item], letters: dict[str, str]) -> Table:
    """The families with their signs and dishes."""
    rows = [
        Row((letters[each["key"]], each["name"], ", ".join(dish["name"] for dish in each["dishes"])))
        for each in found
    ]
    return Table("families", ("", "Dish family", "Dishes"), tuple(rows))


def hazards(found: Sequence[Item], letters: dict[str, str]) -> Table:
    """The hazards of all families in the order of the work; what is alike in several is said once."""
    heads = ("Step", "Hazard", "Likely, severe", "Controls", *"1234", "Decision, reason", "Families")
    alike: dict[tuple[str, ...], list[str]] = {}
    strong: set[tuple[str, ...]] = set()
    for family in found:
        for each in family["hazards"]:
            facts = dict(each["facts"])
            answers = [*each["answers"], *["–"] * QUESTIONS][:QUESTIONS]
            cells = (
                facts["Step"],
                f"{each['letter']} · {each['name']}",
                facts["Likely, severe"],
                facts["Controls"],
                *answers,
                f"{facts['Decision']}\n\n{facts['Reason']}",
            )
            alike.setdefault(cells, []).append(family["key"])
            if each["critical"]:
                strong.add(cells)
    order = _order(found)
    rows, before = [], ""
    for cells in sorted(alike, key=lambda cells: order.get(cells[0], 0)):
        step = cells[0] if cells[0] != before else ""
        before = cells[0]
        rows.append(Row((step, *cells[1:], signs(alike[cells], letters)), cells in strong))
    return Table("hazards", heads, tuple(rows))


def _order(found: Sequence[Item]) -> dict[str, int]:
    """Where each step comes in the work, by its name, merged over all families."""
    ordered: list[str] = []
    for family in found:
        place = 0
        for step in family["way"]:
            if step["name"] in ordered:
                place = ordered.index(step["name"]) + 1
            else:
                ordered.insert(place, step["name"])
                place += 1
    return {name: place for place, name in enumerate(ordered)}


def limits(items: Sequence[Item]) -> Table:
    """The limits with their sources; rows that differ in their figure alone share a line."""
    heads = ("Limit", "Figure", "Source", "Status", "Provenance")
    alike: dict[tuple[str, ...], list[Item]] = {}
    for each in items:
        facts = dict(each["facts"])
        said = (each["name"], *(facts.get(label, "") for label in (*heads[2:], "Not covered")))
        alike.setdefault(said, []).append(each)
    rows = []
    for (name, source, status, provenance, not_covered), several in alike.items():
        keys = [each["key"] for each in several]
        named = keys[0] if len(keys) == 1 else f"{keys[0]} … {keys[-1]}"
        missing = f"\nNot covered: {not_covered}" if not_covered else ""
        figures = "; ".join(dict(each["facts"])["Figure"] for each in several)
        rows.append(Row((f"{name}\n{named}{missing}", figures, source, status, provenance)))
    return Table("limits", heads, tuple(rows))


def points(items: Sequence[Item], letters: dict[str, str]) -> Table:
    """The critical control points, one row each."""
    labels = ("Hazard", "Critical limits", "Monitoring", "Corrective action", "Verification", "Records")
    rows = []
    for each in items:
        facts = dict(each["facts"])
        limits = "\n\n".join(f"{signs(one['families'], letters)}: {one['said']}" for one in each["limits"])
        watched = "\n\n".join(
            f"{label}: {facts[key]}"
            for label, key in (
                ("What", "What is monitored"),
                ("How", "How"),
                ("When", "When"),
                ("Who", "Who"),
            )
        )
        rows.append(
            Row(
                (
                    f"{each['key']}\n{each['name']}",
                    facts["Hazard"].replace("; ", "\n\n"),
                    limits,
                    watched,
                    "\n\n".join(each["actions"]),
                    facts["Verification"],
                    facts["Records"],
                )
            )
        )
    return Table("points", ("Point", *labels), tuple(rows))
