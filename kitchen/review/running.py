"""What is still going on: a step whose end lies ahead is no outcome yet, and is said in words of the trade.

A finding is *running* while it is unproven only because its time has not come: the hold is
still being earned, the chill has until a moment ahead. The outcome words stay what they are;
nothing here changes what was found or what may be signed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from haccp.record import Assessment, BagAssessment, Finding, Outcome, Step, worst
from kitchen.base import moments
from kitchen.batches.models import Batch
from kitchen.review.cited import cite

# What a bag that was not in a bath yet is found to be.
BEFORE_THE_BATH = "cook.begun"


@dataclass(frozen=True)
class Stands:
    """How something stands: its outcome, None while nothing but time is missing, and what is going on."""

    outcome: Outcome | None
    words: str = ""

    @property
    def waits(self) -> bool:
        """Whether it is too early to decide."""
        return self.outcome is None


def is_running(finding: Finding, now: datetime) -> bool:
    """Whether a finding is unproven only because its time has not come."""
    if finding.outcome != Outcome.UNPROVEN:
        return False
    ahead = finding.remedy_by is not None and finding.remedy_by > now
    return ahead or finding.rule == BEFORE_THE_BATH


def overtaken(assessment: Assessment, made_at: datetime, now: datetime) -> bool:
    """Whether a moment that was ahead when it was assessed has come since."""
    return any(
        each.remedy_by is not None and made_at <= each.remedy_by <= now for each in assessment.all_findings
    )


def of_batch(assessment: Assessment, batch: Batch, now: datetime) -> Stands:
    """How a batch stands."""
    if not assessment.bags and assessment.outcome == Outcome.UNPROVEN:
        left = worst([each.outcome for each in assessment.findings] or [Outcome.MEETS])
        return Stands(None if left == Outcome.MEETS else left, "no bag sealed yet")
    return _stands(assessment.all_findings, assessment.outcome, batch, now)


def of_bag(found: BagAssessment, batch: Batch, now: datetime) -> Stands:
    """How one bag stands."""
    return _stands(found.findings, found.outcome, batch, now)


def chill_due(found: BagAssessment, batch: Batch, now: datetime) -> tuple[datetime, str] | None:
    """The next thing that is due in the chill of a bag, and what it is, in words."""
    ahead = [each for each in found.findings if each.step == Step.CHILL and is_running(each, now)]
    if not ahead:
        return None
    first = min(ahead, key=lambda each: each.remedy_by or now)
    known = {"chill.begun": "the chill must have begun", "chill.stored": "it must be in the store"}
    what = known.get(first.rule) or f"{_end(first, batch)} is due in the core"
    return (first.remedy_by, what) if first.remedy_by else None


def _stands(findings: Iterable[Finding], outcome: Outcome, batch: Batch, now: datetime) -> Stands:
    running, rest = [], []
    for each in findings:
        (running if is_running(each, now) else rest).append(each)
    if not running:
        return Stands(outcome)
    left = worst([each.outcome for each in rest]) if rest else Outcome.MEETS
    words = "; ".join(_words(running, batch, now))
    return Stands(None if left == Outcome.MEETS else left, words)


def _words(running: list[Finding], batch: Batch, now: datetime) -> Iterator[str]:
    """The cook by the last hold to be proven, each chill by the first deadline of its kind."""
    zone = batch.site.timezone
    today = moments.local(now, zone).date()
    due: dict[str, list[Finding]] = {}
    for each in running:
        due.setdefault(each.rule, []).append(each)
    if holds := [each.remedy_by for each in due.get("cook.hold", ()) if each.remedy_by]:
        until = moments.clock(moments.minute_up(max(holds)), zone, today)
        yield f"in the bath, hold proven {until} if the bath stays in its band"
    if begins := [each.remedy_by for each in due.get("chill.begun", ()) if each.remedy_by]:
        yield f"out of the bath, into the chill by {moments.clock(min(begins), zone, today)}"
    if warm := [each for each in due.get("cook.time_below", ()) if each.remedy_by]:
        first = min(warm, key=lambda each: each.remedy_by or now)
        by = moments.clock(first.remedy_by, zone, today)
        yield f"core to be at {_end(first, batch)}, or out of the bath, by {by}"
    if stored := [each.remedy_by for each in due.get("chill.stored", ()) if each.remedy_by]:
        yield f"cold and into the store by {moments.clock(min(stored), zone, today)}"
    stages = [each for each in due.get("chill.stage", ()) if each.remedy_by]
    if stages:
        first = min(stages, key=lambda each: each.remedy_by or now)
        due_by = f"{_end(first, batch)} due by {moments.clock(first.remedy_by, zone, today)}"
        yield due_by if begins else f"chilling, {due_by}"
    if BEFORE_THE_BATH in due and len(due) == 1:
        yield "not in the bath yet"


def _end(stage: Finding, batch: Batch) -> str:
    """The temperature at which a row's time ends."""
    cited = cite(stage.limit, batch) if stage.limit else None
    return str(cited.row.end) if cited and cited.row.end else "its end"
