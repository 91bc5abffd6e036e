"""Rescue: the cheapest thing that would still bring a bag inside its limits, and until when.

Each way out is tried on the bag's own record, with what is still to come put in as readings that a
kitchen would really take, and judged by the very rules that judge the bag. So nothing is offered
against a rule: a come-up that was too long is not undone by heat, and a chill that was missed is not
undone by cooking again. In order of cost: stay longer in the bath as it is, raise the bath, back into
the bath, into ice slurry, serve instead of keeping, discard; or nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cache
from typing import Any, Final

import numpy as np

from haccp.case import Case
from haccp.chilled import Clocked, clocked_by, core_readings, likely_end, proven_end
from haccp.cooling import first_at_or_below
from haccp.course import gone_at
from haccp.datafiles import load, pedigree
from haccp.errors import HaccpError
from haccp.heat import BagHeat, bag_heats
from haccp.holds import first_met
from haccp.record import BagRecord, Finding, MediumLog, Outcome, Reading, Stay, Step
from haccp.rules.chill import check_stages
from haccp.rules.come_up import check_come_up
from haccp.rules.cook import cook_tables
from haccp.rules.growth import on_the_way_up
from haccp.wording import temperature

_BAD: Final = (Outcome.UNPROVEN, Outcome.FAILS)
_MINUTE: Final = timedelta(minutes=1)
# Moments that are tried for going into ice slurry, as parts of the time that is left.
_PARTS: Final = (0.75, 0.5, 0.25, 0.0)
_USUAL_INTERVAL_MIN: Final = 10.0


@dataclass(frozen=True)
class Way:
    """A way out in words, and until when it is open."""

    remedy: str
    by: datetime | None = None


@dataclass
class Memo:
    """What was found for one batch: ways out by bag, and the heats of what was tried, bags side by side."""

    ways: dict[Any, Way | None] = field(default_factory=dict)
    heats: dict[Any, dict[str, BagHeat]] = field(default_factory=dict)


def rescued(case: Case, findings: Sequence[Finding], memo: Memo) -> list[Finding]:
    """The findings on one bag with what can still be done for it, and until when.

    `memo` is shared by the bags of one batch: bags that are alike are tried once. What a finding
    says already stays where nothing better is found.
    """
    if gone_at(case.bag) is not None or not any(each.outcome in _BAD for each in findings):
        return list(findings)
    found = list(findings)
    holds = [each.outcome for each in findings if each.rule == "cook.hold"]
    if any(each in _BAD for each in holds):
        # Where no hold is missed, only what was read is too little.
        unread = Outcome.FAILS not in holds
        found = _with(found, ("cook.hold",), _once(case, memo, "cook", lambda: _cook(case, memo, unread)))
    cooked = [each for each in findings if each.rule.startswith("cook.") or each.rule == "growth.come_up"]
    well_cooked = bool(cooked) and all(each.outcome == Outcome.MEETS for each in cooked)
    if any(each.rule in ("chill.stage", "chill.begun") and each.outcome in _BAD for each in findings):
        way = _once(case, memo, ("chill", well_cooked), lambda: _chill(case, found, well_cooked, memo))
        found = _with(found, ("chill.stage", "chill.begun"), way)
    spoiled = Way("Discard it: neither heat nor cold undoes what has grown.")
    return [
        _told(each, spoiled)
        if each.rule in ("growth.come_up", "growth.chill") and each.outcome == Outcome.FAILS
        else each
        for each in found
    ]


def _once(case: Case, memo: Memo, what: Any, find: Callable[[], Way | None]) -> Way | None:
    alike = (what, replace(case.bag, code="", use_by=None))
    if alike not in memo.ways:
        try:
            memo.ways[alike] = find()
        except HaccpError:
            memo.ways[alike] = None
    return memo.ways[alike]


def _with(findings: list[Finding], rules: tuple[str, ...], way: Way | None) -> list[Finding]:
    if way is None:
        return findings
    return [_told(each, way) if each.rule in rules and each.outcome in _BAD else each for each in findings]


def _told(finding: Finding, way: Way) -> Finding:
    return replace(finding, remedy=way.remedy, remedy_by=way.by)


# -- the cook ---------------------------------------------------------------------------------------------


def _cook(case: Case, memo: Memo, unread: bool) -> Way | None:
    course = case.heat.course
    if course is None or not case.bag.cook:
        return None
    if course.in_bath:
        return _in_the_bath(case, memo)
    return _out_of_the_bath(case, memo, unread)


def _bath(case: Case) -> MediumLog | None:
    last = max(case.bag.cook, key=lambda each: each.into_at)
    return case.record.log(last.log)


def _in_the_bath(case: Case, memo: Memo) -> Way | None:
    """The bath as it stands says until when by itself; where it never will do, it must be raised."""
    ahead = case.heat.forecast
    tables = cook_tables(case)
    if ahead is None or not tables:
        return None
    if all(first_met(rows, ahead.times_s, ahead.low_c) for _, rows in tables):
        return None
    return _raised(case, None, memo)


def _out_of_the_bath(case: Case, memo: Memo, unread: bool) -> Way | None:
    """Back into the bath before its chill, or not at all."""
    discard = Way("Discard it: heating it now supplies no proof of what it missed.")
    if unread:
        discard = Way(
            "Log readings of the bath that someone took; without them discard it, for heating it now "
            "supplies no proof."
        )
    if case.bag.chill or case.bag.store or case.out_at is None:
        return discard
    if case.heat.void or case.heat.curves is None:
        return None
    choice = _choices()["back"]
    by = case.out_at + timedelta(minutes=choice["within_min"])
    if case.record.seen_at + timedelta(minutes=choice["hands_min"]) > by:
        return discard
    bath = _bath(case)
    if bath is None:
        return None
    done = _tried(case, by, None, memo)
    if done is not None:
        until = case.clock.time_up(done)
        return Way(
            f"Put it back into {bath.name} by {case.clock.time(by)} and keep it there until {until}; log "
            "both. Its come-ups count together.",
            by,
        )
    return _raised(case, by, memo) or discard


def _raised(case: Case, back_at: datetime | None, memo: Memo) -> Way | None:
    """The lowest set point that would do, of two that are tried."""
    bath, choice = _bath(case), _choices()["raise"]
    if bath is None:
        return None
    lowest_c = max(min(row.amount.celsius for row in rows) for _, rows in cook_tables(case))
    tolerance_k = max((each.tolerance_k for each in bath.readings), default=0.0)
    least = lowest_c + (bath.band_k or 0.0) + tolerance_k + choice["above_k"]
    for extra_k in (0.0, 5.0):
        set_c = math.ceil((least + extra_k) / choice["step_c"]) * choice["step_c"]
        if set_c > choice["highest_c"]:
            break
        done = _tried(case, back_at, set_c, memo)
        if done is None:
            continue
        until = case.clock.time_up(done)
        if back_at is None:
            return Way(
                f"Raise {bath.name} to {temperature(set_c)} now and keep the bag in until {until}.", done
            )
        return Way(
            f"Raise {bath.name} to {temperature(set_c)} now, put the bag back into it by "
            f"{case.clock.time(back_at)} and keep it there until {until}; log all of it. Its come-ups count "
            "together.",
            back_at,
        )
    return None


def _tried(case: Case, back_at: datetime | None, set_c: float | None, memo: Memo) -> datetime | None:
    """When every cook table would provenly be met, with no rule on the come-up broken; None if not."""
    bath = _bath(case)
    if bath is None:
        return None
    horizon = case.record.seen_at + timedelta(hours=_choices()["back"]["ahead_h"])
    told = replace(bath, readings=(*bath.readings, *_bath_to_come(case, bath, set_c, horizon)))
    cook = case.bag.cook if back_at is None else (*case.bag.cook, Stay(bath.key, back_at))
    after = _as_if(case, told, horizon, memo, cook=cook, chill=(), store=())
    curves, tables = after.heat.curves, cook_tables(after)
    if curves is None or not after.heat.proves(Step.COOK) or not tables:
        return None
    holds = [first_met(rows, curves.times_s, curves.low_c) for _, rows in tables]
    ends = [each.ends_s for each in holds if each is not None and each.ends_s is not None]
    if len(ends) < len(tables) or check_come_up(after):
        return None
    if any(each.outcome != Outcome.MEETS for each in on_the_way_up(after)):
        return None
    return after.heat.moment(max(ends))


def _bath_to_come(case: Case, bath: MediumLog, set_c: float | None, until: datetime) -> list[Reading]:
    """Readings as they are due, at the lower edge of the band; a raised bath gets there by and by."""
    read = [each for each in bath.readings if each.trusted and each.at <= case.record.seen_at]
    if not read:
        return []
    newest = max(read, key=lambda each: each.at)
    tolerance_k, band_k = max(each.tolerance_k for each in read), bath.band_k or 0.0
    interval = bath.interval_min or _USUAL_INTERVAL_MIN
    readings, now = [], case.record.seen_at
    for number in range(1, int((until - now) / _MINUTE / interval) + 1):
        at = now + timedelta(minutes=interval * number)
        if set_c is None:
            edge_c = newest.celsius if bath.set_point_c is None else bath.set_point_c - band_k
            celsius = min(newest.celsius, edge_c)
        else:
            risen = newest.celsius + _choices()["raise"]["rise_k_per_min"] * interval * number
            celsius = min(set_c - band_k, risen)
        readings.append(Reading(at, celsius, tolerance_k))
    return readings


# -- the chill ------------------------------------------------------------------------------------------


def _chill(case: Case, findings: Sequence[Finding], well_cooked: bool, memo: Memo) -> Way | None:
    if case.out_at is None:
        return None
    now = case.record.seen_at
    clocks = _clocks(case)
    late = [each for each in clocks if _at_risk(case, each)]
    begun_late = any(each.rule == "chill.begun" and each.outcome == Outcome.FAILS for each in findings)
    failed = begun_late or any(
        each.rule == "chill.stage" and each.outcome == Outcome.FAILS for each in findings
    )
    if not late and not failed:
        return None  # on its way, or nothing known: its own rule says what to read
    deadline = min((case.heat.moment(each.deadline_s) for each in clocks), default=now)
    if now >= deadline:
        return (
            Way("Discard it: a chill that was missed is not undone by cooking it again.") if failed else None
        )
    if not begun_late and (cold := _into_slurry(case, deadline, memo)) is not None:
        by, provenly = cold
        told = f"Into an ice slurry by {case.clock.time(by)}; read it at once and every "
        told += f"{_choices()['slurry']['every_min']:g} min"
        if provenly:
            return Way(f"{told}: then it is cold in time.", by)
        return Way(f"{told}, and measure the core: by the best estimate it is cold in time.", by)
    if well_cooked:
        return Way(
            f"Serve it by {case.clock.time(deadline)} instead of keeping it; after that, discard it.",
            deadline,
        )
    return None


def _clocks(case: Case) -> list[Clocked]:
    """The clocks of the stages that apply to a bag that has left its bath."""
    out_at = case.out_at
    if out_at is None:
        return []
    return [
        clocked_by(case, row, row.end, out_at)
        for row in case.limits("cool")
        if row.end is not None and row.clock in ("bath out", "chill in", "core")
    ]


def _likely_in_time(case: Case, clocked: Clocked) -> bool:
    end_s = likely_end(case, clocked)
    return end_s is not None and end_s <= clocked.deadline_s


def _at_risk(case: Case, clocked: Clocked) -> bool:
    """Whether a stage that still runs will be over too late as the bag is chilled now, most likely."""
    if proven_end(case, clocked) is not None or likely_end(case, clocked) is not None:
        return False
    ahead = case.heat.forecast
    if ahead is None or case.out_at is None:
        return False
    comes = first_at_or_below(
        ahead.times_s, ahead.best_c, clocked.end.celsius, case.heat.seconds(case.out_at)
    )
    return comes is None or comes > clocked.deadline_s


def _into_slurry(case: Case, deadline: datetime, memo: Memo) -> tuple[datetime, bool] | None:
    """The last moment at which ice slurry would still do, and whether provenly or most likely.

    None if it would not, or the bag lies in one.
    """
    course = case.heat.course
    place = course.legs[-1].log if course is not None and course.legs else None
    if (place is not None and place.medium == _choices()["slurry"]["medium"]) or not _fits(case):
        return None
    first = case.record.seen_at + timedelta(minutes=_choices()["back"]["hands_min"])
    if first >= deadline:
        return None
    for provenly in (True, False):
        for part in _PARTS:
            moment = first + part * (deadline - first)
            if _cold_in_time(case, moment, deadline, provenly, memo):
                return max(moment.replace(second=0, microsecond=0), case.record.seen_at), provenly
    return None


def _fits(case: Case) -> bool:
    """Whether the curves are good for a promise: none is void, and no core was read above them."""
    curves = case.heat.curves
    if curves is None or case.heat.void:
        return False
    for each in core_readings(case):
        highest_c = float(np.interp(case.heat.seconds(each.at), curves.times_s, curves.high_c))
        if each.celsius - each.tolerance_k > highest_c:
            return False
    return True


def _cold_in_time(case: Case, into_at: datetime, deadline: datetime, provenly: bool, memo: Memo) -> bool:
    """Whether the bag would be cold in time, provenly or most likely, if it went into ice slurry then."""
    choice = _choices()["slurry"]
    until = deadline + timedelta(minutes=choice["every_min"])
    every = timedelta(minutes=choice["every_min"])
    tolerance_k = max((each.tolerance_k for log in case.record.logs for each in log.readings), default=0.0)
    count = int((until - into_at) / every) + 2
    readings = tuple(Reading(into_at + every * n, choice["read_c"], tolerance_k) for n in range(count))
    slurry = MediumLog("rescue", "the ice slurry", choice["medium"], readings)
    chill = tuple(
        each if each.out_at is not None and each.out_at <= into_at else replace(each, out_at=into_at)
        for each in case.bag.chill
        if each.into_at < into_at
    )
    after = _as_if(case, slurry, until, memo, chill=(*chill, Stay(slurry.key, into_at)), store=())
    if not provenly:
        return all(_likely_in_time(after, each) for each in _clocks(after))
    stages = [each for each in check_stages(after) if each.rule in ("chill.stage", "chill.begun")]
    return bool(stages) and all(each.outcome == Outcome.MEETS for each in stages)


# -- both -------------------------------------------------------------------------------------------------


def _as_if(case: Case, log: MediumLog, seen_at: datetime, memo: Memo, **changes: Any) -> Case:
    """The case as it would stand at a later moment, with another log and other stays.

    The bags that lay in the same places are tried together: their heat is computed side by side.
    """
    bag = replace(case.bag, **changes)
    logs = (*(each for each in case.record.logs if each.key != log.key), log)
    with_it = [each for each in case.record.bags if _places(each) == _places(case.bag)]
    bags = tuple(replace(each, **changes) for each in with_it)
    record = replace(case.record, seen_at=seen_at, logs=logs, bags=bags)
    tried = (log, seen_at, _places(case.bag), _places(bag))
    if tried not in memo.heats:
        times = [row.amount.seconds for row in case.limits("cool") if row.event or row.clock]
        follow = timedelta(hours=1, seconds=sum(times))
        memo.heats[tried] = bag_heats(record, follow)
    heat = memo.heats[tried][bag.code]
    return Case(record=record, ruleset=case.ruleset, bag=bag, heat=heat)


def _places(bag: BagRecord) -> tuple[object, ...]:
    return bag.cook, bag.chill, bag.store, bag.finishes


@cache
def _choices() -> dict[str, Any]:
    tables = load("rescue")
    for name, table in tables.items():
        pedigree(table, f"haccp/data/rescue.toml [{name}]")
    return tables
