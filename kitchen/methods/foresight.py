"""What the rules say of a method before a bag is cooked to it, ready to be shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haccp.limits import ruleset
from haccp.materials import materials, media
from haccp.record import Finding
from haccp.sources import source
from kitchen.methods.actions import findings_of
from kitchen.methods.models import Method


@dataclass(frozen=True)
class Said:
    """One finding, with its limit and source in words."""

    finding: Finding
    cited: str


@dataclass(frozen=True)
class Foreseen:
    """Everything that the page of a method shows beside what was written."""

    findings: list[Said]
    material: str
    chill: str
    picture: Any = None
    caption: str = ""


def of(method: Method) -> Foreseen:
    """What is foreseen of a method under the ruleset of its day."""
    site = method.dish.site
    day = method.entry.recorded_at.astimezone(site.zone).date()
    rules = ruleset(site.regime, day)

    def cited(finding: Finding) -> str:
        if not finding.limit:
            return ""
        limit = rules.limit(finding.limit)
        edition = f", {limit.edition}" if limit.edition else ""
        title = source(limit.source).title
        return f"{limit.id}: {limit.printed}. {title}, {limit.section}{edition} ({limit.status})."

    findings = sorted(findings_of(method), key=lambda each: -each.outcome.rank)
    chill = media().get(method.chill_medium)
    return Foreseen(
        findings=[Said(each, cited(each)) for each in findings],
        material=materials()[method.material].name,
        chill=chill.name if chill else "not chilled: served at once",
    )
