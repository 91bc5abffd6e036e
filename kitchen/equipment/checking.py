"""What a probe should read in ice and in boiling water here, whose limit that is, and when it is due."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from haccp import units
from haccp.limits import Limit
from haccp.probes import CheckJudgement, boiling_point_c, judge_check
from haccp.sources import source
from kitchen.base.refusals import Refused
from kitchen.people.regime import rules_of

TOPIC = "probe_check"
NAMES = {"ice": "Melting ice", "boiling": "Boiling water"}


@dataclass(frozen=True)
class Verdict:
    """What is kept of a check beside the reading."""

    passed: bool
    limit: str
    sentence: str


@dataclass(frozen=True)
class Expectation:
    """What a probe should read in one medium, in words, with the source."""

    medium: str
    name: str
    true_c: float
    words: str
    source: str


def _limit(site: Any, day: date, medium: str) -> tuple[Limit, float, float]:
    """The limit of a check in this medium, and its two edges [°C] as printed for sea level.

    Some regimes print the reading for each medium, others how far a food thermometer may be off.
    Where one prints neither, a row that it takes as advice stands in: a probe must be judged.
    """
    rules = rules_of(site, day)
    for advice in (False, True):
        for each in rules.limits(TOPIC, quantity="reading", advice=advice):
            if each.medium == medium and each.upper:
                return each, each.amount.celsius, each.upper.celsius
        for each in rules.limits(TOPIC, quantity="accuracy", advice=advice):
            if each.medium == "food" and each.upper:
                true = 0.0 if medium == "ice" else boiling_point_c(0)
                return each, true + float(each.amount.value), true + float(each.upper.value)
    raise Refused("The ruleset of this kitchen has no limit for a probe check.", "medium")


def _cited(limit: Limit) -> str:
    edition = f", {limit.edition}" if limit.edition else ""
    return f"{source(limit.source).title}, {limit.section}{edition} ({limit.status})"


def _judge(site: Any, day: date, medium: str, celsius: float) -> tuple[Limit, CheckJudgement]:
    limit, low, high = _limit(site, day, medium)
    judged = judge_check(medium, celsius, float(site.altitude_m), low_c=low, high_c=high)
    return limit, judged


def _band(judged: CheckJudgement, unit: str) -> str:
    return (
        f"{units.format_temperature(judged.low_c, unit)} to {units.format_temperature(judged.high_c, unit)}"
    )


def expectations(site: Any, day: date) -> list[Expectation]:
    """What a probe should read on this day at the altitude of the kitchen."""
    found = []
    unit = site.temperature_unit
    for medium, name in NAMES.items():
        limit, judged = _judge(site, day, medium, 0.0)
        words = _band(judged, unit)
        if medium == "boiling":
            boils = units.format_temperature(judged.true_c, unit)
            words += f" (water boils at {boils}, {site.altitude_m} m above the sea)"
        found.append(Expectation(medium, name, judged.true_c, words, _cited(limit)))
    return found


def verdict_of(site: Any, day: date, medium: str, celsius: Decimal) -> Verdict:
    """Whether a reading meets the limit of its medium, in one sentence with the source."""
    unit = site.temperature_unit
    limit, judged = _judge(site, day, medium, float(celsius))
    read = units.format_temperature(float(celsius), unit)
    outcome = "meets the limit" if judged.meets else "fails the limit"
    whose = f"{limit.whose}, {limit.section}"
    sentence = f"{read} in {NAMES[medium].lower()} {outcome} of {_band(judged, unit)} ({whose})."
    return Verdict(judged.meets, limit.id, sentence)


def due_after(site: Any, last: date) -> date | None:
    """The day by which a probe is to be checked again, or None where the ruleset names no interval."""
    for each in rules_of(site, last).limits(TOPIC, quantity="interval"):
        amount = each.amount
        if amount.unit == "month":
            return _months_later(last, int(amount.value))
        return last + timedelta(seconds=amount.seconds)
    return None


def _months_later(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
