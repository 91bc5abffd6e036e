"""The batch record: what the officer takes away from one batch.

It is made from the records as they stood when the print was entered, and from nothing else:
the same state gives the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string

from haccp.record import Assessment, BatchRecord
from kitchen.base.picture import Picture
from kitchen.batches.models import Batch
from kitchen.ledger.models import Entry, standing
from kitchen.papers.facts import STATES, Facts
from kitchen.papers.pdf import Attached, render
from kitchen.papers.proof import qr, short
from kitchen.papers.readings_csv import readings_csv
from kitchen.papers.steps import Steps
from kitchen.papers.wordings import Wordings
from kitchen.review import showing, signed, trail
from kitchen.review.assessing import State, judged
from kitchen.review.cited import cited_in
from kitchen.review.digest import record_digest
from kitchen.review.gather import gather
from kitchen.review.models import SignOff
from kitchen.review.page import after_signature
from kitchen.review.picture import core_picture

# What a record of this kind often holds and Bathbook is not told: said plainly, never left blank.
NOT_KEPT = (
    "version of the HACCP plan",
    "shift",
    "intended guests, portions planned",
    "temperature of the store before brining",
    "temperature, pick-up and discarding of the brine",
    "type and lot of the bags, check of the seal, wording of the label",
    "load of the bath and place of the bags in it",
    "whether the bags were whole after the cook",
    "shelf",
    "hot hold before serving",
    "who was told of the allergens",
)


@dataclass(frozen=True)
class Curve:
    """A picture and the bags that it stands for."""

    name: str
    picture: Picture


def curves(read: showing.Reading, gathered: BatchRecord, unit: str) -> list[Curve]:
    """One picture per distinct curve, that of the worst bags first."""
    bags = {each.code: each for each in gathered.bags}
    alike: dict[Any, list[showing.Group]] = {}
    for group in read.groups():
        key = (group.first.curve, group.first.hold_from, group.first.hold_until)
        alike.setdefault(key, []).append(group)
    found = []
    for groups in alike.values():
        numbers = sorted(number for group in groups for number in group.numbers)
        name = showing.numbers_in_words(numbers)
        members = [bags[str(number)] for number in numbers]
        first = groups[0].first
        title = f"Core curve of {name[0].lower()}{name[1:]} of batch {gathered.code}"
        picture = core_picture(
            gathered, members, first, read.cited, unit=unit, title=title, width=1000, height=400, size=16
        )
        if picture:
            found.append(Curve(name, picture))
    return found


@dataclass(frozen=True)
class Recorded:
    """An entry as it is printed."""

    line: trail.Line
    tablet: str


def recorded(lines: Sequence[trail.Line], until: Entry) -> list[Recorded]:
    """The trail up to the entry of the print."""
    return [
        Recorded(line, json.loads(line.entry.body)["tablet"]) for line in lines if line.entry.seq <= until.seq
    ]


def state_of(signature: SignOff | None, gathered: BatchRecord, assessment: Assessment) -> State:
    """Where the batch stands: does the newest signature cover what is known now?"""
    if signature is None:
        return State.OPEN
    same = signature.record_digest == record_digest(gathered, signature.at)
    return State.SIGNED if same and signature.outcome == assessment.outcome else State.REOPENED


def content(batch: Batch, gathered: BatchRecord, entry: Entry, address: str) -> dict[str, Any]:
    """Everything that the template prints, as of the print's own entry."""
    rules = batch.rules
    assessment = judged(batch, gathered)
    cited = cited_in(assessment, batch)
    read = showing.Reading(assessment, cited, showing.actions_of(batch))
    lines = [line for line in trail.lines(batch) if line.entry.seq <= entry.seq]
    signatures = list(standing(batch.sign_offs.all()).select_related("entry__person").order_by("entry__seq"))
    decided = showing.dispositions_of(batch)
    words = Wordings(batch.site)
    signature = signatures[-1] if signatures else None
    stands = state_of(signature, gathered, assessment)
    facts = Facts(batch, gathered, assessment, cited, decided, signature, stands, lines)
    return {
        "batch": batch,
        "site": batch.site,
        "regime": rules.name,
        "assessment": assessment,
        "answers": facts.answers(),
        "verifier": facts.verifier(),
        "curves": curves(read, gathered, batch.site.temperature_unit),
        "groups": read.groups(),
        "said": read.once(),
        "doubtful": read.doubtful(),
        "fails": any(each.fails for each in read.once()),
        "bases": list(dict.fromkeys(each.finding.basis for each in read.once() if ":" in each.finding.basis)),
        "cautions": list(dict.fromkeys(each.finding.caution for each in read.once() if each.finding.caution)),
        "sections": Steps(batch, gathered).sections(),
        "cited": list(cited.values()),
        "actions": showing.actions_of(batch),
        "dispositions": showing.decisions(decided),
        "state": STATES[stands],
        "after": after_signature(lines, signature) if signature and stands == State.REOPENED else [],
        "signatures": [(each, words.full(each.at)) for each in signatures],
        "trail": recorded(lines, entry),
        "not_kept": NOT_KEPT,
        "entry": entry,
        "printed_at": words.full(entry.recorded_at),
        "head": short(entry.digest),
        "ruleset": short(assessment.ruleset_digest),
        "since": signed.since(batch, signature),
        "address": address,
        "qr": qr(address, f"Opens the record of batch {batch.code}"),
    }


def batch_record(batch: Batch, entry: Entry, *, address: str) -> bytes:
    """The PDF; `entry` is the entry that says that it was printed."""
    gathered = gather(batch, entry.recorded_at)
    html = render_to_string("papers/batch_record.html", content(batch, gathered, entry, address))
    data = Attached(
        f"readings-{batch.code}.csv", "The readings that this record rests on", readings_csv(gathered)
    )
    return render(html, made_at=entry.recorded_at, attached=[data])
