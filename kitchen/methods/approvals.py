"""Approvals: an authority's word that this kitchen may work to other figures than its regime prints."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Q, QuerySet

from haccp import record as haccp_record
from haccp.limits import Amount, Limit, all_limits
from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects
from kitchen.methods.models import Approval, ApprovalPaper, Dish, Method

MOST_BYTES = 10 * 2**20
KINDS = {b"%PDF-": "application/pdf", b"\x89PNG\r\n\x1a\n": "image/png", b"\xff\xd8\xff": "image/jpeg"}


def keep_paper(*, site: Any, name: str, content: bytes, now: datetime) -> ApprovalPaper:
    """Keep the document of an approval as it came; the same bytes are kept once."""
    kind = next((kind for begins, kind in KINDS.items() if content.startswith(begins)), None)
    if kind is None:
        raise Refused("Keep a PDF, a PNG or a JPEG. Photograph the paper if there is no file of it.", "paper")
    if len(content) > MOST_BYTES:
        raise Refused("That file is larger than 10 MB. Keep a smaller scan of it.", "paper")
    facts = {"name": name[:120], "kind": kind, "content": content, "kept_at": now}
    digest = hashlib.sha256(content).hexdigest()
    return ApprovalPaper.objects.get_or_create(site=site, digest=digest, defaults=facts)[0]


def record_approval(
    *,
    authority: str,
    reference: str,
    day: date,
    allows: Sequence[Mapping[str, Any]],
    hand: Hand,
    until: date | None = None,
    dish: Dish | None = None,
    scope: Iterable[str] = (),
    note: str = "",
    paper: ApprovalPaper | None = None,
) -> Approval:
    """Record what an authority allows: by limit, `value` and `hold` in the units in which it prints them."""
    if not (hand.person and hand.person.is_head_chef):
        raise Refused("Only the head chef records an approval.")
    said = {
        "authority": _given(authority, "authority", "Name the authority that approved."),
        "reference": _given(
            reference, "reference", "Give the authority's reference: the officer asks for it."
        ),
        "day": day,
        "until": until,
        "dish": dish.name if dish else None,
        "scope": sorted(scope),
        "allows": [_allowed(each) for each in allows],
        "note": note.strip(),
        "paper": paper.digest if paper else None,
    }
    if until and until < day:
        raise Refused("It ends before it begins.", "until")
    if not allows:
        raise Refused("Choose the limit that the approval is about.", "limit_1")
    limits = [each["limit"] for each in said["allows"]]
    if len(set(limits)) < len(limits):
        raise Refused("Each limit once.", "limit_1")
    return Approval.objects.get(entry=record("approval.record", said, hand=hand))


def _given(text: str, field: str, refusal: str) -> str:
    if not text.strip():
        raise Refused(refusal, field)
    return text.strip()


def _allowed(said: Mapping[str, Any]) -> dict[str, Any]:
    """One limit with its allowed figures, refused where it prints no such figure."""
    limit = next((each for each in all_limits() if each.id == said["limit"]), None)
    if limit is None:
        raise Refused(f"There is no limit {said['limit']}.", "limit_1")
    figures = {name: said.get(name) for name in ("value", "hold")}
    if figures["value"] is not None and limit.value is None:
        raise Refused(f"{limit.id} is a duty in words: it has no figure to replace.", "limit_1")
    if figures["hold"] is not None and limit.hold is None:
        raise Refused(f"{limit.id} prints no hold to replace.", "limit_1")
    if limit.value is not None and figures["value"] is None and figures["hold"] is None:
        raise Refused(f"Type the figure that is allowed in place of {limit.printed}.", "limit_1")
    texts = {name: None if value is None else f"{Decimal(value):f}" for name, value in figures.items()}
    return {"limit": limit.id, **texts}


@projects("approval.record", correctable=True)
def _approval_record(entry: Entry, said: dict[str, Any]) -> None:
    dish, paper = said.pop("dish"), said.pop("paper")
    Approval.objects.create(
        entry=entry,
        at=entry.happened_at,
        site=entry.site,
        dish=Dish.objects.get(site=entry.site, name=dish) if dish else None,
        paper=ApprovalPaper.objects.get(site=entry.site, digest=paper) if paper else None,
        **said,
    )


def end_approval(*, approval: Approval, reason: str, hand: Hand) -> Entry:
    """It was taken back, or the kitchen needs it no more: batches begun from now on go without it."""
    if not (hand.person and hand.person.is_head_chef):
        raise Refused("Only the head chef ends an approval.")
    if not reason.strip():
        raise Refused("Say why it ends.", "reason")
    if approval.ended_id and not taken_before(hand):
        raise Refused("It has ended already.")
    return record("approval.end", {"approval": approval.entry_id, "reason": reason.strip()}, hand=hand)


@projects("approval.end")
def _approval_end(entry: Entry, said: dict[str, Any]) -> None:
    Approval.objects.filter(site=entry.site, entry_id=said["approval"]).update(ended=entry)


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
