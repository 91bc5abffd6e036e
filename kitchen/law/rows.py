"""The limits of a ruleset ready to be shown: by step of the work, by table, with the dishes concerned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from haccp.limitrows import Limit
from haccp.limits import Ruleset, Table, chain
from haccp.sources import Source, source
from haccp.words import TOPICS
from kitchen.law import words
from kitchen.methods.governed import AT_A_STEP, governed, open_methods
from kitchen.methods.models import Method
from kitchen.people.regime import chosen_on, rules_under


@dataclass(frozen=True)
class Row:
    """One limit on the page."""

    limit: Limit
    methods: tuple[Method, ...]
    of_all: bool
    chosen: bool = False

    @property
    def figure(self) -> str:
        """What it asks."""
        return words.figure(self.limit)

    @property
    def source(self) -> Source:
        """Its source in the bibliography."""
        return source(self.limit.source)

    @property
    def edition(self) -> str:
        """The edition of its source, or the year of it."""
        return self.limit.edition or self.source.year

    @property
    def provenance(self) -> str:
        """How far its source was seen."""
        return words.provenance(self.limit)

    @property
    def in_force(self) -> str:
        """From when until when."""
        return words.in_force(self.limit)

    @property
    def where(self) -> str:
        """What has to happen to the food for it to apply."""
        return ", ".join(sorted((self.limit.applies | self.limit.any_of) & AT_A_STEP))

    @property
    def text(self) -> str:
        """All that a search looks into, in small letters."""
        row = self.limit
        said = [
            *(row.id, row.condition, self.figure, row.section, row.edition, row.status, row.not_covered),
            *(row.provenance, self.source.title, self.source.body, row.whose, TOPICS[row.topic], row.topic),
            *(each.dish.name for each in self.methods),
            *("advice" if row.advice else "", *row.applies, *row.any_of),
        ]
        return " ".join(said).lower()

    def found(self, wanted: Iterable[str]) -> bool:
        """Whether every wanted word is in it."""
        text = self.text
        return all(each in text for each in wanted)


@dataclass(frozen=True)
class Group:
    """Rows that are alternatives of each other (a table), or one that stands alone."""

    table: Table | None
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Topic:
    """The limits at one step of the work."""

    key: str
    name: str
    groups: tuple[Group, ...]

    @property
    def count(self) -> int:
        """How many limits it has."""
        return sum(len(each.rows) for each in self.groups)


@dataclass(frozen=True)
class Shown:
    """The page of the limits."""

    rules: Ruleset
    topics: tuple[Topic, ...]
    off: tuple[Row, ...]
    count: int


def shown(site: Any, regime: str, day: date, search: str = "") -> Shown:
    """The limits under a regime on a day, those that ship switched off apart; `search` keeps some of them."""
    chosen = chosen_on(site, day)
    rules = rules_under(regime, day, chosen)
    methods = open_methods(site)
    wanted = search.lower().split()
    about = governed([*rules.rows, *(each for layer in chain(regime) for each in layer.limits)], methods)
    rows = [_row(each, about, methods, chosen) for each in rules.rows]
    have = {each.id for each in rules.rows}
    replaced = {old for each in rules.rows for old in each.replaces}
    switched_off = [
        _row(each, about, methods, chosen)
        for layer in chain(regime)
        for each in layer.limits
        if each.ships_off and each.id not in have | replaced and each.in_force(day)
    ]
    kept = [each for each in rows if each.found(wanted)]
    return Shown(
        rules=rules,
        topics=tuple(_topics(kept, rules)),
        off=tuple(each for each in switched_off if each.found(wanted)),
        count=len(rows),
    )


def _row(
    limit: Limit, about: Mapping[str, Sequence[Method]], methods: Sequence[Method], chosen: frozenset[str]
) -> Row:
    mine = tuple(about[limit.id])
    return Row(limit, mine, bool(methods) and len(mine) == len(methods), limit.id in chosen)


def _topics(rows: Sequence[Row], rules: Ruleset) -> Iterable[Topic]:
    tables = {each.key: each for each in rules.tables}
    for key, name in TOPICS.items():
        groups: dict[str, list[Row]] = {}
        for row in rows:
            if row.limit.topic == key:
                groups.setdefault(row.limit.table or row.limit.id, []).append(row)
        if groups:
            yield Topic(
                key,
                name[0].upper() + name[1:],
                tuple(Group(tables.get(table), tuple(found)) for table, found in groups.items()),
            )
