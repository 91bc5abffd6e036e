"""Bags of which the same was found are shown together, and each thing is said once."""

from datetime import UTC, date, datetime

import pytest

from haccp.record import Assessment, BagAssessment, BagCurve, Finding, Outcome, Step
from kitchen.review import showing

CURVE = BagCurve(
    datetime(2026, 11, 16, 8, tzinfo=UTC), (0.0, 60.0), (64.0, 64.0), (5.0, 6.0), (5.0, 5.5), (5.0, 6.5)
)


def held(bag: str, minutes: int, **more: object) -> Finding:
    outcome = Outcome.MEETS if minutes >= 45 else Outcome.FAILS
    sentence = f"Core of bag {bag} held {minutes} min at 60 °C; bag {bag} was in Bath 1."
    return Finding("cook.hold", Step.COOK, outcome, sentence, bag=bag, limit="UK-COOK-FSA-60", **more)


def bag(code: str, minutes: int, *others: Finding) -> BagAssessment:
    found = (held(code, minutes), *others)
    outcome = max((each.outcome for each in found), key=lambda each: each.rank)
    return BagAssessment(code, outcome, found, CURVE, use_by=date(2026, 11, 20))


def assessment(*bags: BagAssessment, findings: tuple[Finding, ...] = ()) -> Assessment:
    return Assessment("TK-1", Outcome.FAILS, bags, findings)


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([3], "Bag 3"),
        ([1, 2], "Bags 1 and 2"),
        ([2, 1, 3], "Bags 1 to 3"),
        ([1, 2, 3, 5], "Bags 1 to 3 and 5"),
        ([1, 3, 5], "Bags 1, 3 and 5"),
        ([1, 2, 3, 4, 6, 8, 9], "Bags 1 to 4, 6, 8 and 9"),
    ],
)
def test_numbers_are_said_in_words(numbers, words):
    assert showing.numbers_in_words(numbers) == words


def test_bags_alike_stand_together_and_the_worst_come_first():
    read = showing.Reading(assessment(bag("1", 60), bag("2", 41), bag("3", 60), bag("4", 41)))
    assert [(each.name, each.outcome) for each in read.groups()] == [
        ("Bags 2 and 4", Outcome.FAILS),
        ("Bags 1 and 3", Outcome.MEETS),
    ]


def test_the_sentence_is_about_all_bags_of_the_group():
    (group,) = showing.Reading(assessment(bag("1", 60), bag("2", 60), bag("3", 60))).groups()
    assert group.said[0].sentence == "Core of bags 1 to 3 held 60 min at 60 °C; bags 1 to 3 were in Bath 1."


@pytest.mark.parametrize(
    ("of_one", "of_all"),
    [
        ("Core of bag 1 was at 3 °C.", "Core of bags 1 and 2 was at 3 °C."),
        ("Bag 1 is chilling: its core must be cold.", "Bags 1 and 2 are chilling: their core must be cold."),
        ("Every reading for bag 1 was doubted.", "Every reading for bags 1 and 2 was doubted."),
        ("Read while bag 1 was in it.", "Read while bags 1 and 2 were in it."),
        ("Bath 1 was below its band.", "Bath 1 was below its band."),
    ],
)
def test_the_verb_follows_what_it_is_about(of_one, of_all):
    bags = [
        BagAssessment(code, Outcome.MEETS, (Finding("x", Step.COOK, Outcome.MEETS, said, bag=code),))
        for code, said in (("1", of_one), ("2", of_one.replace("ag 1", "ag 2")))
    ]
    assert [each.sentence for each in showing.Reading(assessment(*bags)).once()] == [of_all]


def test_bag_1_is_not_read_into_bag_12():
    (first, second) = showing.Reading(assessment(bag("1", 60), bag("12", 41))).groups()
    assert first.name == "Bag 12"
    assert "bag 12 held 41" in first.said[0].sentence
    assert "bag 1 held 60" in second.said[0].sentence


def test_bags_that_differ_in_one_finding_are_parted_but_a_common_finding_is_said_once():
    late = Finding("chill.begun", Step.CHILL, Outcome.UNPROVEN, "No chill of bag 2 is logged.", bag="2")
    read = showing.Reading(assessment(bag("1", 41), bag("2", 41, late)))
    assert [each.name for each in read.groups()] == ["Bag 1", "Bag 2"]
    assert [each.sentence for each in read.doubtful()] == [
        "Core of bags 1 and 2 held 41 min at 60 °C; bags 1 and 2 were in Bath 1.",
        "No chill of bag 2 is logged.",
    ]


def test_worst_first_then_in_the_order_of_the_work():
    of_batch = Finding("records.late", Step.RECORDS, Outcome.TO_REVIEW, "One entry came late.")
    read = showing.Reading(assessment(bag("1", 60), bag("2", 41), findings=(of_batch,)))
    assert [each.finding.outcome for each in read.once()] == [Outcome.FAILS, Outcome.TO_REVIEW, Outcome.MEETS]
    assert [each.fails for each in read.once()] == [True, False, False]


def test_the_basis_is_named_in_short():
    said = showing.Reading(
        assessment(BagAssessment("1", Outcome.MEETS, (held("1", 60, basis="split bound: rises slow"),)))
    ).once()
    assert said[0].basis == "split bound"
