"""Prerequisites, verification, training and review triggers of a plan."""

from __future__ import annotations

import pytest

from haccp.errors import DataError
from haccp.prerequisites import parse_prerequisites, prerequisites, training, triggers, verification


# Subjects of good hygiene practice in chapter one of CXC 1-1969 (rev. 2020): from memory.
@pytest.mark.parametrize(
    "subject",
    [
        "clean",
        "pest",
        "hygiene",
        "water",
        "train",
        "trace",
        "mainten",
        "allergen",
        "waste",
        "supplier",
        "foreign",
    ],
)
def test_the_subjects_of_good_hygiene_practice_are_there(subject):
    text = " ".join(f"{each.name} {each.what}" for each in prerequisites().values()).lower()
    assert subject in text


def test_each_says_where_its_record_is_kept():
    assert all(each.kept.startswith(("in Bathbook", "outside Bathbook")) for each in prerequisites().values())


def test_training_is_for_cooks_and_head_chefs_and_the_plan_for_the_head_chef():
    for each in training():
        assert each.roles
        assert set(each.roles) <= {"cook", "head chef"}
    assert [each.roles for each in training() if "HACCP" in each.topic] == [("head chef",)]


# When a plan is looked at again: changes of food, process, equipment; law; yearly. CXC 1-1969 principle 6
# and Regulation 852/2004 Article 5(2), last paragraph; from memory.
@pytest.mark.parametrize("word", ["method", "equipment", "law", "deviation", "Twelve months"])
def test_what_makes_a_plan_be_looked_at_again(word):
    assert any(word in each for each in triggers())


def test_verification_covers_probes_review_trials_and_records():
    assert [each.key for each in verification()] == ["judged", "signed", "probes", "trial", "chain", "recall"]


def test_a_row_that_does_not_hold_is_named():
    row = {"key": "a", "name": "A", "what": "x", "kept": "y"}
    with pytest.raises(DataError, match=r"prerequisite 2 \(a\): the key is there already"):
        parse_prerequisites([row, row])
    with pytest.raises(DataError, match=r"prerequisite 1 \(a\)"):
        parse_prerequisites([{**row, "kept": ""}])
    with pytest.raises(DataError, match=r"prerequisite 1 \(a\)"):
        parse_prerequisites([{**row, "more": "z"}])
