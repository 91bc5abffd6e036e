"""A method before it is signed: can a bag that is made to it meet the limits, provenly?

The worst bag that the method allows is cooked and chilled in calculation: thickest, in
the bath at the lower edge of its band by the probe that reads highest, from the coldest
start for the cook. Nothing measured enters; the bags themselves are judged by their own record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from haccp.bounds import ProvenCurves, UncertainBody, UncertainExposure, proven_curves
from haccp.case import words_of
from haccp.conduction import Shape
from haccp.cooling import first_at_or_below, longest_stage
from haccp.curves import FloatArray
from haccp.errors import HaccpError
from haccp.holds import Held, first_met
from haccp.limits import Limit, Ruleset, Table
from haccp.lowplan import check_bath, check_slow, slow_rows
from haccp.materials import Medium, material, medium
from haccp.ranges import Range
from haccp.record import Finding, MethodFacts, Outcome, Step
from haccp.rules.come_up import warming_s
from haccp.rules.cook import HOLDS
from haccp.wording import difference, plural, span, temperature

# Own choices: a kitchen's probe, food just not frozen, how long a cook is looked ahead, how long a bag
# lies in the kitchen's air between bath and chiller.
PROBE_TOLERANCE_K = 0.5
COLDEST_START_C = 0.0
_HORIZON_S = 72.0 * 3600.0
_ON_THE_WAY_S = 300.0
# What a chiller is taken to be at while a method is planned [°C], where its data do not say. Own estimate:
# a bag is judged by what was read.
_TAKEN_C = {
    "running_water": Range(8.0, 12.0, 16.0),
    "blast_chiller": Range(-5.0, -2.0, 2.0),
    "fridge_air": Range(1.0, 3.0, 5.0),
}


@dataclass(frozen=True)
class Plan:
    """A method with what else a calculation needs.

    `shape` as in :class:`haccp.conduction.Shape` (finite shapes are taken as endless, the
    slower case); `thickness_tolerance_mm` [mm]; `band_k`, `probe_tolerance_k` [K];
    `bath` and the method's chill medium are keys of ``data/media.toml``.
    """

    facts: MethodFacts
    ruleset: Ruleset
    shape: str
    thickness_tolerance_mm: float
    band_k: float
    probe_tolerance_k: float = PROBE_TOLERANCE_K
    bath: str = "stirred_bath"

    @property
    def lowest_bath_c(self) -> float:
        """The lowest that the bath may be while it reads within its band [°C]."""
        return self.facts.set_point_c - self.band_k - self.probe_tolerance_k

    def tables(self) -> list[tuple[Table, list[Limit]]]:
        """The tables of cook rows that the food triggers."""
        found: dict[str, tuple[Table, list[Limit]]] = {}
        for row in self.ruleset.limits("cook", words_of(self.facts)):
            if row.quantity in HOLDS:
                table = self.ruleset.table(row)
                found.setdefault(table.key, (table, []))[1].append(row)
        return list(found.values())

    def body(self, thickness_mm: float, start_c: Range) -> UncertainBody:
        """The thickest bag that may be logged as `thickness_mm`."""
        endless = {Shape.FINITE_CYLINDER: Shape.CYLINDER, Shape.BRICK: Shape.SLAB}
        try:
            shape = Shape(self.shape)
        except ValueError:
            raise HaccpError(f"“{self.shape}” is no shape; choose one of {', '.join(Shape)}.") from None
        edge = self.thickness_tolerance_mm
        half = Range(*((thickness_mm + each) / 2000.0 for each in (-edge, 0.0, edge)))
        food = material(self.facts.material)
        return UncertainBody(endless.get(shape, shape), (half,), food.diffusivity, food.conductivity, start_c)

    def in_bath(self, until_s: float) -> UncertainExposure:
        """The bath at its set point, within its band and the probe's tolerance."""
        edge = self.band_k + self.probe_tolerance_k
        set_c = self.facts.set_point_c
        return _steady(medium(self.bath), Range(set_c - edge, set_c, set_c + edge), 0.0, until_s)


def _steady(kind: Medium, celsius: Range, from_s: float, until_s: float) -> UncertainExposure:
    times = np.array([from_s, until_s])
    low, best, high = (np.full(2, each) for each in (celsius.low, celsius.best, celsius.high))
    return UncertainExposure(
        best=(times, best), lower=(times, low), upper=(times, high), heat_transfer=kind.heat_transfer
    )


def minutes_needed(plan: Plan, thickness_mm: float | None = None) -> float | None:
    """Minutes in the bath after which every table that applies is provenly met; None if never.

    `thickness_mm` [mm], the method's greatest if not given. Counts from bag in, with the
    core followed only while the bag is in the bath. Looked ahead: three days.
    Raises :class:`HaccpError` for a body outside the validity of the equations.
    """
    holds = _holds(plan, _cook(plan, thickness_mm))
    if not holds or any(each is None for each in holds):
        return None
    return max(each.ends_s or 0.0 for each in holds if each is not None) / 60.0


def _cook(plan: Plan, thickness_mm: float | None = None) -> ProvenCurves:
    coldest = min(COLDEST_START_C, plan.facts.start_max_c)
    start = Range(coldest, (coldest + plan.facts.start_max_c) / 2.0, max(coldest, plan.facts.start_max_c))
    thick = plan.facts.thickness_max_mm if thickness_mm is None else thickness_mm
    return proven_curves(plan.body(thick, start), [plan.in_bath(_HORIZON_S)])


def _holds(plan: Plan, curves: ProvenCurves) -> list[Held | None]:
    return [first_met(rows, curves.times_s, curves.low_c) for _, rows in plan.tables()]


def check_method(
    facts: MethodFacts,
    ruleset: Ruleset,
    *,
    shape: str,
    thickness_tolerance_mm: float,
    band_k: float,
    probe_tolerance_k: float = PROBE_TOLERANCE_K,
    bath: str = "stirred_bath",
) -> list[Finding]:
    """What the rules say of a method before a bag is ever cooked to it.

    A finding that *fails limits* means: do not sign. Nothing raises; what can't be
    computed is an *unproven* finding. Parameters as for :class:`Plan`.
    """
    plan = Plan(facts, ruleset, shape, thickness_tolerance_mm, band_k, probe_tolerance_k, bath)
    found = _life(plan)
    tables = plan.tables()
    if not tables:
        said = (
            f"{ruleset.name} prints no cook limit for this food. Check its attributes, or ask the authority."
        )
        found.append(_finding("plan.cook", Outcome.UNPROVEN, said))
    refused = [each for table, rows in tables for each in _set_point(plan, table, rows)]
    refused += check_bath(facts, ruleset)
    if refused or not (tables or slow_rows(facts, ruleset)):
        return [*refused, *found]
    try:
        curves = _cook(plan)
        found += [_bath_time(plan, table, rows, curves) for table, rows in tables]
        found += check_slow(facts, ruleset, curves)
        found += _come_up(plan, curves)
        found += _chill(plan)
    except HaccpError as error:
        found.append(_finding("plan.cook", Outcome.UNPROVEN, f"This method can't be computed: {error}"))
    return found


def _finding(rule: str, outcome: Outcome, said: str, *, step: Step = Step.COOK, **rest: Any) -> Finding:
    return Finding(rule=rule, step=step, outcome=outcome, sentence=said, **rest)


def _set_point(plan: Plan, table: Table, rows: Sequence[Limit]) -> list[Finding]:
    row = min(rows, key=lambda each: each.amount.celsius)
    set_c, edge = plan.facts.set_point_c, plan.band_k + plan.probe_tolerance_k
    if plan.lowest_bath_c > row.amount.celsius:
        return []
    shown = temperature(set_c, row.unit)
    if set_c <= row.amount.celsius:
        why = "the core only comes near its bath and never gets there"
    else:
        why = (
            f"less its band and the probe's tolerance ({difference(edge, row.unit)}) it is not above the "
            "limit, so no "
            "reading could prove it"
        )
    least = temperature(row.amount.celsius + edge, row.unit, "up")
    said = f"A bath at {shown} can't meet {row.printed} ({table.name}): {why}. Set it above {least}."
    return [
        _finding(
            "plan.set_point",
            Outcome.FAILS,
            said,
            limit=row.id,
            measured=shown,
            required=f"above {least}",
            remedy=f"Set it above {least}.",
        )
    ]


def _bath_time(plan: Plan, table: Table, rows: Sequence[Limit], curves: ProvenCurves) -> Finding:
    facts = plan.facts
    what = f"{facts.thickness_max_mm:g} mm at {temperature(facts.set_point_c)}"
    hold = first_met(rows, curves.times_s, curves.low_c)
    if hold is None or hold.ends_s is None:
        lowest = min(rows, key=lambda each: each.amount.celsius)
        said = f"{what} does not meet {lowest.printed} or any other row ({table.name}) in {span(_HORIZON_S)}."
        return _finding(
            "plan.cook",
            Outcome.FAILS,
            said,
            limit=lowest.id,
            basis=curves.basis,
            remedy="Set the bath higher or make the bags thinner.",
        )
    needed = span(max(hold.ends_s, 600.0), "up")
    planned = span(facts.bath_min * 60.0)
    figures: dict[str, Any] = {
        "limit": hold.row.id,
        "basis": curves.basis,
        "measured": f"{planned} planned",
        "required": f"{needed} in the bath",
        "measured_value": facts.bath_min,
        "required_value": hold.ends_s / 60.0,
        "unit": "min",
    }
    over = facts.bath_min * 60.0 - hold.ends_s
    if over < 0:
        short = span(-over, "up")
        said = (
            f"{what} needs {needed} in the bath until {hold.row.printed} ({table.name}) is proven; the "
            "method gives it "
            f"{planned}: {short} short."
        )
        remedy = f"Give it at least {needed}."
        return _finding("plan.cook", Outcome.FAILS, said, margin=f"{short} short", remedy=remedy, **figures)
    said = (
        f"{what} needs {needed} in the bath until {hold.row.printed} ({table.name}) is proven; {planned} "
        "planned."
    )
    return _finding("plan.cook", Outcome.MEETS, said, margin=f"{span(over)} to spare", **figures)


def _come_up(plan: Plan, curves: ProvenCurves) -> list[Finding]:
    found = []
    for row in plan.ruleset.limits("cook", words_of(plan.facts), quantity="elapsed_time", advice=True):
        if row.clock != "come-up" or row.start is None or row.end is None:
            continue
        took = warming_s(curves.times_s, curves.best_c, curves.best_c, row.start.celsius, row.end.celsius)
        if took > row.amount.seconds:
            said = (
                f"The middle of {plan.facts.thickness_max_mm:g} mm takes {span(took, 'up')} from {row.start} "
                f"to {row.end} "
                f"by the best estimate; {row.amount} at most is advised ({row.whose})."
            )
            found.append(
                _finding(
                    "plan.come_up",
                    Outcome.TO_REVIEW,
                    said,
                    limit=row.id,
                    measured=span(took, "up"),
                    required=f"at most {row.amount}",
                    remedy="Make the bags thinner, or have a competent person support it.",
                )
            )
    return found


def _chill(plan: Plan) -> list[Finding]:
    rows = [
        row
        for row in plan.ruleset.limits("cool", words_of(plan.facts))
        if row.end is not None and row.clock in ("bath out", "chill in", "core")
    ]
    key = plan.facts.chill_medium
    if not rows:
        return []
    if key is None:
        said = "This food is to be chilled, and the method names no way to chill it."
        return [_finding("plan.chill", Outcome.FAILS, said, step=Step.CHILL, remedy="Choose a chill method.")]
    out_s = max(plan.facts.bath_min, 1.0) * 60.0
    begun_s = out_s + _ON_THE_WAY_S
    longest = sum(row.amount.seconds for row in rows)
    air, chiller = medium("kitchen_air"), medium(key)
    taken = chiller.default_c or _TAKEN_C.get(key) or Range(0.0, 3.0, 5.0)
    legs = [
        plan.in_bath(out_s),
        _steady(air, air.default_c or Range(10.0, 22.0, 40.0), out_s, begun_s),
        _steady(chiller, taken, begun_s, begun_s + 2.0 * longest),
    ]
    start = Range(*(sorted([COLDEST_START_C, plan.facts.start_max_c, plan.facts.start_max_c])))
    curves = proven_curves(plan.body(plan.facts.thickness_max_mm, start), legs)
    return [_chill_row(plan, row, curves, out_s, begun_s, chiller) for row in rows]


def _chill_row(
    plan: Plan, row: Limit, curves: ProvenCurves, out_s: float, begun_s: float, chiller: Medium
) -> Finding:
    likely = _took(row, curves, curves.best_c, curves.best_c, out_s, begun_s)
    surely = _took(row, curves, curves.low_c, curves.high_c, out_s, begun_s)
    quickest = _took(row, curves, curves.low_c, curves.low_c, out_s, begun_s)
    allowed = row.amount.seconds
    what = f"{plan.facts.thickness_max_mm:g} mm in {chiller.name.lower()}"
    asked = f"{row.printed} ({row.whose})"
    figures: dict[str, Any] = {
        "limit": row.id,
        "required": f"{row.end} within {row.amount}",
        "basis": curves.basis,
    }
    best = "not in time" if likely is None else span(likely, "up")
    if quickest is None or quickest > allowed:
        said = (
            f"{what} can't be chilled to {asked}: {best} by the best estimate, and too slow at the very best."
        )
        remedy = "Make the bags thinner, or use a quicker chill."
        return _finding(
            "plan.chill", Outcome.FAILS, said, step=Step.CHILL, measured=best, remedy=remedy, **figures
        )
    if likely is None or likely > allowed:
        said = f"{what}: {best} to {row.end} by the best estimate, where {asked} is asked."
        remedy = "Make the bags thinner, or use a quicker chill; measure the core of the first batch."
        return _finding(
            "plan.chill", Outcome.TO_REVIEW, said, step=Step.CHILL, measured=best, remedy=remedy, **figures
        )
    tail = (
        "met, proven as long as the chiller stays as it is taken here"
        if surely is not None and surely <= allowed
        else "met, but only a core reading will prove it"
    )
    said = f"{what}: {best} to {row.end} by the best estimate, {asked} asked: {tail}."
    return _finding("plan.chill", Outcome.MEETS, said, step=Step.CHILL, measured=best, **figures)


def _took(
    row: Limit,
    curves: ProvenCurves,
    low_c: FloatArray,
    high_c: FloatArray,
    out_s: float,
    begun_s: float,
) -> float | None:
    """How long the stage takes [s] for a core between two curves; None if it does not end."""
    if row.end is None:
        return None
    if row.clock == "core" and row.start is not None:
        one = longest_stage(
            curves.times_s, low_c, high_c, from_c=row.start.celsius, to_c=row.end.celsius, clock_start_s=out_s
        )
        return None if one.end_s is None else one.end_s - one.start_s
    ended = first_at_or_below(curves.times_s, high_c, row.end.celsius, out_s)
    return None if ended is None else ended - (begun_s if row.clock == "chill in" else out_s)


def _life(plan: Plan) -> list[Finding]:
    """The method keeps a bag no longer than the strictest row allows."""
    rows = plan.ruleset.limits("shelf_life", words_of(plan.facts), quantity="days")
    if not rows:
        return []
    row = min(rows, key=lambda each: each.amount.value)
    days, most = plan.facts.life_days, int(row.amount.value)
    figures: dict[str, Any] = {
        "limit": row.id,
        "measured": plural(days, "day"),
        "required": f"at most {plural(most, 'day')}",
    }
    if days > most:
        said = f"The method keeps a bag {plural(days, 'day')}; {plural(most, 'day')} at most ({row.whose})."
        remedy = f"Keep it {plural(most, 'day')} at most."
        return [_finding("plan.life", Outcome.FAILS, said, step=Step.STORE, remedy=remedy, **figures)]
    said = f"The method keeps a bag {plural(days, 'day')}; {plural(most, 'day')} at most ({row.whose}): met."
    return [_finding("plan.life", Outcome.MEETS, said, step=Step.STORE, **figures)]
