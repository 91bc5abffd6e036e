"""The content of the plan as it follows from what the kitchen has: nothing is typed in by hand.

Plain values alone, so that a version can be signed as an entry, compared with another and printed again.
`plan` is what a version is made of; `evidence` is what was known on its day.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from haccp.assess import ENGINE
from haccp.limits import Ruleset
from kitchen.base.moments import local
from kitchen.ledger import canonical
from kitchen.methods.models import Method
from kitchen.papers.wordings import Wordings
from kitchen.people.models import Site
from kitchen.people.regime import rules_of
from kitchen.plan import describing, keeping, points
from kitchen.plan.approvals import approvals
from kitchen.plan.evidence import evidence
from kitchen.plan.families import Family, families, in_force, numbered
from kitchen.plan.parts import Item, item
from kitchen.plan.validating import validation

FORM = 1
Content = dict[str, Any]


def compose(site: Site, now: datetime, methods: Sequence[Method] | None = None) -> Content:
    """The plan of a site as of a moment: of all its methods in force, or of these alone."""
    day = local(now, site.timezone).date()
    rules = rules_of(site, day)
    found = families(in_force(site) if methods is None else methods)
    numbers = numbered(found)
    limits = keeping.limits_used(found, rules)
    told = [_family(each, numbers, rules) for each in found]
    flows = flow_digest(told)
    content: Content = {
        "form": FORM,
        "day": day,
        "day_words": Wordings.day(day),
        "review_by": keeping.years(day),
        "engine": ENGINE,
        "flows": flows,
        "plan": {
            "site": [
                item(
                    "site",
                    site.name,
                    [
                        ("Kitchen", site.name),
                        ("Regime", f"{rules.name} ({rules.regime})"),
                        ("Ruleset", rules.digest),
                        ("Time zone", site.timezone),
                        ("Height above the sea", f"{site.altitude_m} m"),
                    ],
                )
            ],
            "scope": describing.scope(site, found),
            "team": describing.team(site),
            "guests": describing.guests(found),
            "families": told,
            "questions": keeping.asked(),
            "points": points.points(site, found, numbers, rules),
            "limits": keeping.listed(limits),
            "approvals": approvals(site, day),
            "prerequisites": keeping.kept_prerequisites(),
            "validation": validation(found, rules),
            "equipment": keeping.equipment(site),
            "calibration": keeping.calibration(site, rules),
            "verification": keeping.verification(rules),
            "duties": keeping.duties(rules),
            "training": keeping.taught(),
            "triggers": keeping.looked_at_again(),
            "sources": keeping.cited(limits, found, rules),
        },
        "evidence": evidence(site, found, flows),
    }
    plain: Content = canonical.plain(content)
    return plain


def _family(each: Family, numbers: dict[str, str], rules: Ruleset) -> Item:
    return item(
        each.key,
        each.name,
        [],
        dishes=[describing.dish(method, each, rules) for method in each.methods],
        way=points.way(each, numbers),
        hazards=points.hazards(each, numbers),
    )


def flow_digest(told: list[Item]) -> str:
    """The digest of the flow diagrams: what someone walked through the kitchen with."""
    drawn = [[each["name"], [[step["key"], step["only"]] for step in each["way"]]] for each in told]
    return canonical.digest(canonical.text(drawn))


def plan_digest(content: Content) -> str:
    """The digest of what a version is made of."""
    return canonical.digest(canonical.text(content["plan"]))
