"""Put away after the cook: into the store in time, and what is said where a regime prints no figure.

Where the law only says “as quickly as possible” or “in a cool place”, nothing is met and nothing missed:
the figure is the kitchen's own, and until an authority or a guide gives one it is *unproven*.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from haccp.case import BagCheck, Case
from haccp.course import gone_at
from haccp.limits import Limit
from haccp.record import Finding, Outcome, Step
from haccp.wording import span

STORE_IN, CHILLED = "store in", "chilled"
_ASK = "Ask the authority, or a guide that it accepts, which figure holds, and keep to it."


def check_into_store(case: Case) -> list[Finding]:
    """From the bath to the store, where a row gives a time for all of it and no stages."""
    out_at = case.out_at
    rows = [row for row in case.limits("cool") if row.event == STORE_IN]
    if out_at is None or not rows:
        return []
    stored = min((each.into_at for each in case.bag.store), default=None)
    found = []
    for row in rows:
        until = stored or gone_at(case.bag) or case.record.seen_at
        took = (until - out_at).total_seconds()
        over = took - row.amount.seconds
        by = out_at + timedelta(seconds=row.amount.seconds)
        code, asked = case.bag.code, f"{row.amount} at most ({row.whose})"
        figures = {"measured": span(took, "up"), "required": f"at most {row.amount}"}
        if stored is None and over <= 0:
            if gone_at(case.bag) is None:
                left = case.clock.time(out_at)
                found.append(
                    case.found(
                        "chill.stored",
                        Step.CHILL,
                        Outcome.UNPROVEN,
                        f"Bag {code} is in no store yet, out of the bath at {left}; {asked}.",
                        limit=row,
                        remedy=f"Cold, and in the store, by {case.clock.time(by)}.",
                        remedy_by=by,
                        **figures,
                    )
                )
            continue
        late = f": {span(over, 'up')} too late." if over > 0 else f": met with {span(-over)} to spare."
        if stored is None:
            said = f"Bag {code} was in no store {figures['measured']} after the bath; {asked}{late}"
        else:
            said = f"Bag {code} was in the store {figures['measured']} after the bath; {asked}{late}"
        found.append(
            case.found(
                "chill.stored",
                Step.CHILL,
                Outcome.FAILS if over > 0 else Outcome.MEETS,
                said,
                limit=row,
                since=by if over > 0 else None,
                **figures,
            )
        )
    return found


def check_chill_has_a_figure(case: Case) -> list[Finding]:
    """A bag that was chilled under a regime that prints no time for it."""
    rows = case.limits("cool")
    if case.out_at is None or not (case.bag.chill or case.bag.store):
        return []
    if any(row.event or row.clock for row in rows):
        return []
    said = f"{case.ruleset.name} prints no time for the chill of bag {case.bag.code}"
    return _without(case, "chill.figure", Step.CHILL, said, rows)


def check_store_has_a_figure(case: Case) -> list[Finding]:
    """A bag in the store under a regime that prints no temperature for it."""
    rows = case.limits("chill_store")
    if not case.bag.store or any(row.quantity.endswith("_temperature") for row in rows):
        return []
    said = f"{case.ruleset.name} prints no temperature for the store of bag {case.bag.code}"
    return _without(case, "store.figure", Step.STORE, said, rows)


def _without(case: Case, rule: str, step: Step, said: str, rows: Sequence[Limit]) -> list[Finding]:
    """Nothing to judge by; the row that puts the duty in words is named where there is one."""
    row = next((each for each in rows if each.value is None), None)
    tail = "." if row is None else f", only a duty in words ({row.whose})."
    return [case.found(rule, step, Outcome.UNPROVEN, said + tail, limit=row, remedy=_ASK)]


CHECKS: list[BagCheck] = [check_into_store, check_chill_has_a_figure, check_store_has_a_figure]
