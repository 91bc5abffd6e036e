"""What is done at the Pass: act on a deviation, decide about bags, sign a batch off."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from haccp.record import Assessment, Outcome
from kitchen.base.refusals import Refused
from kitchen.batches.actions import bags_of, named
from kitchen.batches.models import Bag, Batch
from kitchen.finishing.actions import gone
from kitchen.ledger.chain import Hand, head, record
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects
from kitchen.review import held, signed
from kitchen.review.assessing import refresh
from kitchen.review.digest import record_digest
from kitchen.review.gather import gather
from kitchen.review.merging import numbers_in_words
from kitchen.review.models import CorrectiveAction, Disposition, SignOff
from kitchen.review.showing import dispositions_of

MEANING = "I have read this record and decided about every bag in it."


def _head_chef(hand: Hand) -> None:
    if not (hand.person and hand.person.is_head_chef):
        raise Refused("Only the head chef decides at the Pass.")


def take_action(
    *, batch: Batch, rule: str, finding: str, cause: str, action: str, hand: Hand, prevention: str = ""
) -> Entry:
    """Record a corrective action on one finding."""
    _head_chef(hand)
    if not cause.strip():
        raise Refused("Say what caused it.", "cause")
    if not action.strip():
        raise Refused("Say what was done about it.", "action")
    said = {
        "batch": batch.code,
        "rule": rule,
        "finding": finding,
        "cause": cause.strip(),
        "action": action.strip(),
        "prevention": prevention.strip(),
    }
    return record("action.take", said, hand=hand)


@projects("action.take", correctable=True)
def _action_take(entry: Entry, said: dict[str, Any]) -> None:
    batch = Batch.objects.get(site=entry.site, code=said.pop("batch"))
    CorrectiveAction.objects.create(entry=entry, at=entry.happened_at, batch=batch, **said)


def decide(*, bags: Sequence[Bag], decision: str, reason: str, hand: Hand) -> Entry:
    """Release, rework or discard bags of one batch, with the reason."""
    _head_chef(hand)
    if decision not in Disposition.Decision.values:
        raise Refused("Choose release, rework or discard.", "decision")
    if not reason.strip():
        raise Refused("Give the reason: the officer reads it beside the decision.", "reason")
    said = {**named(bags), "decision": decision, "reason": reason.strip()}
    return record("bag.decide", said, hand=hand)


@projects("bag.decide", correctable=True)
def _bag_decide(entry: Entry, said: dict[str, Any]) -> None:
    for bag in bags_of(entry, said):
        Disposition.objects.create(
            entry=entry, at=entry.happened_at, bag=bag, decision=said["decision"], reason=said["reason"]
        )


def disposition(bag: Bag) -> Disposition | None:
    """The newest standing disposition of a bag."""
    return standing(bag.dispositions.all()).order_by("-entry__seq").first()


def hindrances(batch: Batch, assessment: Assessment) -> list[str]:
    """Why a batch can't be signed yet, in words; none when it can."""
    found = held.hindrances(batch)
    bags = {str(bag.number): bag for bag in batch.bags.all()}
    if not bags:
        found.append("No bag was sealed.")
    acted = set(standing(batch.corrective_actions.all()).values_list("rule", flat=True))
    decided = dispositions_of(batch)
    waiting: dict[Outcome, list[int]] = {}
    for each in assessment.bags:
        if each.outcome != Outcome.MEETS and int(each.code) not in decided:
            waiting.setdefault(each.outcome, []).append(int(each.code))
    for outcome, numbers in waiting.items():
        waits = "waits" if len(numbers) == 1 else "wait"
        found.append(f"{numbers_in_words(numbers)} ({outcome}) {waits} for a decision.")
    failed: dict[str, str] = {}
    for each in assessment.all_findings:
        if each.outcome == Outcome.FAILS and each.rule not in acted:
            failed.setdefault(each.rule, each.sentence)
    found += [f"No corrective action yet for: {failed[rule]}" for rule in sorted(failed)]
    for bag in bags.values():
        settled = decided.get(bag.number)
        if settled and settled.decision == Disposition.Decision.DISCARD and not gone(bag):
            found.append(f"Bag {bag.number} is to be discarded: log that it was.")
    return found


def sign_batch(*, batch: Batch, hand: Hand, now: datetime) -> SignOff:
    """Sign a batch off over what is known now."""
    _head_chef(hand)
    assessment = refresh(batch, now)
    waiting = hindrances(batch, assessment)
    if waiting:
        raise Refused(" ".join(waiting))
    before = head(batch.site)
    said = {
        "batch": batch.code,
        "meaning": MEANING,
        "record_digest": record_digest(gather(batch, now)),
        "outcome": str(assessment.outcome),
        "ruleset": assessment.ruleset_digest,
        "engine": assessment.engine,
        "head": before.digest if before else "",
        "findings": [
            {"bag": each.bag, "outcome": each.outcome, "limit": each.limit, "sentence": each.sentence}
            for each in assessment.all_findings
        ],
    }
    with transaction.atomic():
        sign_off = SignOff.objects.get(entry=record("batch.sign", said, hand=hand))
        signed.keep_signed(sign_off, assessment, batch.rules, now)
    return sign_off


@projects("batch.sign")
def _batch_sign(entry: Entry, said: dict[str, Any]) -> None:
    SignOff.objects.create(
        entry=entry,
        at=entry.happened_at,
        batch=Batch.objects.get(site=entry.site, code=said["batch"]),
        record_digest=said["record_digest"],
        outcome=said["outcome"],
        meaning=said["meaning"],
    )


def note_print(*, batch: Batch, assessment: Assessment, hand: Hand) -> Entry:
    """A batch record was printed: keep what it said, by which rules and which engine."""
    said = {
        "batch": batch.code,
        "outcome": str(assessment.outcome),
        "ruleset": assessment.ruleset_digest,
        "engine": assessment.engine,
        "findings": [[each.bag, str(each.outcome), each.sentence] for each in assessment.all_findings],
    }
    return record("batch.print", said, hand=hand)


@projects("batch.print")
def _batch_print(entry: Entry, said: dict[str, Any]) -> None:
    """A print leaves no fact beside its entry."""
