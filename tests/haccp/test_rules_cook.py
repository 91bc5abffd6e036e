"""The cook rule at, just under and just over every row of the two regimes.

Source of the rows: the Food Standards Agency's list of core equivalents, the Chilled Food Association's table
for long chilled life, and the FDA Food Code, as gathered in ``tests/data/limits_reference.csv``.
"""

from __future__ import annotations

import pytest

from haccp.limits import Limit
from haccp.record import Outcome, Stay, Step
from haccp.rules.bag import check_method_kept
from haccp.rules.cook import HOLDS, check_core_readings, check_hold
from tests.haccp.kitchen_log import at, bag, core, drawn_case, outcomes, rules

# Attributes that trigger exactly one table, and the table.
TABLES = [
    ("UK", (), "uk-core"),
    ("UK", ("long life",), "uk-long-life"),
    ("US-FDA", ("whole muscle",), "us-roast"),
    ("US-FDA", ("fish",), "us-intact"),
    ("US-FDA", ("injected",), "us-comminuted"),
    ("US-FDA", ("bound",), "us-comminuted"),
    ("US-FDA", ("poultry",), "us-poultry"),
    ("US-FDA", ("vegetable",), "us-plant"),
]
ROWS = [
    pytest.param(regime, words, row, id=f"{row.id}-{'-'.join(words) or 'any'}")
    for regime, words, table in TABLES
    for row in rules(regime).limits("cook", {*words, "sealed"})
    if row.table == table and row.quantity in HOLDS
]


def held_for(regime: str, words: tuple[str, ...], celsius: float, seconds: float, row: Limit) -> Outcome:
    """The outcome for a core at one temperature for so long and at 20 °C before and after."""
    minutes = [0.0, seconds / 60.0]
    case = drawn_case(minutes, [celsius, celsius], regime=regime, attributes=words)
    found = [each for each in check_hold(case) if case.ruleset.limit(str(each.limit)).table == row.table]
    assert len(found) == 1
    if found[0].outcome == Outcome.MEETS:
        assert found[0].limit == row.id
    return found[0].outcome


def test_every_table_of_the_two_regimes_has_rows():
    assert len(ROWS) == 5 + 21 + 17 + 1 + 2 * 4 + 1 + 1


@pytest.mark.parametrize(("regime", "words", "row"), ROWS)
def test_a_row_is_met_at_its_own_time_and_over_it_and_not_just_under(regime, words, row):
    hold = row.hold.seconds if row.hold else 0.0
    celsius = row.amount.celsius
    assert held_for(regime, words, celsius, max(hold, 0.5), row) == Outcome.MEETS
    assert held_for(regime, words, celsius, hold + 1.0, row) == Outcome.MEETS
    if hold:
        assert held_for(regime, words, celsius, hold - 0.1, row) != Outcome.MEETS


@pytest.mark.parametrize(("regime", "words", "row"), ROWS)
def test_a_row_is_not_met_a_hundredth_of_a_degree_under_its_temperature(regime, words, row):
    hold = row.hold.seconds if row.hold else 1.0
    assert held_for(regime, words, row.amount.celsius - 0.01, max(hold, 0.5), row) != Outcome.MEETS
    assert held_for(regime, words, row.amount.celsius + 0.01, max(hold, 0.5), row) == Outcome.MEETS


def test_what_is_short_of_the_list_but_adds_up_on_its_own_basis_is_reviewed_and_never_passed():
    """60 °C for 44 min: the process behind the list (2 min at 70 °C, z 7.5 °C) asks for 43.1 min there."""
    case = drawn_case([0, 44], [60.0, 60.0])
    [found] = check_hold(case)
    assert found.outcome == Outcome.TO_REVIEW
    assert found.rule == "cook.whole_curve"
    [found] = check_hold(drawn_case([0, 43.0], [60.0, 60.0]))
    assert found.outcome == Outcome.FAILS


def test_the_rows_of_the_food_code_add_up_for_a_review_and_never_for_a_pass():
    """Just under 112 min at 130 °F, 3 min of it hotter; the code does not say that they may be added up."""
    case = drawn_case(
        [0, 111, 111.1, 114], [54.5, 54.5, 60.0, 60.0], regime="US-FDA", attributes={"whole muscle"}
    )
    assert outcomes(check_hold(case), "cook.hold") == [Outcome.MEETS]  # 114 min at 130 °F or above
    case = drawn_case(
        [0, 108, 108.1, 111], [54.5, 54.5, 60.0, 60.0], regime="US-FDA", attributes={"whole muscle"}
    )
    [found] = check_hold(case)
    assert (found.rule, found.outcome) == ("cook.whole_curve", Outcome.TO_REVIEW)
    assert "does not say that times at several temperatures may be added up" in found.sentence
    case = drawn_case([0, 105], [54.5, 54.5], regime="US-FDA", attributes={"whole muscle"})
    assert outcomes(check_hold(case), "cook.hold") == [Outcome.FAILS]


def test_time_at_or_above_a_row_counts_in_total_over_several_spans():
    minutes = [0, 20, 21, 30, 31, 56]
    case = drawn_case(minutes, [60.5, 60.5, 59.0, 59.0, 60.5, 60.5])
    [found] = check_hold(case)
    assert found.outcome == Outcome.MEETS
    assert found.measured == "45 min at 60 °C"


def test_the_sentence_says_what_was_held_what_is_needed_whose_it_is_and_how_much_is_missing():
    [found] = check_hold(drawn_case([0, 41], [60.0, 60.0]))
    assert found.sentence.startswith(
        "Core of bag 1 held 41 min at 60 °C or above; 45 min needed (Food Standards Agency list): "
        "4 min short, proven."
    )
    assert (found.measured_value, found.required_value, found.unit) == (41.0, 45.0, "min")
    assert found.since == at(41)


def test_proven_and_best_on_either_side_of_the_limit_is_unproven():
    case = drawn_case([0, 60], [60.5, 60.5], low=[59.5, 59.5])
    assert outcomes(check_hold(case), "cook.hold") == [Outcome.UNPROVEN]


def test_poultry_that_is_bound_must_meet_both_tables():
    """Strictest trigger governs: 145 °F for 3 min meets the table for bound meat, not the one for poultry."""
    words = {"poultry", "bound"}
    found = check_hold(drawn_case([0, 5], [63.5, 63.5], regime="US-FDA", attributes=words))
    assert {each.outcome for each in found} == {Outcome.MEETS, Outcome.FAILS}
    found = check_hold(drawn_case([0, 5], [74.0, 74.0], regime="US-FDA", attributes=words))
    assert [each.outcome for each in found] == [Outcome.MEETS, Outcome.MEETS]


def test_a_food_for_which_a_regime_prints_nothing_is_unproven():
    [found] = check_hold(drawn_case([0, 60], [80.0, 80.0], regime="US-FDA", attributes={"mushroom"}))
    assert found.outcome == Outcome.UNPROVEN
    assert "prints no cook limit" in found.sentence


def test_the_officers_list_counts_only_where_the_kitchen_chose_it():
    curve = ([0, 60], [60.0, 60.0])
    assert [each.outcome for each in check_hold(drawn_case(*curve))] == [Outcome.MEETS]
    chosen = ["UK-COOK-STRICT-60", "UK-COOK-STRICT-65", "UK-COOK-STRICT-70"]
    found = check_hold(drawn_case(*curve, chosen=chosen))
    assert sorted(each.outcome for each in found) == [Outcome.FAILS, Outcome.MEETS]


def test_a_core_measured_under_the_proven_curve_is_reviewed_and_the_lowest_of_several_counts():
    checks = (core(30, 61.5, Step.COOK), core(31, 58.5, Step.COOK))  # their mean, 60.0, would be as computed
    case = drawn_case([0, 60], [60.0, 60.0], core_checks=checks)
    [found] = check_core_readings(case)
    assert found.outcome == Outcome.TO_REVIEW
    assert found.measured == "58.5 °C"
    assert check_core_readings(drawn_case([0, 60], [60.0, 60.0], core_checks=checks[:1])) == []
    # Within the probe's tolerance nothing is contradicted.
    close = (core(30, 59.9, Step.COOK),)
    assert check_core_readings(drawn_case([0, 60], [60.0, 60.0], core_checks=close)) == []


def test_a_bag_outside_its_method_is_reviewed_and_at_the_edge_is_not():
    assert check_method_kept(drawn_case([0, 60], [60, 60], thickness_mm=40.0, start_c=8.0)) == []
    found = check_method_kept(drawn_case([0, 60], [60, 60], thickness_mm=40.5, start_c=8.1))
    assert [(each.rule, each.outcome) for each in found] == [
        ("cook.thickness", Outcome.TO_REVIEW),
        ("cook.start", Outcome.TO_REVIEW),
    ]


def test_a_bag_out_too_early_can_go_back_only_before_its_chill():
    short = ([0, 20], [60.0, 60.0])
    [found] = check_hold(drawn_case(*short, chill=(), store=()))
    assert found.remedy is not None
    assert found.remedy.startswith("Back into the bath")
    [found] = check_hold(drawn_case(*short, chill=(Stay("slurry", at(25)),), store=()))
    assert found.remedy is None


def test_a_bag_that_was_never_in_a_bath_is_unproven():
    case = drawn_case([0, 60], [60.0, 60.0])
    from dataclasses import replace

    from haccp.heat import BagHeat

    nowhere = replace(case, bag=bag(cook=()), heat=BagHeat(None, None, None, None, ()))
    assert [each.outcome for each in check_hold(nowhere)] == [Outcome.UNPROVEN]
