"""What the rules say of a method before a bag is cooked to it, ready to be shown."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from haccp.bounds import ProvenCurves, proven_curves
from haccp.errors import HaccpError
from haccp.limits import Ruleset
from haccp.materials import materials, media
from haccp.plan import COLDEST_START_C, Plan
from haccp.ranges import Range
from haccp.record import Finding, Outcome
from haccp.sources import source
from haccp.wording import span
from kitchen.base.picture import Picture
from kitchen.base.plot import Curve, Level, Tick, Upright, plot
from kitchen.methods.actions import BAND_K, findings_of
from kitchen.methods.governed import limits_of
from kitchen.methods.models import Method
from kitchen.people import kept
from kitchen.people.regime import rules_of

_STEPS_MIN = (5, 10, 15, 30, 60, 120, 240, 480, 720, 1440)


@dataclass(frozen=True)
class Said:
    """One finding, with its limit and source in words."""

    finding: Finding
    cited: str


@dataclass(frozen=True)
class Foreseen:
    """Everything that the page of a method shows beside what was written."""

    findings: list[Said]
    may_be_signed: bool
    material: str
    chill: str
    picture: Picture | None
    caption: str
    since: list[kept.Changed]
    failing_now: list[Said]


def of(method: Method, today: date) -> Foreseen:
    """What is foreseen of a method: a draft under the limits of today, a signed one under those by which
    it was signed, with what has changed since."""
    site = method.dish.site
    signed = method.signed
    day = signed.recorded_at.astimezone(site.zone).date() if signed else today
    rules = rules_of(site, day)
    found = sorted(findings_of(method, day), key=lambda each: -each.outcome.rank)
    since, failing_now = _since(method, today) if signed else ([], [])
    chill = media().get(method.chill_medium)
    picture = _picture(method, rules, found)
    tolerance = f"{method.thickness_max_mm:f}".rstrip("0").rstrip(".")
    return Foreseen(
        findings=[Said(each, _cited(each, rules)) for each in found],
        may_be_signed=all(each.outcome != Outcome.FAILS for each in found),
        material=materials()[method.material].name,
        chill=chill.name if chill else "not chilled: served at once",
        picture=picture,
        caption=f"The middle of a bag of {tolerance} mm as computed, from bag in; no bag was measured.",
        since=since,
        failing_now=failing_now,
    )


def _since(method: Method, today: date) -> tuple[list[kept.Changed], list[Said]]:
    """The limits about this food that changed after the signature, and what it fails by those of today."""
    rules = rules_of(method.dish.site, today)
    digest = method.signed.said.get("ruleset", "") if method.signed else ""
    about = {each.id for each in limits_of(method, rules)}
    changed = [each for each in kept.changes(digest, rules) or [] if each.id in about or not each.after]
    if not changed:
        return [], []
    failing = [each for each in findings_of(method, today) if each.outcome == Outcome.FAILS]
    return changed, [Said(each, _cited(each, rules)) for each in failing]


def _cited(finding: Finding, rules: Ruleset) -> str:
    if not finding.limit:
        return ""
    limit = rules.limit(finding.limit)
    edition = f", {limit.edition}" if limit.edition else ""
    title = source(limit.source).title
    return f"{limit.printed}. {title}, {limit.section}{edition} ({limit.status})."


def _picture(method: Method, rules: Ruleset, found: list[Finding]) -> Picture | None:
    """The core of the thickest bag that the method allows; None where it can't be computed."""
    facts = method.facts
    plan = Plan(facts, rules, method.shape, float(method.thickness_tolerance_mm), BAND_K)
    needed = [each.required_value for each in found if each.rule == "plan.cook" and each.required_value]
    until_min = 1.08 * max([facts.bath_min, *needed])
    coldest = min(COLDEST_START_C, facts.start_max_c)
    start = Range(coldest, (coldest + facts.start_max_c) / 2, max(coldest, facts.start_max_c))
    try:
        body = plan.body(facts.thickness_max_mm, start)
        curves = proven_curves(body, [plan.in_bath(until_min * 60)])
    except HaccpError:
        return None
    unit = method.dish.site.temperature_unit
    uprights = [Upright(facts.bath_min, f"{span(facts.bath_min * 60)} planned")]
    if needed and abs(max(needed) - facts.bath_min) > 0.01 * until_min:
        uprights.append(Upright(max(needed), f"{span(max(max(needed) * 60, 600), 'up')} needed"))
    levels = [Level(facts.set_point_c, "set point")]
    held = [rules.limit(each.limit) for each in found if each.rule.startswith("plan.cook") and each.limit]
    for limit in {each.id: each for each in held if each.value is not None}.values():
        levels.append(Level(limit.amount.celsius, limit.printed))
    return plot(
        _curves(curves),
        _ticks(until_min),
        title="Core as computed",
        desc="; ".join(each.label for each in uprights),
        unit=unit,
        levels=levels,
        uprights=_apart(uprights, until_min),
        height=340,
    )


def _curves(curves: ProvenCurves) -> list[Curve]:
    minutes = [each / 60 for each in curves.times_s]
    drawn = (
        (curves.best_c, 2.6, "", "best estimate"),
        (curves.low_c, 1.5, "7 3.5", "proven lowest"),
        (curves.high_c, 1.3, "1.5 3.5", "proven highest"),
    )
    return [
        Curve(list(zip(minutes, map(float, celsius), strict=True)), weight, dash, label)
        for celsius, weight, dash, label in drawn
    ]


def _apart(uprights: list[Upright], until_min: float) -> list[Upright]:
    """Two moments whose words would run into each other: the words stand at the later one."""
    ordered = sorted(uprights, key=lambda each: each.at)
    if len(ordered) == 2 and ordered[1].at - ordered[0].at < 0.25 * until_min:
        first, second = ordered
        return [Upright(first.at, ""), Upright(second.at, f"{first.label}, {second.label}")]
    return ordered


def _ticks(until_min: float) -> list[Tick]:
    step = next((each for each in _STEPS_MIN if until_min / each <= 8), _STEPS_MIN[-1])
    return [Tick(at, _spelt(at)) for at in range(0, math.floor(until_min) + 1, step)]


def _spelt(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h" if not rest else f"{hours} h {rest:02d}"
