"""The use-by date of a bag: the strictest of the rows that apply and the method's own days.

Days are counted as the row counts them, in the site's time zone: from the first sealing
or from the cook, with that day as day 1 or day 0. Nothing here lengthens a life.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from haccp.case import Case
from haccp.limits import Limit
from haccp.shelf_life import moved_forward
from haccp.stored import ended_early


@dataclass(frozen=True)
class Life:
    """Last day on which a bag may be served, and the row that says so; None: the method's own days.

    `moved_by` names what grew in a warm store and moved the day forward; empty where nothing did.
    """

    use_by: date
    days: int
    row: Limit | None
    moved_by: str = ""


def first_days(case: Case) -> dict[str, date]:
    """The days from which a life can count, as far as they are known."""
    found = {}
    if case.bag.sealed_at is not None:
        found["sealing"] = case.clock.local_day(case.bag.sealed_at)
    if case.bag.cook:
        found["cooking"] = case.clock.local_day(min(each.into_at for each in case.bag.cook))
    return found


def last_day(first: date, days: int, first_day: int) -> date:
    """The last of so many days when `first` is counted as day `first_day` (1 or 0)."""
    return first + timedelta(days=days - first_day)


def life_rows(case: Case) -> tuple[Limit, ...]:
    """The rows on shelf life in days that apply to a bag."""
    return case.limits("shelf_life", "days")


def life_of(case: Case, rows: Sequence[Limit] | None = None) -> Life | None:
    """The life that governs a bag; None while there is no day to count from.

    The first day that is missing (a bag without its sealing logged) is replaced by the
    other one, or by the batch's day, whichever is earlier. A store that was warm moves the day
    forward, never back.
    """
    life, early = _by_rule(case, rows), ended_early(case)
    if life is None or early is None:
        return life
    use_by = moved_forward(life.use_by, early.reached, case.clock.zone)
    return life if use_by == life.use_by else replace(life, use_by=use_by, moved_by=early.model.name)


def _by_rule(case: Case, rows: Sequence[Limit] | None) -> Life | None:
    """The life by the strictest row and the method's own days."""
    rows = life_rows(case) if rows is None else rows
    known = first_days(case)
    if not known:
        return None
    earliest = min([case.record.day, *known.values()])
    lives = []
    for row in rows:
        first = known.get(row.counts_from, earliest)
        days = int(row.amount.value)
        lives.append(Life(last_day(first, days, 1 if row.first_day is None else row.first_day), days, row))
    strictest = min(lives, key=lambda each: each.use_by, default=None)
    if case.record.method.life_days > 0:
        counted = strictest.row if strictest else None
        first = known.get(counted.counts_from, earliest) if counted else known.get("cooking", earliest)
        number = 1 if counted is None or counted.first_day is None else counted.first_day
        own = last_day(first, case.record.method.life_days, number)
        if strictest is None or own < strictest.use_by:
            return Life(own, case.record.method.life_days, None)
    return strictest
