"""From rules, growth and the store's log to a use-by day.

**Gates.** Where they are asked, no date at all unless the cook met its limit, the chill meets or was signed
off, the seal is whole, the probes have passed their checks and the store's log is complete.

**Class** of the process: A, sealed before a cook that meets the long-life process and never opened
since; B, the same with the reference process; C, everything else. A and B have no Listeria to grow;
only A, or a controlling factor throughout the food, has no C. botulinum.

**Rule days** are counted as the rule counts them, on the calendar of the site's time zone. The last day
is the day of the start + days − the number that the rule gives to the day of the start (1 where that
day counts, 0 where it does not). Days on which the kitchen is closed count. A day on which the bag was
frozen from midnight to midnight does not; the day of freezing and the day of thawing do.

**Model days** end when a growth term first reaches its edge in the warmest store that must be
reckoned with. They can shorten a life where the kitchen chose to be stricter than the rule, and can
never lengthen one.

**In the store** the date moves forward when the log says that a term got there sooner, and never back
(:mod:`haccp.stored` reads the log, :mod:`haccp.days` the record of a bag).
Bags that are re-bagged or combined keep the oldest start and the worst class.

Hours (of model days) are hours on the absolute clock, whatever the clocks on the wall did.
Every limit is handed in; the choices of our own are in ``data/shelf_life.toml``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cache
from typing import Any, Final
from zoneinfo import ZoneInfo

from haccp.datafiles import load, pedigree
from haccp.errors import RangeError
from haccp.growth import steady_hours
from haccp.growthmodels import GrowthModel, growth_model
from haccp.lifefacts import Frozen, Gates, LifeClass, LifeFacts, LifeRule, combined, in_utc
from haccp.limits import Limit

__all__ = [
    "Frozen",
    "Gates",
    "Life",
    "LifeClass",
    "LifeFacts",
    "LifeRule",
    "cautions",
    "combined",
    "ending_terms",
    "last_whole_day",
    "life",
    "model_end",
    "moved_forward",
    "offered_rules",
    "rule_days",
    "store_temperature",
]

# A use-by day ends with the day, unless the kitchen's service ends sooner.
END_OF_DAY: Final = time(23, 59)


@dataclass(frozen=True)
class Life:
    """The end of a life. `use_by` is None where there is none: `reasons` say why.

    `governed_by` is the id of what ends it first, `rule` the rule if it is one. `days_left` is for a bag in
    the freezer: the days that it has from the day of thawing, that day included. `moved_by` names what grew
    in a warm store and moved the day forward; empty where nothing did.
    """

    use_by: date | None
    governed_by: str
    rule: LifeRule | None = None
    days_left: int | None = None
    reasons: tuple[str, ...] = ()
    moved_by: str = ""

    @property
    def row(self) -> Limit | None:
        """The row of the ruleset that ends it; None for the kitchen's own days and for a model."""
        return None if self.rule is None else self.rule.row

    @property
    def days(self) -> int:
        """The days of the rule that ends it; 0 where it is no rule."""
        return 0 if self.rule is None else self.rule.days


def _day(moment: datetime, zone: ZoneInfo) -> date:
    return moment.astimezone(zone).date()


def last_whole_day(moment: datetime, zone: ZoneInfo, ends: time = END_OF_DAY) -> date:
    """The last day whose end (`ends`, on the wall clock of `zone`) does not lie after `moment`."""
    day = _day(moment, zone)
    return day if in_utc(datetime.combine(day, ends, zone)) <= in_utc(moment) else day - timedelta(days=1)


def rule_days(rule: LifeRule, facts: LifeFacts, zone: ZoneInfo) -> tuple[date | None, int | None]:
    """The last day by a rule; or None and the days left from the day of thawing, while it is frozen.

    A rule that counts from freezing goes on in the freezer: its day is the last for thawing.
    Errors: :class:`RangeError` if the event that the rule counts from is not known.
    """
    if rule.counts_from not in facts.starts:
        raise RangeError(f"{rule.id} counts from {rule.counts_from}; log when that was.")
    begun = _day(facts.starts[rule.counts_from], zone)
    last = begun + timedelta(days=rule.days - rule.first_day)
    if rule.counts_from == "freezing":
        return last, None
    for stay in facts.frozen:
        frozen_on = _day(stay.since, zone)
        if frozen_on > last:
            break
        if stay.until is None:
            return None, (last - max(frozen_on, begun)).days
        last += timedelta(days=max(0, (_day(stay.until, zone) - max(frozen_on, begun)).days - 1))
    return last, None


def ending_terms(process: LifeClass, *, controlling_factor: bool = False) -> tuple[GrowthModel, ...]:
    """The growth models that can end a life: none of a killed organism, none behind a proven factor."""
    terms = []
    for key in _choices()["terms"]["ends"]:
        model = growth_model(key)
        off = (
            process is LifeClass.A or controlling_factor
            if model.measure == "share"
            else process is not LifeClass.C
        )
        if not off:
            terms.append(model)
    return tuple(terms)


def store_temperature(design_c: float, logged_mean_c: float | None = None) -> float:
    """The store to reckon with [°C]: the design, or the running mean of its log and a margin, if warmer."""
    if not math.isfinite(design_c) or not (logged_mean_c is None or math.isfinite(logged_mean_c)):
        raise RangeError("The temperature of a store must be a number.")
    if logged_mean_c is None:
        return design_c
    return max(design_c, logged_mean_c + float(_choices()["logged"]["margin_k"]))


def _edge(model: GrowthModel) -> float:
    band = model.to_review if model.fails is None else model.fails
    return band.figure.value


def model_end(
    facts: LifeFacts,
    store_c: float,
    *,
    begins: str = "cooking",
    so_far: Mapping[str, float] | None = None,
    at: datetime | None = None,
) -> tuple[datetime | None, str]:
    """When the first growth term ends the life in a store at `store_c` [°C], and its key.

    Counted from the event `begins`; or, with the growth `so_far` by model key up to the moment `at`,
    from there. Time in the freezer does not count. (None, "") where no term ever gets there.
    Errors: :class:`RangeError` for a store that the models don't cover, or an unknown event.
    """
    start = facts.starts.get(begins) if at is None else at
    if start is None:
        raise RangeError(f"The growth counts from {begins}; log when that was.")
    soonest, key = math.inf, ""
    for model in ending_terms(facts.process, controlling_factor=facts.controlling_factor):
        left = _edge(model) - (so_far or {}).get(model.key, 0.0)
        hours = steady_hours(store_c, model, left) if left > 0.0 else 0.0
        if hours < soonest:
            soonest, key = hours, model.key
    if math.isinf(soonest):
        return None, ""
    return _after_chilled(in_utc(start), timedelta(hours=soonest), facts.frozen), key


def _after_chilled(start: datetime, chilled: timedelta, frozen: Iterable[Frozen]) -> datetime | None:
    """The moment at which a bag has been `chilled` so long since `start`; None if it is frozen before."""
    end = start + chilled
    for stay in frozen:
        if stay.since >= end:
            break
        if stay.until is None:
            return None
        if stay.until > start:
            end += stay.until - max(stay.since, start)
    return end


def life(
    facts: LifeFacts,
    rules: Sequence[LifeRule],
    gates: Gates | None,
    zone: ZoneInfo,
    *,
    fully_cooked: bool = True,
    validated_days: int | None = None,
    stricter_store_c: float | None = None,
    thaw_days: int | None = None,
    ends: time = END_OF_DAY,
) -> Life:
    """The use-by day of a bag.

    Parameters: `rules` that the kitchen is under (the shortest counts); `gates`, None where they are judged
    by rules of their own; `validated_days`, counted
    as the first of the rules counts; `stricter_store_c` [°C]: the store to reckon with if the kitchen
    lets the growth terms shorten the rule; `thaw_days`: use within so many days of the day of thawing;
    `ends`: the end of a use-by day. Procedure: see the module.
    Errors: :class:`RangeError` where a rule's event is not known or there is no rule.
    """
    if gates is not None and (closed := gates.closed):
        return Life(None, "gates", reasons=closed)
    if not rules:
        raise RangeError("Choose at least one rule that the life is counted by.")
    counted = list(rules)
    if validated_days is not None:
        counted.append(LifeRule("validation", validated_days, rules[0].counts_from, rules[0].first_day))
    days: list[tuple[date, str, LifeRule | None]] = []
    left: list[tuple[int, LifeRule]] = []
    for rule in counted:
        last, remaining = rule_days(rule, facts, zone)
        if last is not None:
            days.append((last, rule.id, rule))
        if remaining is not None:
            left.append((remaining, rule))
    if left:
        fewest, rule = min(left, key=lambda each: each[0])
        why = "it is frozen: the days resume with thawing"
        return Life(None, rule.id, rule, days_left=fewest, reasons=(why,))
    thawed = [each.until for each in facts.frozen if each.until is not None]
    if thaw_days is not None and thawed:
        days.append((_day(thawed[-1], zone) + timedelta(days=thaw_days), "thawing", None))
    if facts.raw_use_by is not None and not fully_cooked:
        days.append((facts.raw_use_by, "raw material", None))
    if stricter_store_c is not None:
        end, key = model_end(facts, stricter_store_c)
        if end is not None:
            days.append((last_whole_day(end, zone, ends), key, None))
    # Of several that end on one day the first that was given.
    return Life(*min(days, key=lambda each: each[0]))


def moved_forward(use_by: date, reached: datetime | None, zone: ZoneInfo, ends: time = END_OF_DAY) -> date:
    """The use-by day after the log: forward to the last whole day before `reached`, never back."""
    return use_by if reached is None else min(use_by, last_whole_day(reached, zone, ends))


def offered_rules(*, validated: bool) -> tuple[LifeRule, ...]:
    """What is offered where a kitchen has chosen no rule, warmest store last; our own choice, no law."""
    offered: dict[float, int] = {}
    for row in _choices()["offered"]:
        if validated or not row["validated"]:
            offered[float(row["store_c"])] = max(int(row["days"]), offered.get(float(row["store_c"]), 0))
    return tuple(
        LifeRule(f"offered at {store:g} °C", days, "cooking", 1, store)
        for store, days in sorted(offered.items())
    )


def cautions() -> tuple[str, ...]:
    """What must stand beside any computed date."""
    return tuple(_choices()["beside"]["cautions"])


@cache
def _choices() -> dict[str, Any]:
    tables = load("shelf_life")
    for name, table in tables.items():
        for each in table if isinstance(table, list) else [table]:
            pedigree(each, f"haccp/data/shelf_life.toml [{name}]")
    return tables
