"""Growth beside the rules: what can have grown on the way up, in the chill and in the store.

Core and surface, whichever is worse, by what the readings leave open. A rule that was met does not
lift a growth that is too much, and a model never lifts a rule that was missed. Every figure of a
model is said to be published, from memory or our own choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from haccp.bounds import ProvenCurves
from haccp.case import Case
from haccp.chilled import core_readings
from haccp.days import life_rows
from haccp.growth import BagGrowth, bag_growth
from haccp.growthmodels import GrowthModel
from haccp.growthrules import amount, at_most, growth_rules, hot_from_s, how_known, judged, killed_after
from haccp.record import Finding, Outcome, Step
from haccp.stored import Stored, grown_in_store
from haccp.wording import plural

_DECIDES = "A model is no validation: a competent person decides."


def check_growth(case: Case, before: Sequence[Finding]) -> list[Finding]:
    """Growth in a bag; `before` are the findings of the rules on the same bag."""
    return [*on_the_way_up(case), *_in_the_chill(case, before), *_in_the_store(case)]


def _models(case: Case, models: tuple[GrowthModel, ...]) -> tuple[GrowthModel, ...]:
    rules = growth_rules()
    starchy = bool((case.words | {case.record.method.material}) & rules.starch_words)
    return models + (rules.starch if starchy else ())


def _figures(model: GrowthModel, grown: BagGrowth) -> dict[str, Any]:
    edge = model.to_review.figure.value
    return {
        "measured": f"at most {at_most(model, grown.high)}",
        "required": f"at most {amount(model, edge)}",
        "measured_value": grown.high,
        "required_value": edge,
        "unit": "log10",
        "best": at_most(model, grown.best),
        "basis": f"{grown.basis} ({how_known(model)})",
        "caution": _cautions(model),
    }


def _said(case: Case, model: GrowthModel, grown: BagGrowth, when: str) -> str:
    return (
        f"{when} {model.name} can have grown {at_most(model, grown.high)} at the very most, at the "
        f"{grown.worse_at} of bag {case.bag.code}; the best estimate is {at_most(model, grown.best)}"
    )


def _cautions(model: GrowthModel) -> str:
    """What to keep in mind beside a figure of this model, and how its figures are known."""
    return " ".join([*model.cautions, f"Of the model's figures: {how_known(model)}."])


def on_the_way_up(case: Case) -> list[Finding]:
    """From bag in until core and surface are too hot for growth; without end if they never were."""
    curves, course, found = case.heat.curves, case.heat.course, list[Finding]()
    if curves is None or course is None or not case.heat.proves(Step.COOK):
        return []
    for model in _models(case, growth_rules().come_up):
        hot_s = hot_from_s(curves, model)
        until_s = hot_s if hot_s is not None else _known_until(case, curves)
        grown = bag_growth(curves, model, until_s=until_s)
        outcome = judged(model, grown.best, grown.high)
        if hot_s is None and course.in_bath and model.judge(grown.best) == Outcome.MEETS:
            continue  # still on its way, and little so far
        said = _said(case, model, grown, "On the way up")
        edge = amount(model, model.to_review.figure.value)
        tail = f"; up to {edge} needs no more."
        if outcome == Outcome.TO_REVIEW and model in growth_rules().come_up and killed_after(curves, grown):
            outcome = Outcome.MEETS
            kill = amount(model, growth_rules().kill_log10)
            tail = f"; above {edge}, and the hold then provenly kills that and {kill} more."
        if outcome != Outcome.MEETS:
            tail = f"; above {edge}. {_DECIDES}"
        found.append(case.found("growth.come_up", Step.COOK, outcome, said + tail, **_figures(model, grown)))
    return found


def _known_until(case: Case, curves: ProvenCurves) -> float:
    """How far the curve proves anything of a bag that never got hot."""
    end_s = float(curves.times_s[-1])
    if case.out_at is None or case.heat.proves(Step.CHILL):
        return end_s
    return min(end_s, case.heat.seconds(case.out_at))


def _in_the_chill(case: Case, before: Sequence[Finding]) -> list[Finding]:
    """From when the bag was hot to the end of its chill."""
    curves, found = case.heat.curves, list[Finding]()
    if curves is None or case.out_at is None or not case.heat.proves(Step.CHILL):
        return []
    out_s = case.heat.seconds(case.out_at)
    if out_s >= float(curves.times_s[-1]):
        return []
    stages = [each for each in before if each.rule in ("chill.stage", "chill.begun")]
    missed = any(each.outcome == Outcome.FAILS for each in stages)
    met = bool(stages) and all(each.outcome == Outcome.MEETS for each in stages)
    for model in _models(case, growth_rules().chill):
        hot_s = hot_from_s(curves, model)
        if hot_s is None:
            continue  # never hot: what grew on the way up went on growing, and is told there
        grown = bag_growth(curves, model, from_s=hot_s, until_s=_cold_s(case, curves, model))
        outcome = judged(model, grown.best, grown.high)
        if outcome == Outcome.MEETS and not (met or missed):
            continue  # the chill is not over, or not proven: it is told by its own rule
        edge = amount(model, model.to_review.figure.value)
        said, tail = _said(case, model, grown, "In the chill"), f"; {edge} at most."
        if outcome == Outcome.TO_REVIEW and met and grown.high <= growth_rules().noted_to:
            outcome = Outcome.MEETS
            tail = f"; a little above {edge}, and the rule for the chill is met: noted."
        elif outcome == Outcome.MEETS and missed:
            outcome = Outcome.TO_REVIEW
            tail = f"; {edge} at most. That does not lift the rule that was missed. {_DECIDES}"
        elif outcome != Outcome.MEETS:
            lifts = " The rule that was met does not lift that." if met else ""
            tail = f"; {edge} at most.{lifts} {_DECIDES}"
        found.append(case.found("growth.chill", Step.CHILL, outcome, said + tail, **_figures(model, grown)))
    return found


def _cold_s(case: Case, curves: ProvenCurves, model: GrowthModel) -> float:
    """When the bag was certainly too cold for growth, by a core reading, or the end of its curve [s].

    While a bag is chilled its surface is colder than its core.
    """
    coldest = min(strain.smooth_between[0] for strain in model.strains)
    end_s = float(curves.times_s[-1])
    for each in core_readings(case):
        if each.celsius + each.tolerance_k <= coldest:
            return min(max(case.heat.seconds(each.at), 0.0), end_s)
    return end_s


def _in_the_store(case: Case) -> list[Finding]:
    return [_stored(case, each) for each in grown_in_store(case)]


def _stored(case: Case, stored: Stored) -> Finding:
    model = stored.model
    outcome = model.judge(stored.amount)
    edge = model.to_review if model.fails is None else model.fails
    share = model.measure == "share"
    got = at_most(model, stored.amount)
    whole = amount(model, edge.figure.value)
    if share:
        said = (
            f"By the log of its store bag {case.bag.code} has used {got} of the shortest time in which "
            f"{model.name.replace('Non', 'non')} has made toxin in any published trial"
        )
    else:
        said = (
            f"By the log of its store {model.name} can have grown {got} in bag {case.bag.code}; {whole} at "
            "most"
        )
    if outcome != Outcome.MEETS:
        said += f"{_rule(case)}. {_DECIDES}"
    else:
        said += "."
    return case.found(
        "growth.store",
        Step.STORE,
        outcome,
        said,
        since=stored.reached,
        measured=got,
        required=f"under {whole}" if not edge.over else f"at most {whole}",
        measured_value=stored.amount,
        required_value=edge.figure.value,
        unit="share" if share else "log10",
        basis=f"the store's readings, each span at the warmer of its ends ({how_known(model)})",
        caution=_cautions(model),
        remedy=None if outcome == Outcome.MEETS or case.bag.finishes else _use_or_lose(outcome),
    )


def _rule(case: Case) -> str:
    """The rule in force, beside which the growth is told."""
    rows = life_rows(case)
    if not rows:
        return ""
    row = min(rows, key=lambda each: each.amount.value)
    days = plural(int(row.amount.value), "day")
    return f"; the rule in force allows {days} ({row.whose})"


def _use_or_lose(outcome: Outcome) -> str:
    return "Discard it." if outcome == Outcome.FAILS else "Serve it first, and look why the store is warm."
