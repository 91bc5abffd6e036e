"""Figures that can't be: what is set aside before a record is judged, and what is said of it.

A value that is no number, a fridge at -127 °C, a tolerance under nought: such a figure is not
guessed at and not judged. It counts as not read or not measured, and a finding names it, so that a
record with one in it never meets its limits unseen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from haccp.curves import PLAUSIBLE_C
from haccp.errors import HaccpError
from haccp.record import (
    BagRecord,
    BatchRecord,
    CoreCheck,
    Finding,
    MediumLog,
    MethodFacts,
    Outcome,
    Reading,
    Step,
)
from haccp.wording import Clock

__all__ = ["is_reading", "set_right"]

RULE = "records.figure"
_METHOD = {
    "set_point_c": "set point",
    "bath_min": "time in the bath",
    "thickness_max_mm": "greatest thickness",
    "start_max_c": "warmest start",
    "life_days": "days kept",
}
_TEMPERATURES = ("set_point_c", "start_max_c")
_BAG = {
    "thickness_mm": "thickness",
    "length_mm": "length",
    "width_mm": "width",
    "start_c": "start temperature",
}


def is_reading(reading: Reading) -> bool:
    """Whether a reading is one that a thermometer in a kitchen can show, with a tolerance that can be."""
    low, high = PLAUSIBLE_C
    return low <= reading.celsius <= high and 0.0 <= reading.tolerance_k < math.inf


def set_right(record: BatchRecord) -> tuple[BatchRecord, tuple[Finding, ...]]:
    """The record without figures that can't be, and an *unproven* finding for each of them.

    Readings are left out, sizes and starts of bags become unknown, a log's interval and band become unset and
    the method's figures stay as they are, save its minutes, which become nought. Nothing raises.
    """
    clock = _clock(record)
    findings: list[Finding] = []

    def found(sentence: str, *, bag: str | None = None, entry: str = "") -> None:
        findings.append(
            Finding(
                rule=RULE,
                step=Step.RECORDS,
                outcome=Outcome.UNPROVEN,
                sentence=sentence,
                bag=bag,
                remedy="Correct the entry; until then it counts as not made.",
                entries=(entry,) if entry else (),
            )
        )

    for name in _wrong_method(record.method):
        found(f"The method's {_METHOD[name]} is no figure that can be, so nothing was judged by it.")
    if not math.isfinite(record.altitude_m):
        found("The altitude of the site is no number, so no boiling point was reckoned from it.")
    logs = []
    for log in record.logs:
        wrong = [each for each in log.readings if not is_reading(each)]
        for each in wrong:
            said = _said(each, clock)
            found(f"{log.name}: {said} is no reading of a kitchen's thermometer.", entry=each.entry)
        changed = _log(log, bool(wrong))
        for name in ("interval_min", "band_k", "set_point_c"):
            if getattr(changed, name) != getattr(log, name):
                word = {"interval_min": "interval", "band_k": "band", "set_point_c": "set point"}[name]
                found(f"The {word} of {log.name} is no figure that can be; it is taken as not set.")
        logs.append(changed)
    bags = []
    for bag in record.bags:
        for name in _wrong_bag(bag):
            found(
                f"The {_BAG[name]} of bag {bag.code} is no number; it is taken as not measured.", bag=bag.code
            )
        for check in bag.core_checks:
            if not is_reading(check.reading):
                said = _said(check.reading, clock)
                found(
                    f"The core of bag {bag.code}: {said} is no reading of a kitchen's thermometer.",
                    bag=bag.code,
                    entry=check.reading.entry,
                )
        bags.append(_bag(bag))
    if not findings:
        return record, ()
    method = record.method
    if "bath_min" in _wrong_method(method):
        method = replace(method, bath_min=0.0)
    altitude_m = record.altitude_m if math.isfinite(record.altitude_m) else 0.0
    right = replace(record, method=method, logs=tuple(logs), bags=tuple(bags), altitude_m=altitude_m)
    return right, tuple(findings)


def _clock(record: BatchRecord) -> Clock:
    """The site's clock; UTC where its zone is unknown, which the checks say by themselves."""
    try:
        return Clock.at(record.timezone, record.day)
    except HaccpError:
        return Clock.at("UTC", record.day)


def _said(reading: Reading, clock: Clock) -> str:
    """A reading as it was logged, in words also where it is no number."""
    at = clock.time(reading.at)
    if not math.isfinite(reading.celsius):
        return f"what was logged at {at}"
    if not 0.0 <= reading.tolerance_k < math.inf:
        return f"{reading.celsius:g} °C at {at} with the tolerance that its probe is given"
    return f"{reading.celsius:g} °C at {at}"


def _wrong_method(method: MethodFacts) -> list[str]:
    wrong = []
    for name in _METHOD:
        value = getattr(method, name)
        low = PLAUSIBLE_C[0] if name in _TEMPERATURES else 0.0
        if not low <= value < math.inf:
            wrong.append(name)
    return wrong


def _log(log: MediumLog, wrong: bool) -> MediumLog:
    """A log without readings that can't be, and with its own figures unset where they can't be."""
    changes: dict[str, Any] = {}
    if wrong:
        changes["readings"] = tuple(filter(is_reading, log.readings))
    if log.interval_min is not None and not 0.0 < log.interval_min < math.inf:
        changes["interval_min"] = None
    if log.band_k is not None and not 0.0 <= log.band_k < math.inf:
        changes["band_k"] = None
    if log.set_point_c is not None and not math.isfinite(log.set_point_c):
        changes["set_point_c"] = None
    return replace(log, **changes) if changes else log


def _wrong_bag(bag: BagRecord) -> Iterator[str]:
    for name in _BAG:
        value = getattr(bag, name)
        if value is not None and not math.isfinite(value):
            yield name


def _bag(bag: BagRecord) -> BagRecord:
    """A bag whose sizes are numbers or unknown and whose core readings can be."""
    changes: dict[str, Any] = dict.fromkeys(_wrong_bag(bag))
    checks: tuple[CoreCheck, ...] = tuple(each for each in bag.core_checks if is_reading(each.reading))
    if len(checks) != len(bag.core_checks):
        changes["core_checks"] = checks
    return replace(bag, **changes) if changes else bag
