"""Hazards, their decision, and the way of a food: against the decision tree and usual answers of practice."""

from __future__ import annotations

from itertools import combinations

import pytest

from haccp.errors import DataError
from haccp.hazards import (
    GRADES,
    Verdict,
    analyse,
    decide,
    flow,
    hazards,
    parse_hazards,
    parse_points,
    parse_steps,
    point,
    questions,
    steps,
)
from haccp.words import ATTRIBUTES, TOPICS

COOK_CHILL = frozenset({"poultry", "cook-chill", "chilled", "sealed"})
ROW = {
    "step": "cook",
    "kind": "biological",
    "what": "something grows",
    "likely": "high",
    "severe": "high",
    "controls": ["heat"],
    "provenance": "own estimate",
}


def critical(words):
    """The steps that are critical control points for a food."""
    return {each.hazard.step for each in analyse(words) if each.verdict == Verdict.CCP}


# The order of the questions and what follows from each answer: General Principles of Food Hygiene,
# CXC 1-1969 rev. 2022, Annex IV, figure 1; from memory.
@pytest.mark.parametrize(
    ("facts", "answers", "verdict"),
    [
        ({"prerequisite": "cleaning"}, "y", Verdict.PREREQUISITE),
        ({"specific": "", "later": ["chill"]}, "nn", Verdict.LATER),
        ({"specific": "", "here": True}, "nn", Verdict.CHANGE),
        ({"specific": "heat", "later": ["chill"]}, "nyy", Verdict.LATER),
        ({"specific": "heat", "here": True}, "nyny", Verdict.CCP),
        ({"specific": "heat", "later": ["freeze"]}, "nynn", Verdict.CHANGE),
        ({"specific": "heat", "later": ["freeze"], "here": True}, "nyny", Verdict.CCP),
    ],
    ids=[
        "prerequisite",
        "no measure",
        "nothing at all",
        "later",
        "here",
        "later not taken",
        "here, later not",
    ],
)
def test_the_questions_are_asked_in_their_order_until_one_settles_it(facts, answers, verdict):
    (hazard,) = parse_hazards([{**ROW, **facts}], steps())
    found = decide(hazard, flow(COOK_CHILL))
    assert "".join("y" if each.yes else "n" for each in found.answers) == answers
    assert found.verdict == verdict
    assert [each.question for each in found.answers] == list(questions()[: len(answers)])


@pytest.mark.parametrize("likely", GRADES)
@pytest.mark.parametrize("severe", GRADES)
def test_only_what_is_likely_or_severe_enough_is_asked_about(likely, severe):
    (hazard,) = parse_hazards([{**ROW, "here": True, "likely": likely, "severe": severe}], steps())
    found = decide(hazard, flow(COOK_CHILL))
    weak = {(likely, severe)} & {("low", "low"), ("low", "medium"), ("medium", "low")}
    assert (found.verdict == Verdict.NOT_SIGNIFICANT) == bool(weak)
    assert bool(found.answers) != bool(weak)


# Control points of cook-chill in sealed bags as a public-health department teaches them: cook, cool, cold
# hold, reheat, hot hold (slides of Ottawa public health, seen). Food Code 3-502.12: cook, cool and store.
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (COOK_CHILL, {"cook", "chill", "store", "finish"}),
        (COOK_CHILL | {"hot hold"}, {"cook", "chill", "store", "finish", "serve"}),
        ({"fish", "sealed"}, {"cook"}),
        ({"fish", "sealed", "scombroid"}, {"deliver", "cook"}),
        (COOK_CHILL | {"brined", "cured"}, {"brine", "cook", "chill", "store", "finish"}),
        ({"vegetable", "long life", "chilled"}, {"cook", "chill", "store", "finish"}),
        ({"fish", "less than thoroughly cooked", "frozen for parasites"}, {"freeze_fish", "cook"}),
    ],
    ids=["cook-chill", "hot hold", "at once", "scombroid", "cured", "long life", "parasites"],
)
def test_the_usual_critical_control_points(words, expected):
    assert critical(words) == expected


def test_raw_fish_that_nobody_freezes_has_no_control():
    found = analyse({"fish", "less than thoroughly cooked", "sealed"})
    assert [each.hazard.what[:9] for each in found if each.verdict == Verdict.CHANGE] == ["Parasites"]


def test_a_step_is_taken_by_the_food_that_needs_it_and_no_other():
    plain = [each.key for each in flow({"poultry"})]
    assert plain == ["deliver", "store_raw", "prepare", "bag", "cook", "serve"]
    bound = [each.key for each in flow(COOK_CHILL | {"bound", "rolled", "brined"})]
    expected = "deliver store_raw prepare brine rinse bind roll bag cook chill store finish serve"
    assert bound == expected.split()


# Words that change the hazards or the way, in twos and threes, chilled and served at once.
MIXES = [
    frozenset(mix) | kept
    for size in (1, 2, 3)
    for mix in combinations(
        ["poultry", "fish", "vegetable", "bound", "stuffed", "minced", "brined", "long life", "hot hold"],
        size,
    )
    for kept in ({"sealed"}, {"sealed", "chilled"})
]


@pytest.mark.parametrize("mix", MIXES, ids=lambda mix: " ".join(sorted(mix)))
def test_what_is_left_to_a_later_step_is_critical_there(mix):
    points = critical(mix)
    for each in analyse(mix):
        assert each.verdict != Verdict.CHANGE, each.hazard.what
        if each.verdict == Verdict.LATER:
            assert set(each.hazard.later) & points, each.hazard.what


def test_every_critical_step_has_the_way_in_which_it_is_kept():
    for step in {each.step for each in hazards() if each.here}:
        kept = point(step)
        assert kept.actions
        assert all((kept.what, kept.how, kept.when, kept.who, kept.verification, kept.records))


def test_the_data_use_known_words_and_topics_only():
    for each in steps().values():
        assert set(each.topics) <= set(TOPICS), each.key
        assert each.adds <= set(ATTRIBUTES), each.key
    for each in [*hazards(), *steps().values()]:
        trigger = each.trigger
        assert trigger.needs | trigger.any_of | trigger.unless <= set(ATTRIBUTES), each


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"what": ""}, "what missing"),
        ({"colour": "red", "here": True}, "unknown key colour"),
        ({"step": "fly", "here": True}, "no step “fly”"),
        ({"later": ["deliver"]}, "a later step comes after its own"),
        ({}, "nothing controls it"),
        ({"kind": "moral", "here": True}, "kind must be one of"),
        ({"likely": "often", "here": True}, "likely and severe are one of"),
        ({"prerequisite": "luck"}, "no prerequisite “luck”"),
        ({"here": True, "provenance": "hearsay"}, "provenance must be one of"),
        ({"here": True, "provenance": "from memory"}, "needs the key of its source"),
    ],
    ids=[
        "empty",
        "unknown",
        "step",
        "earlier",
        "no control",
        "kind",
        "grade",
        "prerequisite",
        "hearsay",
        "no source",
    ],
)
def test_a_row_that_does_not_hold_is_named(change, said):
    with pytest.raises(DataError, match=said):
        parse_hazards([{**ROW, **change}], steps(), "some.toml")


def test_steps_and_points_are_there_once():
    step = {"key": "a", "name": "A", "does": "nothing"}
    with pytest.raises(DataError, match=r"step 2 \(a\): the key is there already"):
        parse_steps([step, step])
    kept = dict.fromkeys(("what", "how", "when", "who", "verification", "records"), "x")
    kept |= {"step": "cook", "actions": ["x"], "provenance": "own estimate"}
    with pytest.raises(DataError, match="has a point already"):
        parse_points([kept, kept], steps())
    with pytest.raises(DataError, match="no point “bag”"):
        point("bag")
