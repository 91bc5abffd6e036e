"""Parasites: killed by the cook, or by the frost before it. One finding for a bag that may carry them.

A row of heat is judged at the core, as a cook is; a row of frost by the food's own readings, or by the
supplier's paper that names temperature and time. One of them is enough. Salt, acid and smoke are not.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from fractions import Fraction

from haccp.case import BagCheck, Case
from haccp.holds import best_held
from haccp.limits import Limit, exact
from haccp.record import Delivery, Finding, Freezing, Outcome, Reading, Step
from haccp.rules.cook import HOLDS
from haccp.rules.figures import base
from haccp.rules.receive import KINDS
from haccp.wording import listed, span, temperature

RULE = "parasite.killed"
EXEMPT = "parasite exempt"
_PORK = ("pork", "fatty_meat")


def words_of_bag(case: Case) -> frozenset[str]:
    """The words by which the rows on parasites are chosen: a food is exempt only if every lot that may
    carry them is."""
    material = case.record.method.material
    kind = KINDS.get(material)
    words = case.words | ({kind} if kind else set()) | ({"pork"} if material in _PORK else set())
    carriers = _carriers(case.record.deliveries)
    return words | {EXEMPT} if carriers and all(EXEMPT in each.words for each in carriers) else words


def _carriers(deliveries: Iterable[Delivery]) -> list[Delivery]:
    return [each for each in deliveries if each.words & {"fish", "pork"}]


def check_parasites(case: Case) -> list[Finding]:
    """A bag whose words trigger rows on parasites meets one of heat or one of frost."""
    rows = case.ruleset.limits("parasite", words_of_bag(case))
    heat = [row for row in rows if row.quantity in HOLDS]
    frost = [row for row in rows if row.quantity == "freeze_hold"]
    if not heat and not frost:
        return []
    by_heat = _by_heat(case, heat)
    if by_heat is not None:
        return [by_heat]
    if frost:
        frozen = _by_frost(case, frost)
        if frozen.outcome is Outcome.MEETS or not _may_still_heat(case, heat):
            return [frozen]
        return []
    return [] if _may_still_heat(case, heat) else [_not_heated(case, heat)]


def _may_still_heat(case: Case, heat: Sequence[Limit]) -> bool:
    """Whether the cook that the method plans is still to come, and gets hot enough."""
    planned = any(case.record.method.set_point_c > row.amount.celsius for row in heat)
    return planned and case.out_at is None and not case.bag.finishes


def _by_heat(case: Case, rows: Sequence[Limit]) -> Finding | None:
    curves = case.heat.curves
    if not rows or curves is None or not case.heat.proves(Step.COOK):
        return None
    hold = best_held(rows, curves.times_s, curves.low_c)
    if not hold.met:
        return None
    held = span(hold.held_s) if hold.needed_s else temperature(hold.highest_c, hold.row.unit, "down")
    said = (
        f"Parasites: the core of bag {case.bag.code} held {held}; {hold.row.printed} needed "
        f"({hold.row.whose}): met, proven, so nothing had to be frozen for them."
    )
    return case.found(
        RULE,
        Step.COOK,
        Outcome.MEETS,
        said,
        limit=hold.row,
        measured=held,
        required=hold.row.printed,
        basis=curves.basis,
    )


def _not_heated(case: Case, rows: Sequence[Limit]) -> Finding:
    row = min(rows, key=lambda each: each.amount.celsius)
    said = (
        f"Parasites: nothing proves that the core of bag {case.bag.code} held {row.printed} "
        f"({row.whose}), and no other way is printed here."
    )
    return case.found(RULE, Step.COOK, Outcome.UNPROVEN, said, limit=row, required=row.printed)


def _by_frost(case: Case, rows: Sequence[Limit]) -> Finding:
    code = case.bag.code
    own = [each for each in case.record.freezings if each.bag and each.of == code]
    lots = _carriers(case.record.deliveries)
    named = {
        each.lot: [one for one in case.record.freezings if not one.bag and one.of == each.lot]
        for each in lots
    }
    short = [lot for lot, told in named.items() if not any(_proves(each, rows) for each in told)]
    ways = " or ".join(dict.fromkeys(row.printed for row in rows))
    row = max(rows, key=lambda each: (each.start is None, base(each)))
    if any(_proves(each, rows) for each in own) or (lots and not short):
        used = _row_met([*own, *(each for told in named.values() for each in told)], rows)
        said = (
            f"Parasites: the food of bag {code} was frozen as {used.printed} asks ({used.whose}): met, by "
            f"{_by_what([*own, *(each for told in named.values() for each in told)])}."
        )
        return case.found(
            RULE, Step.RECEIVE, Outcome.MEETS, said, limit=used, required=used.printed, entries=_entries(case)
        )
    told_of = [*own, *(each for lot in short for each in named[lot])]
    heated = "its core is not proven to have been hot enough for them, and"
    lots_said = listed([f"lot {each}" for each in short]) if short else "the food"
    if told_of and all(_misses(each, rows) for each in told_of):
        said = (
            f"Parasites: of bag {code} {heated} {lots_said} was frozen too short or not cold enough: "
            f"{_told(told_of[0])}; {ways} needed ({row.whose})."
        )
        return case.found(
            RULE, Step.RECEIVE, Outcome.FAILS, said, limit=row, required=ways, entries=_entries(case)
        )
    said = (
        f"Parasites: of bag {code} {heated} nothing shows that {lots_said} was frozen; {ways} needed "
        f"({row.whose})."
    )
    return case.found(
        RULE,
        Step.RECEIVE,
        Outcome.UNPROVEN,
        said,
        limit=row,
        required=ways,
        remedy="Ask the supplier for the paper on the freezing, or the exemption; log it with the lot.",
        entries=_entries(case),
    )


def _hold_s(row: Limit) -> float:
    return 0.0 if row.hold is None else row.hold.seconds


def _by_what(told: Sequence[Freezing]) -> str:
    papers = [each.statement for each in told if each.statement]
    return f"the supplier's paper {papers[0]}" if papers else "its readings"


def _told(freezing: Freezing) -> str:
    if freezing.stated_c is not None and freezing.stated_h is not None:
        return f"{temperature(freezing.stated_c)} for {freezing.stated_h:g} h by its paper"
    warmest = max((each.celsius for each in freezing.readings), default=None)
    return (
        "without a reading"
        if warmest is None
        else f"up to {temperature(warmest, rounding='up')} by its readings"
    )


def _row_met(told: Sequence[Freezing], rows: Sequence[Limit]) -> Limit:
    """The row that was met; of several the longest, which says most."""
    met = [row for row in rows if any(_meets(each, row) for each in told)]
    return max(met, key=_hold_s)


def _proves(freezing: Freezing, rows: Sequence[Limit]) -> bool:
    return any(_meets(freezing, row) for row in rows)


def _meets(freezing: Freezing, row: Limit) -> bool:
    """Whether a freezing is proven against one row: cold and long enough, and solid where it says so."""
    if row.start is not None and not _solid(freezing, row.start.exact_celsius):
        return False
    return _longest_s(freezing, row) >= _hold_s(row)


def _solid(freezing: Freezing, edge: Fraction) -> bool:
    """Whether it was frozen until solid at a temperature or colder."""
    coldest = [each for each in (freezing.solid_c, freezing.stated_c) if each is not None]
    return any(exact(each) <= edge for each in coldest)


def _longest_s(freezing: Freezing, row: Limit) -> float:
    """For how long [s] it was at the row's temperature or colder, by its paper or between its readings."""
    edge = base(row)
    longest = 0.0
    if freezing.stated_c is not None and freezing.stated_h is not None and freezing.statement:
        longest = freezing.stated_h * 60.0 * 60.0 if exact(freezing.stated_c) <= edge else 0.0
    first: datetime | None = None
    for each in sorted(freezing.readings, key=lambda reading: reading.at):
        if not each.trusted or not _cold(each, edge):
            first = first if not each.trusted else None
            continue
        first = first or each.at
        longest = max(longest, (each.at - first).total_seconds())
    return longest


def _cold(reading: Reading, edge: Fraction) -> bool:
    return exact(reading.celsius) + exact(reading.tolerance_k) <= edge


def _misses(freezing: Freezing, rows: Sequence[Limit]) -> bool:
    """Whether what was told of it can't meet any row: it tells both figures, and they do not do."""
    stated = freezing.stated_c is not None and freezing.stated_h is not None
    return (stated or len(freezing.readings) > 1) and not _proves(freezing, rows)


def _entries(case: Case) -> tuple[str, ...]:
    return tuple(each.entry for each in case.record.freezings if each.entry)


CHECKS: list[BagCheck] = [check_parasites]
