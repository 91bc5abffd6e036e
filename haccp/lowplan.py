"""A method for low temperature, before it is signed: how cool its bath is, how long its core is below it.

The two bounds of :mod:`haccp.rules.low_cook`, asked of the worst bag that a method allows.
"""

from __future__ import annotations

import math
from typing import Any

from haccp.bounds import ProvenCurves
from haccp.case import words_of
from haccp.curves import FloatArray
from haccp.lethality import spans_at_or_above
from haccp.limits import Limit, Ruleset, exact
from haccp.record import Finding, MethodFacts, Outcome, Step
from haccp.rules.low_cook import BATH_IN, of_bath
from haccp.wording import difference, span, temperature


def check_bath(facts: MethodFacts, ruleset: Ruleset) -> list[Finding]:
    """The method's set point against every row on how cool a bath may be."""
    found = []
    for row in of_bath(ruleset.limits("cook", words_of(facts))):
        set_c, least = facts.set_point_c, f"at least {row.amount}"
        if exact(set_c) >= row.amount.exact_celsius:
            continue
        short = difference(row.amount.celsius - set_c, row.unit)
        said = f"A bath at {temperature(set_c, row.unit)} is {short} too cool: {least} ({row.whose})."
        found.append(
            _finding(
                "plan.bath",
                Outcome.FAILS,
                said,
                limit=row.id,
                measured=temperature(set_c, row.unit),
                required=least,
                remedy=f"Set it to {row.amount} or above.",
            )
        )
    return found


def slow_rows(facts: MethodFacts, ruleset: Ruleset) -> list[Limit]:
    """The rows on how long food may be in a bath before its core is as hot as they say."""
    rows = ruleset.limits("cook", words_of(facts), quantity="elapsed_time")
    return [row for row in rows if row.clock == BATH_IN and row.end is not None]


def check_slow(facts: MethodFacts, ruleset: Ruleset, curves: ProvenCurves) -> list[Finding]:
    """The time in the bath below a temperature, for the worst bag of the method.

    `curves` are those of the core in the bath [°C over s], from the bag's going in on.
    """
    found = []
    for row in slow_rows(facts, ruleset):
        if row.end is None:
            continue
        end_c, until_s = row.end.celsius, facts.bath_min * 60.0
        most, likely, least = (
            _below_s(curves.times_s, core, end_c, until_s)
            for core in (curves.low_c, curves.best_c, curves.high_c)
        )
        if most <= row.amount.seconds:
            continue
        surely = least > row.amount.seconds
        said = (
            f"The middle of {facts.thickness_max_mm:g} mm at {temperature(facts.set_point_c)} is below "
            f"{row.end} for {span(likely, 'up')} of its time in the bath by the best estimate and "
            f"{span(most, 'up')} at the very most; {row.amount} at most ({row.whose})."
        )
        found.append(
            _finding(
                "plan.time_below",
                Outcome.FAILS if surely else Outcome.TO_REVIEW,
                said,
                limit=row.id,
                measured=f"{span(most, 'up')} at the very most",
                required=f"at most {row.amount} below {row.end}",
                best=span(likely, "up"),
                basis=curves.basis,
                remedy=f"Set the bath well above {row.end}, make the bags thinner, or cook for less time.",
            )
        )
    return found


def _below_s(times_s: FloatArray, core_c: FloatArray, celsius: float, until_s: float) -> float:
    """Time [s] below a temperature from the start of the curve to `until_s`."""
    hot = spans_at_or_above(times_s, core_c, celsius)
    return until_s - math.fsum(max(0.0, min(end, until_s) - start) for start, end in hot)


def _finding(rule: str, outcome: Outcome, said: str, **rest: Any) -> Finding:
    return Finding(rule=rule, step=Step.COOK, outcome=outcome, sentence=said, **rest)
