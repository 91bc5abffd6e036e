"""Why a method is held to meet its limits: the published row, the worst bag as computed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from haccp.bounds import proven_curves
from haccp.errors import HaccpError
from haccp.limits import Ruleset
from haccp.materials import material
from haccp.plan import COLDEST_START_C, PROBE_TOLERANCE_K, Plan
from haccp.ranges import Range
from haccp.record import Finding
from kitchen.methods.actions import BAND_K, findings_of
from kitchen.methods.approvals import approvals_of
from kitchen.methods.models import Method
from kitchen.papers.wordings import Wordings, length
from kitchen.plan.families import Family
from kitchen.plan.parts import Item, figure, item

POINTS = 61
MOST_KEPT = 256
_reckoned: dict[tuple[str, str, str], tuple[list[Finding], dict[str, Any]]] = {}


def validation(found: Sequence[Family], rules: Ruleset) -> list[Item]:
    """One item per method, in the order of the families."""
    return [_method(each, rules) for family in found for each in family.methods]


def _method(method: Method, rules: Ruleset) -> Item:
    words = Wordings(method.dish.site)
    said, curve = reckoned(method, rules)
    cited = list(dict.fromkeys(each.limit for each in said if each.limit))
    edge = words.difference(BAND_K + PROBE_TOLERANCE_K)
    worst = (
        f"{length(method.thickness_max_mm)} thick and {length(method.thickness_tolerance_mm)} more, from "
        f"{words.temperature(COLDEST_START_C)} to {words.temperature(method.start_max_c)}, in a bath that "
        f"may be {edge} off its set point of {words.temperature(method.set_point_c)}"
    )
    basis = next((each.basis for each in said if each.basis), "")
    food = material(method.material)
    return item(
        method.dish.name,
        f"{method.dish.name}, version {method.version}",
        [
            ("Published rows", "; ".join(f"{figure(rules.limit(each))} [{each}]" for each in cited)),
            ("Worst bag reckoned", worst),
            ("How it was reckoned", basis),
            ("Properties of the food", f"{food.name}: {food.provenance} ({', '.join(food.sources)})"),
            *(
                (f"Finding {number}", f"{each.outcome}: {each.sentence}")
                for number, each in enumerate(said, start=1)
            ),
        ],
        findings=[
            {"outcome": str(each.outcome), "sentence": each.sentence, "limit": each.limit or ""}
            for each in said
        ],
        curve=curve,
    )


def reckoned(method: Method, rules: Ruleset) -> tuple[list[Finding], dict[str, Any]]:
    """What the rules say of a method, and the core of its worst bag; the same method is reckoned once."""
    allowed = approvals_of(method)
    key = (method.entry.digest, rules.digest, repr(allowed))
    if key not in _reckoned:
        tolerance = float(method.thickness_tolerance_mm)
        plan = Plan(method.facts, rules, method.shape, tolerance, BAND_K)
        said = sorted(findings_of(method, rules.day), key=lambda each: -each.outcome.rank)
        if len(_reckoned) >= MOST_KEPT:
            _reckoned.clear()
        _reckoned[key] = said, _curve(method, plan, said)
    return _reckoned[key]


def _curve(method: Method, plan: Plan, said: Sequence[Finding]) -> dict[str, Any]:
    """The core over time from bag in, in whole points; empty where it can't be computed."""
    facts = method.facts
    cook = [each for each in said if each.rule == "plan.cook"]
    needed = [each.required_value for each in cook if each.required_value]
    until_min = 1.08 * max([facts.bath_min, *needed])
    coldest = min(COLDEST_START_C, facts.start_max_c)
    start = Range(coldest, (coldest + facts.start_max_c) / 2, max(coldest, facts.start_max_c))
    try:
        body = plan.body(facts.thickness_max_mm, start)
        curves = proven_curves(body, [plan.in_bath(until_min * 60)])
    except HaccpError:
        return {}
    at = np.linspace(0.0, until_min, POINTS)

    def texts(celsius: Any) -> list[str]:
        return [f"{each:.2f}" for each in np.interp(at * 60.0, curves.times_s, celsius)]

    held = {each.limit: plan.ruleset.limit(each.limit) for each in cook if each.limit}
    return {
        "minutes": [f"{each:.2f}" for each in at],
        "best": texts(curves.best_c),
        "low": texts(curves.low_c),
        "high": texts(curves.high_c),
        "planned": f"{facts.bath_min:g}",
        "needed": f"{max(needed):.1f}" if needed else "",
        "set_point": f"{facts.set_point_c:g}",
        "levels": [
            [f"{row.amount.celsius:.4f}", row.printed] for row in held.values() if row.value is not None
        ],
    }
