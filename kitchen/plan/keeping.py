"""What keeps a plan true: equipment, calibration, verification, records, training, review."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from haccp.errors import HaccpError
from haccp.hazards import point, questions, steps
from haccp.limits import Limit, Ruleset
from haccp.materials import media
from haccp.prerequisites import prerequisites, training, triggers
from haccp.prerequisites import verification as checks
from haccp.sources import source
from kitchen.base.refusals import Refused
from kitchen.equipment.checking import expectations
from kitchen.equipment.models import Bath, Chiller, Fridge, Probe
from kitchen.papers.wordings import Wordings
from kitchen.people.models import Site
from kitchen.plan.families import Family
from kitchen.plan.parts import Item, figure, item, joined, limit_item
from kitchen.plan.points import rows_at, spelt

# Topics of limits that are duties of the kitchen as a whole, whatever is cooked.
DUTIES = ("record_keeping", "traceability", "allergen")


def equipment(site: Site) -> list[Item]:
    """Baths, chillers, fridges and probes as they are set up."""
    words = Wordings(site)
    found = []
    for each in Bath.objects.filter(site=site).select_related("probe"):
        facts = [
            *_place(each),
            ("Volume", f"{float(each.volume_l):g} L"),
            ("Band", f"± {words.difference(float(each.band_k))}"),
        ]
        found.append(item(f"bath {each.name}", each.name, facts))
    for each in Chiller.objects.filter(site=site).select_related("probe"):
        found.append(item(f"chiller {each.name}", each.name, _place(each)))
    for each in Fridge.objects.filter(site=site).select_related("probe"):
        band = f"{words.temperature(each.low_c)} to {words.temperature(each.high_c)}"
        found.append(item(f"fridge {each.name}", each.name, [*_place(each), ("Band", band)]))
    return found


def _place(place: Any) -> list[tuple[str, str]]:
    return [
        ("What it is", media()[place.medium].name),
        ("Probe", place.probe.name if place.probe else "none"),
        ("Read", f"every {spelt(place.every_min)}"),
    ]


def calibration(site: Site, rules: Ruleset) -> list[Item]:
    """Each probe: how far off it may be, what it is checked against, how often."""
    words = Wordings(site)
    interval = _interval(rules)
    try:
        against = "; ".join(f"{each.name.lower()}: {each.words}" for each in expectations(site, rules.day))
    except (Refused, HaccpError):
        against = "the ruleset prints no limit for a check"
    return [
        item(
            each.name,
            each.name,
            [
                ("Serial number", each.serial or "none entered"),
                ("Tolerance", f"± {words.difference(float(each.tolerance_k))}"),
                ("Checked in", against),
                ("How often", interval),
                ("In use", "out of use" if each.out_of_use else "in use"),
            ],
        )
        for each in Probe.objects.filter(site=site)
    ]


def _interval(rules: Ruleset) -> str:
    row = next(iter(rules.limits("probe_check", quantity="interval")), None)
    often = (
        f"every {row.amount} at the longest [{row.id}]" if row else "the regime names no interval: monthly"
    )
    return (
        f"{often.replace('every 1 ', 'every ')}; before it is first used; after a fall or a repair, at once"
    )


def duties(rules: Ruleset) -> list[Item]:
    """What the regime asks of records, traces and labels, and how long it wants them kept."""
    return [
        item(
            row.id,
            row.condition,
            [
                ("Asked", figure(row)),
                ("For food that is", joined(sorted(row.applies)) or "any"),
                ("Source", f"{source(row.source).title}, {row.section}"),
                ("Status", f"{row.status}; {row.provenance}"),
                ("Not covered", row.not_covered),
            ],
        )
        for row in _duty_rows(rules)
    ]


def _duty_rows(rules: Ruleset) -> list[Limit]:
    return [row for row in rules.rows if row.topic in DUTIES]


def verification(rules: Ruleset) -> list[Item]:
    """What shows that the plan is kept and works."""
    bands = joined(
        [
            f"{each.condition}: {figure(each)} [{each.id}]"
            for each in rules.limits("probe_check")
            if each.upper
        ]
    )
    return [
        item(
            each.key,
            each.name,
            [
                ("What", f"{each.what} {bands}".strip() if each.key == "probes" else each.what),
                ("Who", each.who),
                ("When", each.when or _interval(rules)),
                ("Record", each.record),
            ],
        )
        for each in checks()
    ]


def kept_prerequisites() -> list[Item]:
    """What is done whatever is cooked."""
    return [
        item(each.key, each.name, [("What", each.what), ("Record", each.kept)])
        for each in prerequisites().values()
    ]


def taught() -> list[Item]:
    """What the team is taught."""
    return [
        item(each.topic, each.topic, [("Who", joined([f"every {role}" for role in each.roles]))])
        for each in training()
    ]


def looked_at_again() -> list[str]:
    """What makes the plan be looked at again."""
    return list(triggers())


def asked() -> list[str]:
    """The questions of the decision."""
    return list(questions())


def limits_used(found: Sequence[Family], rules: Ruleset) -> list[Limit]:
    """Every limit that a step of a family or a check of a probe brings in, in the order of the work."""
    rows: dict[str, Limit] = {}
    for step in steps().values():
        for family in found:
            if step.key in {each.key for each in family.way}:
                rows |= {row.id: row for row in rows_at(step, family, rules)}
    rows |= {row.id: row for row in rules.rows if row.topic == "probe_check"}
    return list(rows.values())


def cited(limits: Iterable[Limit], found: Sequence[Family], rules: Ruleset) -> list[Item]:
    """The bibliography of the plan, in the order of its titles."""
    keys = {row.source for row in [*limits, *_duty_rows(rules)]} | {"codex-general-principles-2022"}
    for each in found:
        keys |= {key for one in each.analysed for key in one.hazard.sources}
        keys |= {key for step in each.critical for key in point(step).sources}
    listed = sorted((source(key) for key in keys), key=lambda each: (each.title, each.key))
    return [
        item(each.key, each.citation, [("Provenance", each.provenance), ("Note", each.note)])
        for each in listed
    ]


def listed(limits: Iterable[Limit]) -> list[Item]:
    """The limits with their sources."""
    return [limit_item(row) for row in limits]


def years(day: date) -> str:
    """The day by which the plan is looked at again at the latest."""
    try:
        again = day.replace(year=day.year + 1)
    except ValueError:
        again = day.replace(year=day.year + 1, day=28)
    return Wordings.day(again)
