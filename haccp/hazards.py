"""Hazards on a food's way through the kitchen, and which steps are critical control points.

The way, the hazards and how each point is kept are data (``data/hazards.toml``). The four questions
that tell a critical control point from a prerequisite are answered from those data, for a food by its
words, never by hand. Order of the questions: codex-general-principles-2022, Annex IV.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any

from haccp.datafiles import choose, load, pedigree
from haccp.errors import DataError
from haccp.prerequisites import prerequisites

__all__ = [
    "Analysed",
    "Answer",
    "FlowStep",
    "Hazard",
    "Point",
    "Verdict",
    "analyse",
    "decide",
    "flow",
    "hazards",
    "point",
    "questions",
    "steps",
]

FILE = "haccp/data/hazards.toml"
KINDS = ("biological", "chemical", "physical", "allergen")
GRADES = ("low", "medium", "high")


class Verdict(StrEnum):
    """What follows for one hazard at one step."""

    NOT_SIGNIFICANT = "not significant"
    PREREQUISITE = "prerequisite"
    LATER = "controlled at a later step"
    CCP = "critical control point"
    CHANGE = "no control: change the step, the process or the food"


@dataclass(frozen=True)
class Trigger:
    """The words of a food that bring a row in: all of `needs`, one of `any_of` if any, none of `unless`."""

    needs: frozenset[str]
    any_of: frozenset[str]
    unless: frozenset[str]

    def by(self, words: Collection[str]) -> bool:
        """Whether these words trigger it."""
        given = frozenset(words)
        return (
            self.needs <= given and not self.unless & given and (not self.any_of or bool(self.any_of & given))
        )


@dataclass(frozen=True)
class FlowStep:
    """One step of the work. `topics` are topics of limits that hold there; `adds` words of the food there."""

    key: str
    name: str
    does: str
    inputs: tuple[str, ...]
    topics: tuple[str, ...]
    adds: frozenset[str]
    trigger: Trigger


@dataclass(frozen=True)
class Hazard:
    """One hazard at one step, how likely and severe it is without control, and what controls it."""

    step: str
    kind: str
    what: str
    likely: str
    severe: str
    controls: tuple[str, ...]
    prerequisite: str
    specific: str
    later: tuple[str, ...]
    here: bool
    because: str
    trigger: Trigger
    sources: tuple[str, ...]
    provenance: str

    @property
    def significant(self) -> bool:
        """Whether control is needed: severe or likely at the least to a high, or both to a medium, grade.

        Own choice of a scale, the usual product of the two: low 0, medium 1, high 2; significant from 2 on.
        """
        return GRADES.index(self.likely) + GRADES.index(self.severe) >= 2


@dataclass(frozen=True)
class Point:
    """How a step is monitored, kept and recorded where it is a critical control point."""

    step: str
    what: str
    how: str
    when: str
    who: str
    actions: tuple[str, ...]
    verification: str
    records: str
    sources: tuple[str, ...]
    provenance: str


@dataclass(frozen=True)
class Answer:
    """A question of the decision, and yes or no."""

    question: str
    yes: bool


@dataclass(frozen=True)
class Analysed:
    """A hazard with the answers that were needed, what follows, and why in words."""

    hazard: Hazard
    answers: tuple[Answer, ...]
    verdict: Verdict
    reason: str


_STEP = ("key", "name", "does")
_HAZARD = ("step", "kind", "what", "likely", "severe", "controls", "provenance")
_POINT = ("step", "what", "how", "when", "who", "actions", "verification", "records", "provenance")
_WORDS = frozenset({"needs", "applies", "any_of", "unless"})


def _checked(table: dict[str, Any], required: tuple[str, ...], more: frozenset[str], where: str) -> None:
    if missing := [name for name in required if not table.get(name)]:
        raise DataError(f"{where}: {', '.join(missing)} missing.")
    if unknown := sorted(table.keys() - set(required) - more - _WORDS):
        raise DataError(f"{where}: unknown key {', '.join(unknown)}.")


def _trigger(table: dict[str, Any]) -> Trigger:
    needs = frozenset(table.get("needs", ())) | frozenset(table.get("applies", ()))
    return Trigger(needs, frozenset(table.get("any_of", ())), frozenset(table.get("unless", ())))


def parse_steps(rows: Sequence[dict[str, Any]], file: str = FILE) -> dict[str, FlowStep]:
    """Steps by key, in the order of the work; :class:`DataError` names the row that does not hold."""
    found: dict[str, FlowStep] = {}
    for number, row in enumerate(rows, start=1):
        where = f"{file}, step {number} ({row.get('key', 'without key')})"
        _checked(row, _STEP, frozenset({"inputs", "topics", "adds"}), where)
        if row["key"] in found:
            raise DataError(f"{where}: the key is there already.")
        found[row["key"]] = FlowStep(
            key=row["key"],
            name=row["name"],
            does=row["does"],
            inputs=tuple(row.get("inputs", ())),
            topics=tuple(row.get("topics", ())),
            adds=frozenset(row.get("adds", ())),
            trigger=_trigger(row),
        )
    return found


def parse_hazards(
    rows: Sequence[dict[str, Any]], known: dict[str, FlowStep], file: str = FILE
) -> tuple[Hazard, ...]:
    """Hazards in the order of the file; :class:`DataError` names the row that does not hold."""
    order, found = list(known), []
    more = frozenset({"prerequisite", "specific", "later", "here", "because", "sources", "note"})
    for number, row in enumerate(rows, start=1):
        where = f"{file}, hazard {number} ({row.get('what', 'without words')[:40]})"
        _checked(row, _HAZARD, more, where)
        sources, provenance, _ = pedigree(row, where)
        for name in (row["step"], *row.get("later", ())):
            choose(known, name, "step")
        if row["kind"] not in KINDS:
            raise DataError(f"{where}: kind must be one of {', '.join(KINDS)}.")
        if {row["likely"], row["severe"]} - set(GRADES):
            raise DataError(f"{where}: likely and severe are one of {', '.join(GRADES)}.")
        if any(order.index(each) <= order.index(row["step"]) for each in row.get("later", ())):
            raise DataError(f"{where}: a later step comes after its own.")
        if row.get("prerequisite"):
            choose(prerequisites(), row["prerequisite"], "prerequisite")
        elif not (row.get("later") or row.get("here")):
            raise DataError(f"{where}: nothing controls it: name a prerequisite, a later step, or here.")
        found.append(
            Hazard(
                step=row["step"],
                kind=row["kind"],
                what=row["what"],
                likely=row["likely"],
                severe=row["severe"],
                controls=tuple(row["controls"]),
                prerequisite=row.get("prerequisite", ""),
                specific=row.get("specific", ""),
                later=tuple(row.get("later", ())),
                here=bool(row.get("here", False)),
                because=row.get("because", ""),
                trigger=_trigger(row),
                sources=sources,
                provenance=provenance,
            )
        )
    return tuple(found)


def parse_points(
    rows: Sequence[dict[str, Any]], known: dict[str, FlowStep], file: str = FILE
) -> dict[str, Point]:
    """How points are kept, by step; :class:`DataError` names the row that does not hold."""
    found: dict[str, Point] = {}
    for number, row in enumerate(rows, start=1):
        where = f"{file}, point {number} ({row.get('step', 'without step')})"
        _checked(row, _POINT, frozenset({"sources", "note"}), where)
        choose(known, row["step"], "step")
        if row["step"] in found:
            raise DataError(f"{where}: the step has a point already.")
        sources, provenance, _ = pedigree(row, where)
        texts = {name: str(row[name]) for name in _POINT if name not in ("actions", "provenance", "sources")}
        found[row["step"]] = Point(
            **texts, actions=tuple(row["actions"]), sources=sources, provenance=provenance
        )
    return found


@cache
def steps() -> dict[str, FlowStep]:
    """All steps by key, in the order of the work."""
    return parse_steps(load("hazards")["step"])


@cache
def hazards() -> tuple[Hazard, ...]:
    """All hazards, in the order of the file."""
    return parse_hazards(load("hazards")["hazard"], steps())


@cache
def _points() -> dict[str, Point]:
    return parse_points(load("hazards")["point"], steps())


def point(step: str) -> Point:
    """How the critical control point at a step is kept; :class:`DataError` if no data say it."""
    return choose(_points(), step, "point")


def questions() -> tuple[str, ...]:
    """The four questions, in the order in which they are asked."""
    return tuple(load("hazards")["decision"]["questions"])


def flow(words: Collection[str]) -> tuple[FlowStep, ...]:
    """The steps that a food with these words takes, in order."""
    return tuple(each for each in steps().values() if each.trigger.by(words))


def decide(hazard: Hazard, way: Sequence[FlowStep]) -> Analysed:
    """Whether a hazard makes its step a critical control point on this way.

    The questions are asked in order, until one of them settles it. A later step counts only if
    the food takes it.
    """
    if not hazard.significant:
        return Analysed(
            hazard, (), Verdict.NOT_SIGNIFICANT, "Neither likely nor severe enough to need its own control."
        )
    one, two, three, four = questions()
    order = [each.key for each in way]
    after = [
        each for each in way if each.key in hazard.later and order.index(each.key) > order.index(hazard.step)
    ]
    answers = [Answer(one, bool(hazard.prerequisite))]
    if hazard.prerequisite:
        name = prerequisites()[hazard.prerequisite].name
        return Analysed(hazard, tuple(answers), Verdict.PREREQUISITE, f"Prerequisite: {name.lower()}.")
    answers.append(Answer(two, bool(hazard.specific)))
    later = f"Later: {' and '.join(each.name.lower() for each in after)}."
    if not hazard.specific:
        verdict = Verdict.LATER if after else Verdict.CHANGE
        return Analysed(hazard, tuple(answers), verdict, later if after else f"{verdict.capitalize()}.")
    answers.append(Answer(three, bool(after)))
    if after:
        return Analysed(hazard, tuple(answers), Verdict.LATER, later)
    answers.append(Answer(four, hazard.here))
    if hazard.here:
        reason = f"No later step does it, and this one can: {hazard.specific}. {hazard.because}".strip()
        return Analysed(hazard, tuple(answers), Verdict.CCP, reason)
    return Analysed(hazard, tuple(answers), Verdict.CHANGE, f"{Verdict.CHANGE.capitalize()}.")


def analyse(words: Collection[str]) -> tuple[Analysed, ...]:
    """Every hazard on the way of a food with these words, decided, in the order of the work."""
    way = flow(words)
    order = [each.key for each in way]
    mine = [each for each in hazards() if each.step in order and each.trigger.by(words)]
    return tuple(decide(each, way) for each in sorted(mine, key=lambda each: order.index(each.step)))
