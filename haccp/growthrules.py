"""How the growth models are used beside the rules, as data: which step, which food, which edges.

A rule of the regime comes first. A model that says little never lifts a rule that was missed, and a
rule that was met never lifts a growth that is too much.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from haccp.bounds import ProvenCurves
from haccp.datafiles import load, pedigree
from haccp.growth import BagGrowth
from haccp.growthmodels import Figure, GrowthModel, Mark, growth_model
from haccp.lethality import Organism, log_reduction, organism
from haccp.record import Outcome
from haccp.wording import listed

# What a figure is, for a cook.
_PLAIN: Final = {
    "mu_opt": "the quickest rate",
    "t_min": "the temperatures between which it grows",
    "t_opt": "the temperatures between which it grows",
    "t_max": "the temperatures between which it grows",
    "h0": "the lag",
    "cap": "the ceiling",
    "per_day_at_5": "the rate at 5 °C",
    "a": "the time to toxin",
    "b": "the time to toxin",
    "c": "the time to toxin",
    "from_c": "the time to toxin",
}
_KNOWN: Final = {Mark.PUBLISHED: "published", Mark.MEMORY: "from memory", Mark.DERIVED: "own choice"}


@dataclass(frozen=True)
class GrowthRules:
    """The choices of ``data/growth_rules.toml``.

    `noted_to` [log10]: growth up to which a chill that met its rule meets with a note; `kill_log10`:
    what a hold must give of `cells` after a slow come-up, the growth on top.
    """

    come_up: tuple[GrowthModel, ...]
    chill: tuple[GrowthModel, ...]
    starch: tuple[GrowthModel, ...]
    starch_words: frozenset[str]
    opened_words: frozenset[str]
    long_life_word: str
    reference: Organism
    noted_to: float
    kill_log10: float
    cells: Organism


@cache
def growth_rules() -> GrowthRules:
    """The choices, loaded and checked once."""
    data = load("growth_rules")
    for name in ("applies", "bands", "kill", "between"):
        pedigree(data[name], f"haccp/data/growth_rules.toml [{name}]")
    applies, kill = data["applies"], data["kill"]["cells"]
    models = {
        name: tuple(growth_model(key) for key in applies[name]) for name in ("come_up", "chill", "starch")
    }
    cells = Organism(
        key="c_perfringens_cells",
        name="C. perfringens, growing cells",
        food="beef",
        d_min=float(kill["d_min"]),
        reference_c=float(kill["reference_c"]),
        z_c=float(kill["z_c"]),
        z_above_c=None,
        counts_from_c=float(kill["reference_c"]),
        log_target=float(data["kill"]["log10"]),
        sources=tuple(kill["sources"]),
        provenance=str(kill["provenance"]),
        note=str(kill["note"]),
    )
    return GrowthRules(
        **models,
        starch_words=frozenset(applies["starch_words"]),
        opened_words=frozenset(applies["opened_words"]),
        long_life_word=str(applies["long_life_word"]),
        reference=organism(applies["reference_organism"]),
        noted_to=float(data["bands"]["noted_to"]),
        kill_log10=float(data["kill"]["log10"]),
        cells=cells,
    )


def judged(model: GrowthModel, likely: float, most: float) -> Outcome:
    """What the bands say of a growth that is likely `likely` and at most `most` [log10] or share.

    Where the bound alone reaches into the worst band, the growth is unproven: it may be nothing.
    """
    by_most, by_likely = model.judge(most), model.judge(likely)
    if by_most == Outcome.FAILS and by_likely != Outcome.FAILS:
        return Outcome.UNPROVEN
    return by_most


def how_known(model: GrowthModel, figures: Sequence[Figure] = ()) -> str:
    """How well the figures behind a growth are known: ``the rate: published; the lag: own choice``."""
    marks: dict[Mark, list[str]] = {}
    strains = [figure for strain in model.strains for figure in strain.figures.values()]
    for figure in [*strains, *figures]:
        plain = _PLAIN.get(figure.name)
        if plain and plain not in marks.setdefault(figure.mark, []):
            marks[figure.mark].append(plain)
    edges = [model.to_review.figure, *([model.fails.figure] if model.fails else [])]
    for edge in edges:
        said = f"the edge at {amount(model, edge.value)}"
        marks.setdefault(edge.mark, []).append(said)
    return "; ".join(f"{listed(marks[mark])}: {_KNOWN[mark]}" for mark in Mark if marks.get(mark))


def amount(model: GrowthModel, value: float) -> str:
    """A growth in words: ``1.1 log``, or ``60 %`` of the shortest time to toxin."""
    return f"{value * 100.0:.0f} %" if model.measure == "share" else f"{value:g} log"


def at_most(model: GrowthModel, value: float) -> str:
    """As :func:`amount`, rounded up to a tenth of a log or a hundredth of a share: growth must be low."""
    steps = 100.0 if model.measure == "share" else 10.0
    # A rest of a millionth is an error of floats.
    return amount(model, math.ceil(value * steps - 1e-6) / steps)


def hot_from_s(curves: ProvenCurves, model: GrowthModel) -> float | None:
    """When the food was certainly too hot for growth first [s], core and surface; None if never."""
    hottest = max(strain.smooth_between[-1] for strain in model.strains)
    hot = np.flatnonzero((curves.low_c >= hottest) & (curves.surface_low_c >= hottest))
    return float(curves.times_s[hot[0]]) if hot.size else None


def killed_after(curves: ProvenCurves, grown: BagGrowth) -> bool:
    """Whether the hold provenly kills what grew on the way up and the reduction asked for beside it."""
    rules = growth_rules()
    return log_reduction(curves.times_s, curves.low_c, rules.cells) >= rules.kill_log10 + grown.high
