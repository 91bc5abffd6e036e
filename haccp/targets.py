"""Log reductions asked of a cook: how many tenfold steps of which organism, in which food, and by whom.

A target is what a row of a table stands for. It grows by what the food let grow on the way up: cells
that multiplied by 10³ in a slow come-up need three more tenfold steps, so that as few are left as
in a food that was heated fast. Toxin is another matter: no reduction undoes it.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy.typing as npt

from haccp.datafiles import choose, load, pedigree
from haccp.errors import DataError, RangeError
from haccp.growthmodels import GrowthModel, growth_model
from haccp.holdtables import HoldTable, hold_table
from haccp.lethality import Organism, log_reduction, organism
from haccp.limitrows import STATUSES

__all__ = [
    "MOST_GROWTH",
    "Target",
    "adding_up",
    "grows_by",
    "reduction_along",
    "required_log",
    "target",
    "targets",
    "targets_for",
]

# A tenfold step for every digit of a dense culture: beyond it no growth is predicted. Own choice.
MOST_GROWTH = 10.0


@dataclass(frozen=True)
class Target:
    """A reduction of `log10` tenfold steps of one organism in one food.

    `where` is the country whose guidance asks it, or empty where no regime does (then `status` is
    research). `resistance` are the D and z it may be reckoned with along a curve, `tables` the
    published tables whose rows stand for it; both may be empty.
    """

    id: str
    organism: str
    food: str
    log10: float
    where: str
    applies: frozenset[str]
    any_of: frozenset[str]
    unless: frozenset[str]
    resistance: tuple[Organism, ...]
    tables: tuple[HoldTable, ...]
    status: str
    sources: tuple[str, ...]
    provenance: str
    note: str

    def asked_of(self, words: Collection[str]) -> bool:
        """Whether it is asked of a food with these words."""
        have = frozenset(words)
        some = not self.any_of or bool(self.any_of & have)
        return self.applies <= have and some and not self.unless & have


def targets_for(words: Collection[str], where: str | None = None) -> tuple[Target, ...]:
    """The targets asked of a food with these attribute words, in the order of the file.

    `where` keeps those of one country (UK, US) and those of no regime; None keeps all. Several of one
    organism may apply: each is to be met, as each has its own resistance.
    """
    wanted = (None, "") if where is None else (where, "")
    return tuple(
        each
        for each in targets().values()
        if each.asked_of(words) and (where is None or each.where in wanted)
    )


def required_log(target_log10: float, come_up_growth: float) -> float:
    """The reduction [log10] that a hold must give for a target after `come_up_growth` [log10] on the way up.

    R = target + growth: 6.5 and 3 make 9.5. The guideline lets growth of up to one step go by; it is added
    here always, which asks no less. Raises :class:`RangeError` for growth that is no number, under
    nought or over 10 steps. Source: fsis-cooking-guideline-2021.
    """
    if not (math.isfinite(come_up_growth) and 0.0 <= come_up_growth <= MOST_GROWTH):
        raise RangeError(f"A growth is 0 to {MOST_GROWTH:g} tenfold steps, not {come_up_growth}.")
    return target_log10 + come_up_growth


def reduction_along(asked: Target, times_s: npt.ArrayLike, celsius: npt.ArrayLike) -> float:
    """The reduction [log10] of a target's organism along a curve, by the most resistant of its D and z.

    `times_s` [s] and `celsius` [°C], both (n,). On a proven lower curve a lower bound. Raises
    :class:`DataError` for a target without D and z, :class:`ReadingsError` for a bad curve.
    """
    if not asked.resistance:
        raise DataError(f"For {asked.organism} in {asked.food} no D and z are in use; judge it by its row.")
    return min(log_reduction(times_s, celsius, each) for each in asked.resistance)


@cache
def grows_by() -> dict[str, GrowthModel]:
    """By which model the organism of a target grows on the way up, by its name; spores and viruses don't."""
    data = load("targets")["grows_by"]
    pedigree(data, "haccp/data/targets.toml [grows_by]")
    return {name: growth_model(key) for name, key in data.items() if name not in ("provenance", "note")}


@cache
def adding_up() -> dict[str, str]:
    """What the text of a regime says, by its key, where it says that a curve may be reckoned as a whole."""
    found = {}
    for data in load("targets")["adding_up"]:
        pedigree(data, f"haccp/data/targets.toml, adding up ({data.get('regime', 'no regime')})")
        found[str(data["regime"])] = str(data["says"])
    return found


@cache
def targets() -> dict[str, Target]:
    """All targets of ``data/targets.toml`` by id, checked."""
    found: dict[str, Target] = {}
    for number, data in enumerate(load("targets")["target"], start=1):
        one = parse_target(data, f"haccp/data/targets.toml, target {number} ({data.get('id', 'no id')})")
        if one.id in found:
            raise DataError(f"haccp/data/targets.toml has two targets {one.id}.")
        found[one.id] = one
    return found


def parse_target(data: dict[str, Any], where: str) -> Target:
    """One target from its entry; `where` names it in an error.

    Raises :class:`DataError` for a missing field, an unknown status or key, a reduction that is not
    above nought, or a table of another reduction than the target's.
    """
    sources, provenance, note = pedigree(data, where)
    try:
        found = Target(
            id=data["id"],
            organism=data["organism"],
            food=data["food"],
            log10=float(data["log10"]),
            where=data["where"],
            applies=frozenset(data["applies"]),
            any_of=frozenset(data["any_of"]),
            unless=frozenset(data["unless"]),
            resistance=tuple(organism(each) for each in data["resistance"]),
            tables=tuple(hold_table(each) for each in data["tables"]),
            status=data["status"],
            sources=sources,
            provenance=provenance,
            note=note,
        )
    except KeyError as error:
        raise DataError(f"{where} lacks {error}.") from None
    if found.status not in STATUSES:
        raise DataError(f"{where}: status must be one of {', '.join(STATUSES)}.")
    if not 0.0 < found.log10 <= 12.0:
        raise DataError(f"{where}: a reduction lies between 0 and 12 tenfold steps.")
    if others := [each.key for each in found.tables if each.log10 != found.log10]:
        raise DataError(f"{where}: {', '.join(others)} stand for another reduction.")
    return found


def target(key: str) -> Target:
    """The target with this id; raises :class:`DataError` naming the choices."""
    return choose(targets(), key, "target")
