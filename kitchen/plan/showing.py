"""A plan ready to be shown: a signed version or the draft, from its content and nothing else.

Names of people come from their staff codes at the moment of printing: they stand outside the chain.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from kitchen.base.picture import Picture
from kitchen.ledger.chain import head
from kitchen.papers.proof import qr, short
from kitchen.papers.wordings import Wordings
from kitchen.people.models import Person, Site
from kitchen.plan import tables
from kitchen.plan.changes import Change, changes
from kitchen.plan.content import Content, compose, plan_digest
from kitchen.plan.drawing import core_picture, flow_picture
from kitchen.plan.models import PlanVersion
from kitchen.plan.parts import Item

# The parts of the plan by their anchors, as `plan/body.html` and `plan/paper.html` number them.
CONTENTS = (
    ("scope", "1 · Scope"),
    ("team", "2 · Team"),
    ("guests", "3 · Guests and intended use"),
    ("dishes", "4 · Dishes"),
    ("flow", "5 · Flow diagrams"),
    ("hazards", "6 · Hazards, controls and decisions"),
    ("points", "7 · Critical control points"),
    ("limits", "8 · Limits in force, with their sources"),
    ("prerequisites", "9 · Prerequisites"),
    ("validation", "10 · Validation"),
    ("verification", "11 · Verification"),
    ("records", "12 · Records, and how long they are kept"),
    ("training", "13 · Training"),
    ("approvals", "14 · Approvals"),
    ("review", "15 · Review"),
    ("sources", "16 · Sources"),
    ("signatures", "17 · Version and signatures"),
)


@dataclass(frozen=True)
class Shown:
    """A content with what ties it to the record: the version that was signed, or None for the draft."""

    site: Site
    content: Content
    version: PlanVersion | None
    before: PlanVersion | None
    made_at: datetime

    @property
    def title(self) -> str:
        """What it is called on its pages."""
        return f"version {self.version.version}" if self.version else "draft, not signed"

    @property
    def differences(self) -> list[Change]:
        """What differs from the version before; nothing where there is none."""
        return changes(self.before.content, self.content) if self.before else []

    @property
    def digest(self) -> str:
        """The digest of what it says."""
        return self.version.digest if self.version else plan_digest(self.content)


def signed(version: PlanVersion) -> Shown:
    """A signed version."""
    older = version.site.plans.filter(version__lt=version.version).order_by("-version")
    before = older.select_related("entry").first()
    return Shown(version.site, version.content, version, before, version.entry.recorded_at)


def draft(site: Site, now: datetime) -> Shown:
    """The plan as it would be signed now."""
    before = site.plans.select_related("entry").order_by("-version").first()
    newest = head(site)
    return Shown(site, compose(site, now), None, before, newest.recorded_at if newest else now)


@dataclass(frozen=True)
class FamilyShown:
    """A dish family on paper."""

    letter: str
    name: str
    dishes: Sequence[Item]
    flow: Picture


@dataclass(frozen=True)
class Validated:
    """A method's validation on paper."""

    name: str
    facts: Sequence[Sequence[str]]
    findings: Sequence[dict[str, str]]
    picture: Picture | None
    trials: Sequence[Sequence[str]]


def context(shown: Shown) -> dict[str, Any]:
    """Everything that the templates of a plan print."""
    plan, known = shown.content["plan"], shown.content["evidence"]
    letters = tables.letters_of(plan["families"])
    people = {each.code: each for each in Person.objects.filter(site=shown.site)}
    words = Wordings(shown.site)
    seq, digest = known["head"]["seq"], known["head"]["digest"]
    if shown.version:
        seq, digest = shown.version.entry.seq, shown.version.entry.digest
    site_facts = dict(plan["site"][0]["facts"])
    return {
        "shown": shown,
        "site": shown.site,
        "plan": plan,
        "content": shown.content,
        "regime": site_facts["Regime"],
        "ruleset": short(site_facts["Ruleset"]),
        "plan_digest": shown.digest,
        "seq": seq,
        "head": short(digest),
        "head_in_full": digest,
        "qr": qr(
            f"{shown.site.name}: HACCP plan, {shown.title}. Head no. {seq} {digest}", "Head of this plan"
        ),
        "signed_at": words.full(shown.version.entry.recorded_at) if shown.version else "",
        "signer": shown.version.entry.person if shown.version else None,
        "team": [_member(each, people) for each in plan["team"]],
        "families": tables.families(plan["families"], letters),
        "shown_families": families(plan["families"], letters),
        "confirmed": _confirmed(known["confirmed"], people),
        "hazards": tables.hazards(plan["families"], letters),
        "points": tables.points(plan["points"], letters),
        "limits": tables.limits(plan["limits"]),
        "prerequisites": tables.of_items(
            "prerequisites", plan["prerequisites"], "Prerequisite", ("What", "Record")
        ),
        "validated": validated(plan["validation"], known["trials"], shown.site.temperature_unit),
        "equipment": tables.of_items(
            "equipment", plan["equipment"], "Equipment", ("What it is", "Band", "Volume", "Probe", "Read")
        ),
        "checked": shared(plan["calibration"], ("Checked in", "How often")),
        "calibration": calibration(plan["calibration"], known["checks"]),
        "verification": tables.of_items(
            "verification", plan["verification"], "Check", ("What", "Who", "When", "Record")
        ),
        "duties": tables.of_items(
            "duties", plan["duties"], "Duty", ("Asked", "For food that is", "Source", "Status"), keyed=True
        ),
        "training": tables.of_items("training", plan["training"], "Topic", ("Who",)),
        "differences": shown.differences,
        "contents": CONTENTS,
    }


def families(found: Sequence[Item], letters: dict[str, str]) -> list[FamilyShown]:
    """The families with their pictures."""
    return [
        FamilyShown(
            letters[each["key"]], each["name"], each["dishes"], flow_picture(each["name"], each["way"])
        )
        for each in found
    ]


def validated(items: Sequence[Item], trials: Sequence[Item], unit: str) -> list[Validated]:
    """The validation of each method with its curve and the cores that were probed."""
    probed = {each["name"]: each["facts"] for each in trials}
    return [
        Validated(
            each["name"],
            [fact for fact in each["facts"] if not fact[0].startswith("Finding ")],
            each["findings"],
            core_picture(each["name"], each["curve"], unit),
            probed.get(each["name"], []),
        )
        for each in items
    ]


def calibration(items: Sequence[Item], checks: Sequence[Item]) -> tables.Table:
    """The probes with their newest checks; what is the same for all of them stands in `shared`."""
    newest = {each["key"]: each["facts"] for each in checks}
    joined = [{**each, "facts": [*each["facts"], *newest.get(each["key"], [])]} for each in items]
    heads = ("Serial number", "Tolerance", "In use", "Last checks")
    return tables.of_items("calibration", joined, "Probe", heads)


def shared(items: Sequence[Item], labels: Sequence[str]) -> list[str]:
    """What is said of every one of some items, once for each different text."""
    return list(dict.fromkeys(text for each in items for label, text in each["facts"] if label in labels))


def _member(each: Item, people: dict[str, Person]) -> dict[str, str]:
    facts = dict(each["facts"])
    person = people.get(each["key"])
    return {
        "name": person.name if person else each["key"],
        "code": each["key"],
        "role": facts["Role"],
        "part": facts["Part in the plan"],
        "competence": facts.get("Competence", ""),
    }


def _confirmed(said: dict[str, str], people: dict[str, Person]) -> dict[str, str]:
    if not said:
        return {}
    person = people.get(said["code"])
    return {**said, "name": person.name if person else said["code"]}
