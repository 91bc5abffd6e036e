"""The use-by day of a bag from its record: what :mod:`haccp.shelf_life` needs, read off the log.

Days are counted from the first sealing, the cook or the freezer. An event that nobody logged is taken
to be as old as the oldest that is known. Days in a freezer do not count; a store that was warm moves the
day forward, and nothing moves it back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time

from haccp.case import Case
from haccp.course import gone_at
from haccp.lifefacts import Frozen, LifeFacts, LifeRule
from haccp.limits import Limit
from haccp.shelf_life import Life, life, moved_forward
from haccp.stored import ended_early, life_class

__all__ = ["Life", "first_days", "frozen_stays", "life_of", "life_rows"]

_OWN = "method"


def first_days(case: Case) -> dict[str, date]:
    """The days from which a life can count, as far as they are known."""
    return {event: case.clock.local_day(moment) for event, moment in _events(case).items()}


def _events(case: Case) -> dict[str, datetime]:
    found = {}
    if case.bag.sealed_at is not None:
        found["sealing"] = case.bag.sealed_at
    if case.bag.cook:
        found["cooking"] = min(each.into_at for each in case.bag.cook)
    if frozen := frozen_stays(case):
        found["freezing"] = frozen[0].since
    return found


def frozen_stays(case: Case) -> tuple[Frozen, ...]:
    """The stays of a bag in freezers, in order; one ends when the next stay begins or the bag is gone."""
    stays = sorted(case.bag.store, key=lambda each: each.into_at)
    gone, found = gone_at(case.bag), list[Frozen]()
    for number, stay in enumerate(stays):
        log = case.record.log(stay.log)
        if log is None or not log.freezer or stay.into_at > case.record.seen_at:
            continue
        after = stays[number + 1].into_at if number + 1 < len(stays) else gone
        ends = [each for each in (stay.out_at, after) if each is not None and each <= case.record.seen_at]
        found.append(Frozen(stay.into_at, max(min(ends), stay.into_at) if ends else None))
    return tuple(found)


def life_rows(case: Case) -> tuple[Limit, ...]:
    """The rows on shelf life in days that apply to a bag."""
    return case.limits("shelf_life", "days")


def life_of(case: Case, rows: Sequence[Limit] | None = None) -> Life | None:
    """The life that governs a bag; None while there is no day to count from, or no rule to count by."""
    events = _events(case)
    if not events:
        return None
    zone = case.clock.zone
    noon = datetime.combine(case.record.day, time(12), zone)
    oldest = min([noon, *events.values()])
    rules = [LifeRule.from_limit(each) for each in (life_rows(case) if rows is None else rows)]
    facts = LifeFacts(
        starts={rule.counts_from: oldest for rule in rules} | {"cooking": oldest} | events,
        process=life_class(case),
        frozen=frozen_stays(case),
    )
    found = life(facts, rules, None, zone) if rules else None
    if case.record.method.life_days > 0:
        # The method's own days are counted as the strictest row counts them.
        own = LifeRule(_OWN, case.record.method.life_days, "cooking", 1)
        if found is not None and found.rule is not None:
            own = replace(own, counts_from=found.rule.counts_from, first_day=found.rule.first_day)
        found = life(facts, [*rules, own], None, zone)
    early = ended_early(case)
    if found is None or found.use_by is None or early is None:
        return found
    use_by = moved_forward(found.use_by, early.reached, zone)
    return found if use_by == found.use_by else replace(found, use_by=use_by, moved_by=early.model.name)
