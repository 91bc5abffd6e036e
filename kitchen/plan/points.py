"""Steps, hazards and the table of critical control points, from the families of the methods."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from haccp.hazards import Analysed, Answer, FlowStep, Verdict, point, steps
from haccp.limits import Limit, Ruleset
from kitchen.equipment.models import Bath, Chiller, Fridge
from kitchen.people.models import Site
from kitchen.plan.families import Family
from kitchen.plan.parts import Item, item, joined, lines

_PLACES: dict[str, type[Any]] = {"cook": Bath, "chill": Chiller, "store": Fridge}
_LETTERS = {"biological": "B", "chemical": "C", "physical": "P", "allergen": "A"}


def rows_at(step: FlowStep, family: Family, rules: Ruleset) -> list[Limit]:
    """The limits of a family at a step: those that decide, then those that are advice."""
    found: dict[str, Limit] = {}
    for advice in (False, True):
        for topic in step.topics:
            for row in rules.limits(topic, family.words_at(step), advice=advice):
                found.setdefault(row.id, row)
    return list(found.values())


def way(family: Family, numbers: dict[str, str]) -> list[Item]:
    """The steps of a family as its flow diagram shows them."""
    return [
        item(
            step.key,
            step.name,
            [("What is done", step.does), ("From the side", joined(step.inputs))],
            only=_only(step, family),
            point=numbers[step.key] if step.key in family.critical else "",
            inputs=list(step.inputs),
        )
        for step in family.way
    ]


def _only(step: FlowStep, family: Family) -> str:
    """The dishes that take a step, where not all of the family do."""
    dishes = next(
        (
            taking
            for word, taking in (("brined", family.brined), ("frozen", family.thawed))
            if word in step.trigger.needs
        ),
        (),
    )
    return joined(dishes) if len(dishes) < len(family.methods) else ""


def hazards(family: Family, numbers: dict[str, str]) -> list[Item]:
    """The hazards of a family, decided: the answers to the questions, what follows, and why."""
    return [_hazard(each, numbers) for each in family.analysed]


def _hazard(each: Analysed, numbers: dict[str, str]) -> Item:
    hazard = each.hazard
    critical = each.verdict == Verdict.CCP
    basis = f"{hazard.provenance}" + (f" ({', '.join(hazard.sources)})" if hazard.sources else "")
    return item(
        f"{hazard.step}: {hazard.what}",
        hazard.what,
        [
            ("Step", steps()[hazard.step].name),
            ("Kind", hazard.kind),
            ("Likely, severe", f"{hazard.likely}, {hazard.severe}"),
            ("Controls", "; ".join(hazard.controls)),
            ("Answers", _answers(each.answers)),
            ("Decision", numbers[hazard.step] if critical else str(each.verdict)),
            ("Reason", each.reason),
            ("Basis", basis),
        ],
        letter=_LETTERS[hazard.kind],
        answers=["yes" if answer.yes else "no" for answer in each.answers],
        critical=critical,
    )


def _answers(given: Sequence[Answer]) -> str:
    return ", ".join(f"{place} {'yes' if each.yes else 'no'}" for place, each in enumerate(given, start=1))


def points(site: Site, found: Sequence[Family], numbers: dict[str, str], rules: Ruleset) -> list[Item]:
    """The table of critical control points."""
    return [_point(site, key, number, found, rules) for key, number in numbers.items()]


def _point(site: Site, key: str, number: str, found: Sequence[Family], rules: Ruleset) -> Item:
    step, kept = steps()[key], point(key)
    mine = [each for each in found if key in each.critical]
    what = dict.fromkeys(
        one.hazard.what
        for each in mine
        for one in each.analysed
        if one.hazard.step == key and one.verdict == Verdict.CCP
    )
    when = "; ".join([kept.when, *_intervals(site, key)])
    limits = _limits(mine, step, rules)
    return item(
        number,
        step.name,
        [
            ("Hazard", "; ".join(what)),
            ("Families", joined([each.name for each in mine])),
            ("Critical limits", "\n".join(f"{_who(who, mine)}: {said}" for who, said in limits)),
            ("What is monitored", kept.what),
            ("How", kept.how),
            ("When", when),
            ("Who", kept.who),
            ("Corrective action", " ".join(kept.actions)),
            ("Verification", kept.verification),
            ("Records", kept.records),
        ],
        limits=[{"families": [each.key for each in who], "said": said} for who, said in limits],
        actions=list(kept.actions),
    )


def _limits(mine: Sequence[Family], step: FlowStep, rules: Ruleset) -> list[tuple[list[Family], str]]:
    """Each line of limits with the families that it holds for."""
    said: dict[str, list[Family]] = {}
    for each in mine:
        none = [f"{rules.name} prints no limit here: the figures of the method hold"]
        for one in lines(rows_at(step, each, rules), rules) or none:
            said.setdefault(one, []).append(each)
    return [(who, one) for one, who in said.items()]


def _who(who: Sequence[Family], mine: Sequence[Family]) -> str:
    return "All" if len(who) == len(mine) else "; ".join(each.name for each in who)


def _intervals(site: Site, key: str) -> Iterable[str]:
    """How often the places of a step are read, as they are set up here."""
    model = _PLACES.get(key)
    if model is None:
        return
    every: dict[int, list[str]] = {}
    for place in model.objects.filter(site=site).order_by("name"):
        every.setdefault(place.every_min, []).append(place.name)
    for minutes, names in sorted(every.items()):
        yield f"{joined(names)}: every {spelt(minutes)}"


def spelt(minutes: int) -> str:
    """*45 min*, *12 h*."""
    return f"{minutes // 60} h" if minutes >= 120 and minutes % 60 == 0 else f"{minutes} min"
