"""Judge a batch: run every check over every bag, and let the worst finding govern.

The one door to the rules. The same record and the same ruleset always give the same
answer: there is no clock here but `record.seen_at`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import partial

from haccp.approvals import Covered, amended, covering, with_approvals
from haccp.case import BagCheck, BatchCheck, Case, words_of
from haccp.course import Doubt
from haccp.days import life_of
from haccp.errors import HaccpError
from haccp.heat import BagHeat, bag_heats, drawn
from haccp.holds import Held, best_held, first_met
from haccp.limits import Ruleset
from haccp.record import Assessment, BagAssessment, BatchRecord, Finding, Outcome, Step, worst
from haccp.rescue import Memo, rescued
from haccp.rules import (
    acidity,
    allergens,
    ambient,
    arrival,
    assays,
    bag,
    bath,
    brine,
    chill,
    come_up,
    cook,
    cure,
    duties,
    finish,
    freeze,
    growth,
    hot_hold,
    keeping,
    low_cook,
    parasite,
    probe,
    put_away,
    raw_hold,
    receive,
    records,
    reheat,
    store,
    thaw,
    trace,
)
from haccp.rules.assays import words_of_food
from haccp.sound import set_right

# Raised whenever the same record may be judged differently.
ENGINE = "haccp 3"

BAG_CHECKS: list[BagCheck] = [
    *raw_hold.CHECKS,
    *bag.CHECKS,
    *cook.CHECKS,
    *come_up.CHECKS,
    *low_cook.CHECKS,
    *parasite.CHECKS,
    *chill.CHECKS,
    *freeze.CHECKS,
    *store.CHECKS,
    *put_away.CHECKS,
    *reheat.CHECKS,
    *hot_hold.CHECKS,
    *ambient.CHECKS,
    *finish.CHECKS,
]
BATCH_CHECKS: list[BatchCheck] = [
    *receive.BATCH_CHECKS,
    *arrival.BATCH_CHECKS,
    *raw_hold.BATCH_CHECKS,
    *thaw.BATCH_CHECKS,
    *brine.BATCH_CHECKS,
    *cure.BATCH_CHECKS,
    *bath.BATCH_CHECKS,
    *acidity.BATCH_CHECKS,
    *assays.BATCH_CHECKS,
    *probe.BATCH_CHECKS,
    *records.BATCH_CHECKS,
    *keeping.BATCH_CHECKS,
    *trace.BATCH_CHECKS,
    *allergens.BATCH_CHECKS,
    *duties.BATCH_CHECKS,
]


def assess(record: BatchRecord, ruleset: Ruleset) -> Assessment:
    """All that the rules say of one batch.

    `ruleset` is that of the batch's day, and every step is judged by it, also one of a later day: the
    method was signed and the bags were labelled under it, and a bag must not change its limits while it
    lies in the store. Where a change of law reaches food that is made already, the law says so, and the
    kitchen decides at the Pass.

    Approvals that cover a limit for this food and dish on the batch's day put their figure in the place of
    the printed one, and the findings say so (:mod:`haccp.approvals`).

    Never raises for what was logged: what can't be judged is an *unproven* finding.
    """
    record, impossible = set_right(_as_seen(record))
    covered, rules = _approved(record, ruleset)
    heats, memo = _heats(record, rules), Memo()
    bags = tuple(
        _approvals_said(
            _bag(
                Case(record=record, ruleset=rules, bag=bag, heat=heats[bag.code]),
                [each for each in impossible if each.bag == bag.code],
                memo,
            ),
            ruleset,
            covered,
        )
        for bag in record.bags
    )
    findings = [each for each in impossible if each.bag is None]
    for check in BATCH_CHECKS:
        findings += _guarded(check.__name__, partial(check, record, rules), None)
    findings = with_approvals(findings, ruleset, covered)
    outcomes = [*(each.outcome for each in bags), *(each.outcome for each in findings)]
    return Assessment(
        batch=record.code,
        outcome=worst(outcomes) if bags else Outcome.UNPROVEN,
        bags=bags,
        findings=tuple(findings),
        regime=ruleset.regime,
        ruleset_digest=ruleset.digest,
        engine=ENGINE,
    )


def _approved(record: BatchRecord, ruleset: Ruleset) -> tuple[Covered, Ruleset]:
    """What approvals cover of this batch, and the ruleset with their figures."""
    if not record.approvals:
        return {}, ruleset
    words = words_of_food(record)
    covered = covering(ruleset, record.approvals, words=words, dish=record.method.dish, on=record.day)
    return covered, amended(ruleset, covered)


def _approvals_said(bag: BagAssessment, ruleset: Ruleset, covered: Covered) -> BagAssessment:
    if not covered:
        return bag
    return replace(bag, findings=tuple(with_approvals(bag.findings, ruleset, covered)))


def _as_seen(record: BatchRecord) -> BatchRecord:
    """The record without readings that are later than the moment at which it is looked at."""
    if all(each.at <= record.seen_at for log in record.logs for each in log.readings):
        return record
    logs = (
        replace(log, readings=tuple(each for each in log.readings if each.at <= record.seen_at))
        for log in record.logs
    )
    return replace(record, logs=tuple(logs))


def _heats(record: BatchRecord, ruleset: Ruleset) -> dict[str, BagHeat]:
    try:
        return bag_heats(record, follow_for(record, ruleset))
    except HaccpError as error:
        nothing = BagHeat(None, None, None, None, (Doubt(Step.COOK, str(error)),))
        return {bag.code: nothing for bag in record.bags}


def follow_for(record: BatchRecord, ruleset: Ruleset) -> timedelta:
    """How long after the bath the core is followed: as long as the chill rows ask, all in a row, and an "
    "hour."""
    rows = ruleset.limits("cool", words_of(record.method) | {"chilled"})
    # A row that prints a duty in words, or the temperature at the end, gives no time to follow.
    times = [row.amount.seconds for row in rows if row.event or row.clock]
    return timedelta(hours=1, seconds=sum(times))


def _bag(case: Case, findings: list[Finding], memo: Memo) -> BagAssessment:
    for check in BAG_CHECKS:
        findings += _guarded(check.__name__, partial(check, case), case.bag.code)
    told = tuple(findings)
    findings += _guarded("growth", lambda: growth.check_growth(case, told), case.bag.code)
    findings = rescued(case, findings, memo)
    findings += finish.served_in_spite(case, findings)
    governing = _governing_hold(case)
    from_s = None if governing is None else governing.starts_s
    until_s = None if governing is None else governing.ends_s
    return BagAssessment(
        code=case.bag.code,
        outcome=worst([each.outcome for each in findings]),
        findings=tuple(findings),
        curve=drawn(case.heat),
        hold_from=None if from_s is None else case.heat.moment(from_s),
        hold_until=None if until_s is None else case.heat.moment(until_s),
        hold_limit=None if governing is None else governing.row.id,
        hold_c=None if governing is None else governing.row.amount.celsius,
        use_by=_use_by(case),
    )


def _use_by(case: Case) -> date | None:
    try:
        life = life_of(case)
    except HaccpError:
        return None
    return None if life is None else life.use_by


def _governing_hold(case: Case) -> Held | None:
    """The hold that ends last among the tables that apply: proven, or coming if the bath keeps its band."""
    heat = case.heat
    if heat.curves is None or heat.course is None or not heat.proves(Step.COOK):
        return None
    holds = []
    for _, rows in cook.cook_tables(case):
        hold = best_held(rows, heat.curves.times_s, heat.curves.low_c)
        if not hold.met and heat.course.in_bath and heat.forecast is not None:
            hold = first_met(rows, heat.forecast.times_s, heat.forecast.low_c) or hold
        holds.append(hold)
    return max(holds, key=lambda each: (each.ends_s is None, each.ends_s or 0.0), default=None)


def _guarded(name: str, check: Callable[[], Sequence[Finding]], bag: str | None) -> list[Finding]:
    """The findings of one check; what it can't work with becomes an *unproven* finding."""
    try:
        return list(check())
    except HaccpError as error:
        whose = "This batch" if bag is None else f"Bag {bag}"
        said = f"{whose} can't be judged in full: {error}"
        return [Finding(rule=name, step=Step.RECORDS, outcome=Outcome.UNPROVEN, sentence=said, bag=bag)]
