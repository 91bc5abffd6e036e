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
from functools import cache, cached_property, reduce
from typing import Any

from haccp.datafiles import choose, load
from haccp.errors import DataError
from haccp.holdtables import HoldTable, hold_table, hold_tables, longer_of
from haccp.limitparse import parse_limit
from haccp.limitrows import Amount, Limit, Table, exact
from haccp.sources import check_sources, data_names

__all__ = [
    "Amount",
    "Change",
    "Limit",
    "Regime",
    "Ruleset",
    "Table",
    "all_limits",
    "chain",
    "diff",
    "exact",
    "regimes",
    "ruleset",
]

_HEAD = frozenset({"regime", "name", "over", "takes", "table", "limit", "sites"})
_HEAD_OPTIONAL = frozenset({"table", "sites"})
_BASIS = frozenset({"reference_c", "z_c", "minutes", "basis", "source"})
_TABLE = _BASIS | {"key", "name", "z_above_c", "between"}


@dataclass(frozen=True)
class Regime:
    """One file of limits. `over` is the regime that it is a layer on, or empty.

    `takes` are ids of rows of other regimes that are shown here as advice. `sites` is false for a file whose
    rows are shown in other regimes and under which no kitchen is.
    """

    key: str
    name: str
    over: str
    takes: tuple[str, ...]
    tables: tuple[Table, ...]
    limits: tuple[Limit, ...]
    sites: bool = True


def parse_regime(data: dict[str, Any], file: str) -> Regime:
    """A regime from the tables of its file; `file` names it in an error.

    Raises :class:`DataError` naming file and row (see :func:`haccp.limitrows.parse_limit`).
    """
    if unknown := sorted(data.keys() - _HEAD):
        raise DataError(f"{file}: unknown key {', '.join(unknown)}.")
    if missing := sorted(_HEAD - _HEAD_OPTIONAL - data.keys()):
        raise DataError(f"{file}: {', '.join(missing)} missing.")
    tables = tuple(_table(each, file) for each in data.get("table", ()))
    limits: dict[str, Limit] = {}
    for number, row in enumerate(data["limit"], start=1):
        limit = parse_limit(row, data["regime"], file, number)
        if limit.id in limits:
            raise DataError(f"{file}, limit {number}: the id {limit.id} is there already.")
        limits[limit.id] = limit
    regime = Regime(
        key=data["regime"],
        name=data["name"],
        over=data["over"],
        takes=tuple(data["takes"]),
        tables=tables,
        limits=tuple(limits.values()),
        sites=data.get("sites", True) is True,
    )
    if not regime.over:
        _check_tables(regime, {each.key for each in tables}, file)
    return regime


def _check_tables(regime: Regime, keys: set[str], file: str) -> None:
    """Every row's table is there: in the same file, or in one that a layer lies on."""
    for number, limit in enumerate(regime.limits, start=1):
        if limit.table and limit.table not in keys:
            raise DataError(f"{file}, limit {number} ({limit.id}): there is no table “{limit.table}”.")


def _table(row: dict[str, Any], file: str) -> Table:
    where = f"{file}, table {row.get('key', 'without key')}"
    if not {"key", "name"} <= row.keys() or row.keys() - _TABLE:
        raise DataError(f"{where}: a table has a key, a name and, where published, its basis.")
    if ("minutes" in row) != (row.keys() >= _BASIS):
        raise DataError(f"{where}: a basis is whole or not there: reference_c, z_c, minutes, basis, source.")
    for key in (between := tuple(row.get("between", ()))):
        if key not in hold_tables():
            raise DataError(f"{where}: haccp/data/holdtables.toml has no table “{key}”.")
    return Table(**{**row, "between": between})


@cache
def regimes() -> dict[str, Regime]:
    """All regimes by key; loaded and checked once.

    Raises :class:`DataError` naming file and row: an id in two files, a layer over
    nothing, a row taken or replaced that is not there, a source unknown or uncited.
    """
    found = _joined(
        {f"haccp/data/{name}.toml": load(name) for name in data_names() if "regime" in load(name)}
    )
    check_sources()
    return found


def _joined(data: dict[str, dict[str, Any]]) -> dict[str, Regime]:
    """The regimes of several files, by file name, checked against each other."""
    found, files, homes = dict[str, Regime](), dict[str, str](), dict[str, str]()
    for file, tables in data.items():
        regime = parse_regime(tables, file)
        if regime.key in found:
            raise DataError(f"{file}: the regime {regime.key} has a file already, {files[regime.key]}.")
        for number, limit in enumerate(regime.limits, start=1):
            if limit.id in homes:
                raise DataError(f"{file}, limit {number}: the id {limit.id} is in {homes[limit.id]} already.")
            homes[limit.id] = file
        found[regime.key], files[regime.key] = regime, file
    for regime in found.values():
        _check_layer(regime, found, homes, files[regime.key])
    return found


def _check_layer(regime: Regime, found: dict[str, Regime], homes: dict[str, str], file: str) -> None:
    """A layer lies on a regime that is there, and names only rows that are there or below it."""
    below, over = [regime], regime.over
    while over:
        if over not in found:
            raise DataError(f"{file}: {regime.key} is a layer over {over}, which has no file.")
        if found[over] in below:
            raise DataError(f"{file}: {regime.key} is a layer over itself.")
        below.append(found[over])
        over = below[-1].over
    _check_tables(regime, {table.key for each in below for table in each.tables}, file)
    if lost := [each for each in regime.takes if each not in homes]:
        raise DataError(f"{file}: takes names {', '.join(lost)}, which no file has.")
    under = {limit.id for each in below for limit in each.limits}
    for number, limit in enumerate(regime.limits, start=1):
        if lost := [each for each in limit.replaces if each not in under or each == limit.id]:
            raise DataError(
                f"{file}, limit {number} ({limit.id}): replaces names {', '.join(lost)}, "
                f"which {' and '.join(each.key for each in below)} do not have."
            )


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
    def canonical(self) -> str:
        """The rows and the bases of their tables as JSON, the same characters on every machine."""
        plain = {
            "limits": sorted((each.plain() for each in self.rows), key=lambda row: str(row["id"])),
            "tables": sorted((vars(each) for each in self.tables), key=lambda row: str(row["key"])),
        }
        return json.dumps(plain, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of the canonical JSON."""
        return hashlib.sha256(self.canonical.encode("utf-8")).hexdigest()

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

    def between_rows(self, limit: Limit) -> HoldTable | None:
        """The published table that says what holds between the rows of a limit's table; None if none does.

        Where it names several (chicken and turkey), the longer of them at each temperature.
        """
        keys = self.table(limit).between
        return reduce(longer_of, map(hold_table, keys)) if keys else None


def chain(key: str) -> list[Regime]:
    """A regime and those that it lies on, the lowest first; :class:`DataError` for one that is not there."""
    regime = choose(regimes(), key, "regime")
    below = chain(regime.over) if regime.over else []
    return [*below, regime]


@cache
def _ruleset(key: str, day: date, chosen: frozenset[str]) -> Ruleset:
    layers = chain(key)
    everything = {each.id: each for each in all_limits()}
    if unknown := sorted(chosen - everything.keys()):
        raise DataError(f"There is no limit {', '.join(unknown)} to choose.")
    rows = [
        each
        for regime in layers
        for each in regime.limits
        if each.in_force(day) and (not each.ships_off or each.id in chosen)
    ]
    replaced = {old for each in rows for old in each.replaces}
    kept = [each for each in rows if each.id not in replaced]
    have = {each.id for each in kept}
    taken = dict.fromkeys(each for regime in layers for each in regime.takes if each not in have)
    kept += [as_advice(everything[each]) for each in taken if everything[each].in_force(day)]
    return Ruleset(
        regime=key,
        name=layers[-1].name,
        day=day,
        rows=tuple(kept),
        tables=tuple(each for regime in layers for each in regime.tables),
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
