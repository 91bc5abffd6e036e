"""Approvals: what an authority lets a kitchen do in place of what its regime prints.

A kitchen may be stricter than its regime without asking anyone. Looser it may be only by an approval that
names the limit, runs on the batch's day and covers its food and dish. The rules then judge by the figure
that was approved, under the limit's own id, and each finding that rests on one says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from haccp.limits import Amount, Limit, Ruleset, exact
from haccp.record import Allowance, Approval, Finding
from haccp.wording import Clock

__all__ = ["Covered", "amended", "covering", "fits", "looser", "said_of", "with_approvals"]

# By limit, the approval that covers it and what it allows.
Covered = Mapping[str, tuple[Approval, Allowance]]


def covering(
    ruleset: Ruleset, approvals: Iterable[Approval], *, words: frozenset[str], dish: str, on: date
) -> dict[str, tuple[Approval, Allowance]]:
    """By limit, the newest approval that covers it for a food on a day, and what it allows.

    An approval of a limit that is not in force here, or that prints no such figure, covers nothing.
    """
    have = {each.id: each for each in ruleset.rows}
    found: dict[str, tuple[Approval, Allowance]] = {}
    for approval in sorted(approvals, key=lambda each: each.day):
        for limit in (each.limit for each in approval.allows):
            allowed = approval.allowance(limit, words=words, dish=dish, on=on)
            if allowed is not None and limit in have and fits(have[limit], allowed):
                found[limit] = (approval, allowed)
    return found


def fits(row: Limit, allowed: Allowance) -> bool:
    """Whether a limit prints the figures that an allowance puts in their place, and they are numbers."""
    if allowed.value is not None and (row.value is None or not math.isfinite(allowed.value)):
        return False
    return allowed.hold is None or (row.hold is not None and math.isfinite(allowed.hold))


def amended(ruleset: Ruleset, covered: Covered) -> Ruleset:
    """The ruleset with the approved figures in place of the printed ones."""
    if not covered:
        return ruleset
    rows = tuple(_amended(row, covered[row.id][1]) if row.id in covered else row for row in ruleset.rows)
    return replace(ruleset, rows=rows)


def _amended(row: Limit, allowed: Allowance) -> Limit:
    changes: dict[str, object] = {}
    if allowed.value is not None:
        changes |= {"value": exact(allowed.value), "also": None}
    if allowed.hold is not None and row.hold is not None:
        changes["hold"] = Amount(exact(allowed.hold), row.hold.unit)
    return replace(row, **changes)  # type: ignore[arg-type]


def looser(row: Limit, allowed: Allowance) -> bool:
    """Whether an allowance asks less than the row: a figure further on, or a shorter hold.

    An allowance without a figure covers a duty and counts as looser.
    """
    if allowed.value is None and allowed.hold is None:
        return True
    value = row.value if allowed.value is None else exact(allowed.value)
    if value is not None and row.value is not None and value != row.value:
        further = value > row.value if row.operator in ("<=", "within") else value < row.value
        if further:
            return True
    return allowed.hold is not None and row.hold is not None and exact(allowed.hold) < row.hold.value


def said_of(approval: Approval) -> str:
    """An approval in words: who, by which reference, of what day."""
    until = f" until {Clock.date(approval.until)}" if approval.until is not None else ""
    return f"Approved by {approval.authority}, {approval.reference}, {Clock.date(approval.day)}{until}."


def with_approvals(findings: Sequence[Finding], ruleset: Ruleset, covered: Covered) -> list[Finding]:
    """The findings, each that rests on an approved figure saying whose approval that is.

    `ruleset` is the one as printed, so that the printed figure can be named beside the approved one.
    """
    return [_with(each, ruleset, covered) if each.limit in covered else each for each in findings]


def _with(finding: Finding, ruleset: Ruleset, covered: Covered) -> Finding:
    assert finding.limit is not None
    approval, allowed = covered[finding.limit]
    row = ruleset.limit(finding.limit)
    printed = "" if allowed.value is None and allowed.hold is None else f" Printed is {row.printed}."
    entries = finding.entries if not approval.entry else (*finding.entries, approval.entry)
    return replace(finding, sentence=f"{finding.sentence}{printed} {said_of(approval)}", entries=entries)
