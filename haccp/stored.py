"""What can grow in a bag while it is in the store, by the fridge's own log.

The food counts at the warmer of the two neighbouring readings, with the probe's tolerance: air that was
warmer for a while in between hardly warms food, and nothing proves what it was. Before the first
reading of a stay the one before it counts, where there is one. This is a choice of our own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from haccp.case import Case
from haccp.course import gone_at
from haccp.curves import FloatArray
from haccp.errors import HaccpError
from haccp.growth import cumulative_growth, moment_reached
from haccp.growthmodels import GrowthModel
from haccp.growthrules import growth_rules
from haccp.holds import best_held
from haccp.lethality import log_reduction
from haccp.lifefacts import LifeClass
from haccp.record import MediumLog, Step
from haccp.rules.cook import HOLDS
from haccp.shelf_life import ending_terms


@dataclass(frozen=True)
class StoreCurve:
    """The warmest that a bag counts in its stores: moments [s after `epoch`] and °C, both (n,)."""

    epoch: datetime
    times_s: FloatArray
    warmest_c: FloatArray


@dataclass(frozen=True)
class Stored:
    """Growth [log10] or share of one organism in the store, and when it came to its failing edge."""

    model: GrowthModel
    amount: float
    reached: datetime | None


def store_curve(case: Case) -> StoreCurve | None:
    """The store's curve up to now, or to when the bag was gone; None where no fridge was read."""
    gone, points = gone_at(case.bag), list[tuple[datetime, float]]()
    for stay in sorted(case.bag.store, key=lambda each: each.into_at):
        log = case.record.log(stay.log)
        ends = [each for each in (stay.out_at, gone, case.record.seen_at) if each is not None]
        until = min(ends)
        if log is not None and until > stay.into_at:
            points += _steps(log, stay.into_at, until)
    if len(points) < 2:
        return None
    points.sort(key=lambda each: each[0])
    epoch = points[0][0]
    times = np.array([(moment - epoch).total_seconds() for moment, _ in points])
    return StoreCurve(epoch, times, np.array([celsius for _, celsius in points]))


def _steps(log: MediumLog, start: datetime, end: datetime) -> list[tuple[datetime, float]]:
    """Steps from reading to reading, each at the warmer of its ends; nothing where none was read in time."""
    read = sorted((each for each in log.readings if each.trusted), key=lambda each: each.at)
    known = [(each.at, each.celsius + each.tolerance_k) for each in read if each.at <= end]
    if not any(moment >= start for moment, _ in known):
        return []
    before = [each for each in known if each[0] <= start][-1:]
    inside = [each for each in known if start < each[0]]
    marks = [*before, *inside]
    marks = [(start, marks[0][1]), *inside, (end, marks[-1][1])]
    steps = []
    for one, two in pairwise(marks):
        warmer = max(one[1], two[1])
        steps += [(one[0], warmer), (two[0], warmer)]
    return steps


def life_class(case: Case) -> LifeClass:
    """The class of a bag by what its cook provenly did, and whether it stayed closed."""
    rules, curves = growth_rules(), case.heat.curves
    proven = curves is not None and case.heat.proves(Step.COOK)
    reduced = log_reduction(curves.times_s, curves.low_c, rules.reference) if curves is not None else 0.0
    return LifeClass.of(
        sealed_before_cook=True,
        opened=bool(case.words & rules.opened_words),
        long_life_met=proven and _long_life(case),
        # Equivalent minutes are sums of floats: a millionth of a log is no shortfall.
        reference_met=proven and reduced >= (rules.reference.log_target or 0.0) - 1e-6,
    )


def store_models(case: Case) -> tuple[GrowthModel, ...]:
    """The organisms that can end a life here; none where the cook itself is not proven."""
    if case.heat.curves is None or not case.heat.proves(Step.COOK):
        return ()
    return ending_terms(life_class(case))


def _long_life(case: Case) -> bool:
    """Whether the cook provenly met a row of the regime for a long chilled life."""
    curves = case.heat.curves
    word = growth_rules().long_life_word
    rows = [
        row
        for row in case.ruleset.limits("cook", case.words | {word})
        if row.quantity in HOLDS and word in row.applies
    ]
    return bool(rows) and curves is not None and best_held(rows, curves.times_s, curves.low_c).met


def grown_in_store(case: Case) -> list[Stored]:
    """Growth in the store of each organism that is looked at; empty where nothing can be said.

    A store that was warmer than the figures cover is left to the rules for food that got warm.
    """
    curve = store_curve(case)
    if curve is None:
        return []
    found = []
    for model in store_models(case):
        edge = model.to_review if model.fails is None else model.fails
        try:
            done = float(cumulative_growth(curve.times_s, curve.warmest_c, model)[-1])
            at_s = moment_reached(curve.times_s, curve.warmest_c, model, edge.figure.value)
        except HaccpError:
            continue
        reached = None if at_s is None else curve.epoch + timedelta(seconds=at_s)
        found.append(Stored(model, done, reached))
    return found


def ended_early(case: Case) -> Stored | None:
    """The growth that ended the life of a bag in its store first, or None."""
    reached = [each for each in grown_in_store(case) if each.reached is not None]
    return min(reached, key=lambda each: each.reached or case.record.seen_at, default=None)
