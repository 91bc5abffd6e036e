"""What is done about dishes, methods, and approvals of other figures than the regime prints."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from haccp.approvals import amended, covering, with_approvals
from haccp.case import words_of
from haccp.limits import Ruleset, all_limits
from haccp.plan import check_method
from haccp.record import Finding, Outcome
from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.methods.approvals import approvals_of
from kitchen.methods.models import Approval, ApprovalPaper, Dish, Method
from kitchen.people.kept import keep
from kitchen.people.regime import rules_of

BAND_K = 0.5
MOST_BYTES = 10 * 2**20
KINDS = {b"%PDF-": "application/pdf", b"\x89PNG\r\n\x1a\n": "image/png", b"\xff\xd8\xff": "image/jpeg"}


def findings_of(method: Method, day: date) -> list[Finding]:
    """What the rules of a day say of a method before a bag is ever cooked to it."""
    return findings_under(method, rules_of(method.dish.site, day))


def findings_under(method: Method, rules: Ruleset) -> list[Finding]:
    """The same under any ruleset; where an approval stands, its figure is asked and not the printed one."""
    facts = method.facts
    covered = covering(
        rules, approvals_of(method), words=words_of(facts), dish=method.dish.name, on=rules.day
    )
    found = check_method(
        facts,
        amended(rules, covered),
        shape=method.shape,
        thickness_tolerance_mm=float(method.thickness_tolerance_mm),
        band_k=BAND_K,
    )
    return with_approvals(found, rules, covered)


def draft_method(*, dish: str, hand: Hand, **facts: Any) -> Method:
    """Write the next version of a dish's method; the dish is made with its first."""
    dish = dish.strip()
    if not dish:
        raise Refused("Name the dish.", "dish")
    with transaction.atomic():
        again = taken_before(hand)
        if again and again.kind == "method.draft":
            version = again.said["version"]
        else:
            last = Method.objects.filter(dish__site=hand.site, dish__name=dish).order_by("-version").first()
            version = last.version + 1 if last else 1
        said = {"dish": dish, "version": version, **facts}
        entry = record("method.draft", said, hand=hand)
        return Method.objects.get(entry=entry)


@projects("method.draft")
def _method_draft(entry: Entry, said: dict[str, Any]) -> None:
    dish, _ = Dish.objects.get_or_create(site=entry.site, name=said.pop("dish"), defaults={"entry": entry})
    Method.objects.create(dish=dish, entry=entry, **said)


def sign_method(*, method: Method, hand: Hand) -> Method:
    """Sign a version. One that can't reach its limit is refused, with the reason."""
    if not (hand.person and hand.person.is_head_chef):
        raise Refused("Only the head chef signs a method.")
    if method.signed_id:
        raise Refused("This version is signed already. Write a new version to change it.")
    method.refresh_from_db()
    today = hand.moment.astimezone(hand.site.zone).date()
    failing = [each.sentence for each in findings_of(method, today) if each.outcome == Outcome.FAILS]
    if failing:
        raise Refused(" ".join(failing))
    rules = rules_of(method.dish.site, today)
    said = {
        "dish": method.dish.name,
        "version": method.version,
        "meaning": "This method may be cooked to.",
        "ruleset": rules.digest,
    }
    with transaction.atomic():
        keep(rules, hand.moment)
        record("method.sign", said, hand=hand)
    method.refresh_from_db()
    return method


@projects("method.sign")
def _method_sign(entry: Entry, said: dict[str, Any]) -> None:
    Method.objects.filter(dish__site=entry.site, dish__name=said["dish"], version=said["version"]).update(
        signed=entry
    )


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
