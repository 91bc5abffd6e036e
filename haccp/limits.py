"""The critical limits in force: for a regime, on a day, for a food.

Each regime has a file in ``haccp/data``; a local layer names the regime that it lies
over and which of its rows it replaces. ``python -m haccp.limits --json`` prints every row.
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, cached_property
from typing import Any

from haccp.datafiles import choose, load
from haccp.errors import DataError
from haccp.limitparse import parse_limit
from haccp.limitrows import Amount, Limit, Table, exact
from haccp.sources import check_sources, data_names, source

__all__ = [
    "Amount",
    "Change",
    "Limit",
    "Regime",
    "Ruleset",
    "Table",
    "all_limits",
    "diff",
    "exact",
    "explain",
    "regimes",
    "ruleset",
]

_HEAD = frozenset({"regime", "name", "over", "takes", "table", "limit"})
_TABLE = frozenset({"key", "name", "reference_c", "z_c", "z_above_c", "minutes", "basis", "source"})


@dataclass(frozen=True)
class Regime:
    """One file of limits. `over` is the regime that it is a layer on, or empty.

    `takes` are ids of rows of other regimes that are shown here as advice.
    """

    key: str
    name: str
    over: str
    takes: tuple[str, ...]
    tables: tuple[Table, ...]
    limits: tuple[Limit, ...]


def parse_regime(data: dict[str, Any], file: str) -> Regime:
    """A regime from the tables of its file; `file` names it in an error.

    Raises :class:`DataError` naming file and row (see :func:`haccp.limitrows.parse_limit`).
    """
    if unknown := sorted(data.keys() - _HEAD):
        raise DataError(f"{file}: unknown key {', '.join(unknown)}.")
    if missing := sorted(_HEAD - data.keys() - {"table"}):
        raise DataError(f"{file}: {', '.join(missing)} missing.")
    tables = tuple(_table(each, file) for each in data.get("table", ()))
    keys = {each.key for each in tables}
    limits, seen = [], set[str]()
    for number, row in enumerate(data["limit"], start=1):
        limit = parse_limit(row, data["regime"], file, number)
        if limit.id in seen:
            raise DataError(f"{file}, limit {number}: the id {limit.id} is there already.")
        if limit.table and limit.table not in keys:
            raise DataError(f"{file}, limit {number} ({limit.id}): there is no table “{limit.table}”.")
        seen.add(limit.id)
        limits.append(limit)
    return Regime(data["regime"], data["name"], data["over"], tuple(data["takes"]), tables, tuple(limits))


def _table(row: dict[str, Any], file: str) -> Table:
    where = f"{file}, table {row.get('key', 'without key')}"
    if not {"key", "name"} <= row.keys() or row.keys() - _TABLE:
        raise DataError(f"{where}: a table has a key, a name and, where published, its basis.")
    if ("minutes" in row) != ({"reference_c", "z_c", "basis", "source"} <= row.keys()):
        raise DataError(f"{where}: a basis is whole or not there: reference_c, z_c, minutes, basis, source.")
    return Table(**row)


@cache
def regimes() -> dict[str, Regime]:
    """All regimes by key; loaded and checked once.

    Raises :class:`DataError` naming file and row: an id in two files, a layer over
    nothing, a row taken or replaced that is not there, a source unknown or uncited.
    """
    found, files = dict[str, Regime](), dict[str, str]()
    for name in data_names():
        data = load(name)
        if "regime" not in data:
            continue
        file = f"haccp/data/{name}.toml"
        regime = parse_regime(data, file)
        if regime.key in found:
            raise DataError(f"{file}: the regime {regime.key} has a file already.")
        for limit in regime.limits:
            if limit.id in files:
                raise DataError(f"{file}: the id {limit.id} is in {files[limit.id]} already.")
            files[limit.id] = file
        found[regime.key] = regime
    for regime in found.values():
        if regime.over and regime.over not in found:
            raise DataError(f"{regime.key} is a layer over {regime.over}, which has no file.")
        named = [*regime.takes, *(each for limit in regime.limits for each in limit.replaces)]
        if lost := [each for each in named if each not in files]:
            raise DataError(f"{regime.key} names {', '.join(lost)}, which no file has.")
    check_sources()
    return found


def all_limits() -> Iterator[Limit]:
    """Every row of every regime, also those that ship switched off."""
    for regime in regimes().values():
        yield from regime.limits


@dataclass(frozen=True)
class Ruleset:
    """The limits in force under one regime on one day; frozen, with a digest.

    `rows` are in the order of the files, the regime's own before those of a layer.
    """

    regime: str
    name: str
    day: date
    rows: tuple[Limit, ...]
    tables: tuple[Table, ...]

    @cached_property
    def digest(self) -> str:
        """SHA-256 of the canonical JSON of the rows and the bases of their tables."""
        plain = {
            "limits": sorted((each.plain() for each in self.rows), key=lambda row: str(row["id"])),
            "tables": sorted((vars(each) for each in self.tables), key=lambda row: str(row["key"])),
        }
        text = json.dumps(plain, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
        return hashlib.sha256(text.encode("utf-8")).hexdigest()

    def limits(
        self,
        topic: str,
        attributes: Collection[str] = frozenset(),
        *,
        quantity: str | None = None,
        advice: bool = False,
    ) -> tuple[Limit, ...]:
        """The rows of a topic that the words of a food trigger.

        `quantity` keeps one kind of row; rows that are only advice are left out unless
        `advice` asks for them, and then they come alone.
        """
        words = frozenset(attributes)
        return tuple(
            each
            for each in self.rows
            if each.topic == topic
            and each.triggered_by(words)
            and each.advice == advice
            and (quantity is None or each.quantity == quantity)
        )

    def limit(self, key: str) -> Limit:
        """The row with this id; raises :class:`DataError` if it is not in force here."""
        return choose({each.id: each for each in self.rows}, key, "limit in force")

    def table(self, limit: Limit) -> Table:
        """The table to which a row belongs; a row without one is a table of its own."""
        return next(
            (each for each in self.tables if each.key == limit.table), Table(key=limit.id, name=limit.whose)
        )


def _chain(key: str) -> list[Regime]:
    regime = choose(regimes(), key, "regime")
    below = _chain(regime.over) if regime.over else []
    return [*below, regime]


@cache
def _ruleset(key: str, day: date, chosen: frozenset[str]) -> Ruleset:
    chain = _chain(key)
    everything = {each.id: each for each in all_limits()}
    if unknown := sorted(chosen - everything.keys()):
        raise DataError(f"There is no limit {', '.join(unknown)} to choose.")
    rows = [
        each
        for regime in chain
        for each in regime.limits
        if each.in_force(day) and (not each.ships_off or each.id in chosen)
    ]
    replaced = {old for each in rows for old in each.replaces}
    kept = [each for each in rows if each.id not in replaced]
    have = {each.id for each in kept}
    taken = dict.fromkeys(each for regime in chain for each in regime.takes if each not in have)
    kept += [as_advice(everything[each]) for each in taken if everything[each].in_force(day)]
    return Ruleset(
        regime=key,
        name=chain[-1].name,
        day=day,
        rows=tuple(kept),
        tables=tuple(each for regime in chain for each in regime.tables),
    )


def as_advice(limit: Limit) -> Limit:
    """The same row where it is shown but decides no outcome."""
    return replace(limit, advice=True)


def ruleset(regime: str, day: date, chosen: Iterable[str] = ()) -> Ruleset:
    """The limits in force under `regime` on `day`.

    `chosen` are ids of rows that ship switched off and that the kitchen chose. Raises
    :class:`DataError` for an unknown regime or id.
    """
    return _ruleset(regime, day, frozenset(chosen))


@dataclass(frozen=True)
class Change:
    """One row that differs between two rulesets; None where it is not in one of them."""

    id: str
    before: Limit | None
    after: Limit | None
    fields: tuple[str, ...] = ()


def diff(before: Ruleset, after: Ruleset) -> tuple[Change, ...]:
    """What changed from one ruleset to another, by id."""
    old, new = ({each.id: each for each in rules.rows} for rules in (before, after))
    changes = []
    for key in sorted(old.keys() | new.keys()):
        was, now = old.get(key), new.get(key)
        if was is None or now is None:
            changes.append(Change(key, was, now))
        elif was != now:
            one, two = was.plain(), now.plain()
            changes.append(Change(key, was, now, tuple(name for name in one if one[name] != two[name])))
    return tuple(changes)


_OPERATORS = {">=": "at least", "<=": "at most", "within": "within", "": ""}


def explain(limit: Limit, words: Collection[str] | None = None) -> str:
    """Why this limit and not another, in plain words.

    `words` are the attributes of a food; with them the answer says which of them
    triggered the limit.
    """
    cited = source(limit.source)
    parts = [
        f"{limit.id}: {limit.condition}. {_OPERATORS[limit.operator]} {limit.printed}".strip().rstrip(".")
        + "."
    ]
    if words is not None:
        triggers = sorted((limit.applies | limit.any_of) & frozenset(words))
        parts.append(
            f"It applies because the food is: {', '.join(triggers)}."
            if triggers
            else "It applies to every food under this regime, save what it excepts."
        )
    elif needed := [*sorted(limit.applies), *([" or ".join(sorted(limit.any_of))] if limit.any_of else [])]:
        parts.append(f"It applies to food that is: {', '.join(needed)}.")
    if limit.unless:
        parts.append(f"Not where the food is: {', '.join(sorted(limit.unless))}.")
    if limit.table:
        parts.append("It is one row of a table: any row that is met will do.")
    if limit.advice:
        parts.append("It is advice: it is shown and decides no outcome.")
    if limit.ships_off:
        parts.append(f"{limit.ships_off}")
    edition = f", {limit.edition}" if limit.edition else ""
    parts.append(f"Source: {cited.title}, {limit.section}{edition} ({limit.status}).")
    if limit.in_force_from:
        parts.append(f"In force since {limit.in_force_from.isoformat()}.")
    if limit.in_force_until:
        parts.append(f"In force until {limit.in_force_until.isoformat()}.")
    if limit.not_covered:
        parts.append(f"Not covered: {limit.not_covered}")
    parts.append(
        f"Provenance: {limit.provenance}, confidence {limit.confidence}; "
        f"last confirmed {limit.last_confirmed.isoformat()}."
    )
    return " ".join(parts)


def main(arguments: list[str]) -> int:
    """Print every loaded row, as JSON or one per line."""
    if arguments not in ([], ["--json"]):
        sys.stderr.write("Usage: python -m haccp.limits [--json]\n")
        return 2
    rows = list(all_limits())
    if arguments:
        sys.stdout.write(json.dumps([each.plain() for each in rows], ensure_ascii=False, indent=1) + "\n")
    else:
        sys.stdout.writelines(f"{each.id}  {each.topic}  {each.operator} {each.printed}\n" for each in rows)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
