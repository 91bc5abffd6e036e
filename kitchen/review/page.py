"""What the page of one batch at the Pass shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from haccp.record import Assessment, BatchRecord, Outcome
from kitchen.base.picture import Picture
from kitchen.batches.models import Batch
from kitchen.people.models import Site
from kitchen.review import showing, signed, trail
from kitchen.review.actions import MEANING, hindrances
from kitchen.review.assessing import State, current, state
from kitchen.review.cited import cited_in
from kitchen.review.forms import ActionForm, DecisionForm, SignForm
from kitchen.review.gather import gather
from kitchen.review.models import CorrectiveAction, Disposition
from kitchen.review.picture import core_picture


@dataclass(frozen=True)
class Drawn:
    """A group of bags with its curve, and what was decided about them.

    `as_for` names the bags at which the same curve is drawn already.
    """

    group: showing.Group
    chart: Picture | None
    as_for: str
    decided: tuple[tuple[str, Disposition], ...]


def drawn(
    read: showing.Reading,
    gathered: BatchRecord,
    decided: dict[int, Disposition],
    *,
    unit: str,
    **sizes: float,
) -> list[Drawn]:
    """Each group with its curve; its bags' decisions, those of one entry together."""
    bags = {each.code: each for each in gathered.bags}
    seen: dict[object, str] = {}
    found = []
    for group in read.groups():
        key = (group.first.curve, group.first.hold_from, group.first.hold_until)
        as_for = seen.setdefault(key, group.name) if group.first.curve else group.name
        members = [bags[str(number)] for number in group.numbers]
        drawn_here = as_for == group.name
        chart = (
            core_picture(gathered, members, group.first, read.cited, unit=unit, **sizes)
            if drawn_here
            else None
        )
        of_group = {number: decided[number] for number in group.numbers if number in decided}
        decisions = tuple(showing.decisions(of_group))
        found.append(Drawn(group, chart, "" if drawn_here else as_for, decisions))
    return found


def batch_of(site: Site, code: str) -> Batch | None:
    """A batch of this site by its code."""
    return Batch.objects.filter(site=site, code=code).select_related("site", "method__dish").first()


def decision_form(batch: Batch, assessment: Assessment, **bound: Any) -> DecisionForm:
    """The form that decides; bags that meet every limit say so beside their number."""
    notes = {int(each.code): str(each.outcome) for each in assessment.bags}
    waiting = [each.code for each in assessment.bags if each.outcome != Outcome.MEETS]
    decided = {str(number) for number in showing.dispositions_of(batch)}
    initial = {"bags": [code for code in waiting if code not in decided]}
    return DecisionForm(
        site=batch.site,
        bags=list(batch.bags.all()),
        notes=notes,
        initial=initial,
        auto_id="decide_%s",
        **bound,
    )


def action_form(batch: Batch, rule: str, **bound: Any) -> ActionForm:
    """The form for the corrective action on one rule."""
    return ActionForm(site=batch.site, initial={"rule": rule}, auto_id=f"act_{rule}_%s", **bound)


@dataclass(frozen=True)
class Deviation:
    """A rule that fails: where, what was done about it, and the form to say so."""

    said: tuple[showing.Said, ...]
    form: ActionForm

    @property
    def actions(self) -> tuple[CorrectiveAction, ...]:
        """What was done about it."""
        return self.said[0].actions


def deviations(batch: Batch, read: showing.Reading, acting: ActionForm | None = None) -> list[Deviation]:
    """Every rule that fails, each once."""
    rules: dict[str, list[showing.Said]] = {}
    for said in read.doubtful():
        if said.fails:
            rules.setdefault(said.finding.rule, []).append(said)
    found = []
    for rule, said in rules.items():
        returned = acting if acting and acting.data.get("rule") == rule else None
        found.append(Deviation(tuple(said), returned or action_form(batch, rule)))
    return found


def batch_page(batch: Batch, now: datetime, **forms: Any) -> dict[str, Any]:
    """The context of a batch's page; `forms` are those that came back with questions."""
    assessment = current(batch, now)
    gathered = gather(batch, now)
    decided = showing.dispositions_of(batch)
    stands = state(batch)
    signature = showing.signature_of(batch)
    lines = trail.lines(batch)
    read = showing.Reading(assessment, cited_in(assessment, batch), showing.actions_of(batch))
    acting = forms.pop("acting", None)
    context = {
        "batch": batch,
        "assessment": assessment,
        "state": str(stands),
        "signature": signature,
        "after": after_signature(lines, signature) if stands == State.REOPENED else [],
        "closed": stands == State.SIGNED,
        "since": signed.since(batch, signature),
        "of_batch": read.of_batch(),
        "drawn": drawn(read, gathered, decided, unit=batch.site.temperature_unit),
        "deviations": deviations(batch, read, acting),
        "decision_form": decision_form(batch, assessment),
        "sign_form": SignForm(site=batch.site, auto_id="sign_%s"),
        "hindrances": hindrances(batch, assessment),
        "meaning": MEANING,
        "trail": lines,
        "now": now,
    }
    return {**context, **forms}


def after_signature(lines: list[trail.Line], signature: Any) -> list[trail.Line]:
    """What came after the signature; a print changes nothing and is left out."""
    return [
        line
        for line in lines
        if line.entry.seq > signature.entry.seq and line.entry.kind not in ("batch.print", "batch.sign")
    ]
