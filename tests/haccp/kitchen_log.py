"""A small kitchen's log, in plain values, for the tests of rules: an invented site and invented bags."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np

from haccp.bounds import ProvenCurves
from haccp.case import Case
from haccp.course import Course, Leg
from haccp.heat import BagHeat
from haccp.limits import Ruleset, ruleset
from haccp.record import (
    Assessment,
    BagRecord,
    BatchRecord,
    CoreCheck,
    Finding,
    MediumLog,
    MethodFacts,
    Outcome,
    ProbeCheck,
    Reading,
    Stay,
    Step,
)

DAY = date(2026, 3, 3)
START = datetime(2026, 3, 3, 10, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    """A moment so many minutes after the first bag went in."""
    return START + timedelta(minutes=minutes)


def rules(regime: str = "UK", chosen: Iterable[str] = ()) -> Ruleset:
    """The ruleset of the tests' day."""
    return ruleset(regime, DAY, chosen)


def reading(minutes: float, celsius: float, tolerance_k: float = 0.2, **rest: object) -> Reading:
    """One reading of probe P1."""
    return replace(Reading(at(minutes), celsius, tolerance_k, "P1", entry=f"e{minutes:g}"), **rest)  # type: ignore[arg-type]


def series(values: Sequence[tuple[float, float]], tolerance_k: float = 0.2) -> tuple[Reading, ...]:
    """Readings from pairs of minutes and °C."""
    return tuple(reading(minutes, celsius, tolerance_k) for minutes, celsius in values)


def steady(
    celsius: float, until_min: float, every_min: float = 10.0, from_min: float = 0.0
) -> tuple[Reading, ...]:
    """Readings of one value, with a tenth to and fro so that they do not look copied."""
    count = int((until_min - from_min) / every_min) + 1
    return series([(from_min + n * every_min, celsius + 0.1 * (n % 2)) for n in range(count)])


METHOD = MethodFacts(
    dish="Lamb shoulder",
    version=1,
    material="lamb",
    attributes=frozenset({"whole muscle", "cook-chill"}),
    set_point_c=63.0,
    bath_min=240.0,
    thickness_max_mm=40.0,
    start_max_c=8.0,
    chill_medium="ice_slurry",
    life_days=5,
)
BATH = MediumLog("bath", "Bath A", "stirred_bath", steady(63.0, 240.0), 63.0, 0.5, 0.05, 1.5, 15.0)
SLURRY = MediumLog("slurry", "Slurry tub", "ice_slurry", steady(0.4, 330.0, 15.0, 240.0))
FRIDGE = MediumLog(
    "fridge",
    "Fridge 2",
    "fridge_air",
    series([(300 + 360.0 * n, 1.5 + 0.1 * (n % 3)) for n in range(40)]),
    interval_min=720.0,
)
PROBE_OK = ProbeCheck("P1", at(-2000), "ice", 0.1)


def core(minutes: float, celsius: float, step: Step = Step.CHILL, tolerance_k: float = 0.2) -> CoreCheck:
    """A measured core."""
    return CoreCheck(reading(minutes, celsius, tolerance_k), step)


BAG = BagRecord(
    code="1",
    shape="slab",
    thickness_mm=30.0,
    thickness_tolerance_mm=1.0,
    start_c=4.0,
    start_tolerance_k=1.0,
    sealed_at=at(-30),
    cook=(Stay("bath", at(0), at(240)),),
    chill=(Stay("slurry", at(245), at(330)),),
    store=(Stay("fridge", at(332)),),
    core_checks=(core(325, 2.0),),
)


def bag(**changes: object) -> BagRecord:
    """The usual bag with changes."""
    return replace(BAG, **changes)  # type: ignore[arg-type]


def batch(*bags: BagRecord, regime: str = "UK", seen: float = 600.0, **changes: object) -> BatchRecord:
    """The usual batch with these bags, seen so many minutes after the first bag went in."""
    record = BatchRecord(
        code="B1",
        site="Marram Quay",
        regime=regime,
        timezone="Europe/London",
        day=DAY,
        seen_at=at(seen),
        method=METHOD,
        bags=bags or (BAG,),
        logs=(BATH, SLURRY, FRIDGE),
        probe_checks=(PROBE_OK,),
    )
    return replace(record, **changes)  # type: ignore[arg-type]


def drawn_case(
    minutes: Sequence[float],
    celsius: Sequence[float],
    *,
    regime: str = "UK",
    attributes: Iterable[str] = (),
    out_min: float | None = None,
    seen: float | None = None,
    low: Sequence[float] | None = None,
    high: Sequence[float] | None = None,
    chosen: Iterable[str] = (),
    **bag_changes: object,
) -> Case:
    """A case whose core is given outright, so that a limit can be met to the second.

    `minutes` and `celsius` are the best curve, `low` and `high` the bounds (the same where
    not given); the bag leaves the bath at `out_min` (the end of the curve).
    """
    times = np.asarray(minutes, dtype=np.float64) * 60.0
    best = np.asarray(celsius, dtype=np.float64)
    lower = best if low is None else np.asarray(low, dtype=np.float64)
    upper = best if high is None else np.asarray(high, dtype=np.float64)
    out = float(minutes[-1]) if out_min is None else out_min
    curves = ProvenCurves(times, best, lower, upper, best, lower, upper, "given by the test")
    legs = (Leg(0.0, out * 60.0, Step.COOK, BATH),)
    if float(minutes[-1]) > out:
        legs += (Leg(out * 60.0, float(times[-1]), Step.CHILL, SLURRY),)
    course = Course(START, at(out), float(times[-1]), legs, ())
    record = batch(
        regime=regime,
        seen=float(minutes[-1]) if seen is None else seen,
        method=replace(METHOD, attributes=frozenset(attributes)),
    )
    changed: dict[str, object] = {"cook": (Stay("bath", at(0), at(out)),), "core_checks": ()} | bag_changes
    heat = BagHeat(course, curves, best, None, ())
    return Case(record=record, ruleset=rules(regime, chosen), bag=bag(**changed), heat=heat)


def of(found: Assessment | Iterable[Finding], rule: str, limit: str | None = None) -> list[Finding]:
    """The findings of one rule, and of one limit where it is named."""
    every = found.all_findings if isinstance(found, Assessment) else tuple(found)
    return [each for each in every if each.rule == rule and limit in (None, each.limit)]


def outcomes(found: Assessment | Iterable[Finding], rule: str, limit: str | None = None) -> list[Outcome]:
    """Their outcomes."""
    return [each.outcome for each in of(found, rule, limit)]
