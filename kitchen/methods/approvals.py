"""Approvals: an authority's word that this kitchen may work to other figures than its regime prints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from django.db.models import Q, QuerySet

from haccp import record as haccp_record
from haccp.limits import Amount, Limit, all_limits
from kitchen.ledger.models import Entry, standing
from kitchen.methods.models import Approval, Method


def of_method(method: Method) -> QuerySet[Approval]:
    """Every standing approval that may be about a method's food, ended ones too, newest first."""
    mine = standing(Approval.objects.filter(site=method.dish.site))
    about = mine.filter(Q(dish=None) | Q(dish=method.dish))
    return about.select_related("entry__person", "ended__person", "dish", "paper").order_by("-at", "-pk")


def approvals_of(method: Method, *, known: Entry | None = None) -> tuple[haccp_record.Approval, ...]:
    """The approvals for a method's food that stand now.

    With `known` (the entry that began a batch) those that stood then: an approval that is recorded or
    ended later changes nothing of a batch that was begun before.
    """
    found = of_method(method)
    if known is None:
        found = found.filter(ended=None)
    else:
        found = found.filter(Q(ended=None) | Q(ended__seq__gt=known.seq), entry__seq__lt=known.seq)
    return tuple(as_record(each) for each in found.order_by("entry__seq"))


def as_record(approval: Approval) -> haccp_record.Approval:
    """An approval as an assessment takes it."""
    return haccp_record.Approval(
        authority=approval.authority,
        reference=approval.reference,
        day=approval.day,
        allows=tuple(_allowance(each) for each in approval.allows),
        scope=frozenset(approval.scope),
        dish=approval.dish.name if approval.dish else "",
        until=approval.until,
        entry=str(approval.entry_id),
    )


def _allowance(said: Mapping[str, Any]) -> haccp_record.Allowance:
    figures = {name: None if said[name] is None else float(said[name]) for name in ("value", "hold")}
    return haccp_record.Allowance(limit=said["limit"], **figures)


@dataclass(frozen=True)
class Approved:
    """An approval as a page shows it."""

    row: Approval

    @property
    def allows(self) -> list[dict[str, str]]:
        """What it allows, limit by limit, in words."""
        return [{"limit": each["limit"], "words": in_words(each)} for each in self.row.allows]


def in_words(said: Mapping[str, Any]) -> str:
    """What an approval allows of one limit, beside what is printed."""
    limit = next((each for each in all_limits() if each.id == said["limit"]), None)
    if limit is None:
        return "no longer among the limits."
    if said["value"] is None and said["hold"] is None:
        return f"covers the duty “{limit.printed}”."
    return f"{figure(limit, said)} in place of {limit.printed}."


def figure(limit: Limit, said: Mapping[str, Any]) -> str:
    """The limit as it would be printed with the allowed figures; what is not replaced stays as it is."""
    value = limit.value if said["value"] is None else Fraction(said["value"])
    hold = limit.hold
    if said["hold"] is not None and hold is not None:
        hold = Amount(Fraction(said["hold"]), hold.unit)
    return replace(limit, value=value, hold=hold).printed
