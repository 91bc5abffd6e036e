"""What a whole curve is worth, reckoned by hand from the printed rows, and that it lifts no rule."""

from __future__ import annotations

import math

import pytest

from haccp.case import Case
from haccp.record import Outcome
from haccp.rules.cook import check_hold, cook_tables
from haccp.targets import adding_up, grows_by
from haccp.wholecurve import Worth, along_the_table, by_targets
from tests.haccp.kitchen_log import drawn_case

ROAST = {"regime": "US-FDA", "attributes": {"whole muscle"}}


def along(case: Case) -> Worth | None:
    """The worth along the one table that applies."""
    [(table, rows)] = cook_tables(case)
    assert case.heat.curves is not None
    return along_the_table(case, table, rows, case.heat.curves)


def test_the_shares_of_the_rows_add_up():
    """130 °F for 112 min and 140 °F for 12 min (Food Code 3-401.11(B), page seen second hand):
    half of one and half of the other are the whole. Each step here is a jump of a tenth of a second."""
    f130, f140 = (130.0 - 32.0) / 1.8, (140.0 - 32.0) / 1.8
    jump = 0.1 / 60.0
    worth = along(drawn_case([0, 56, 56 + jump, 62 + jump], [f130, f130, f140, f140], **ROAST))
    assert worth is not None
    assert worth.proven == pytest.approx(6.5, abs=1e-3)
    assert (worth.target, worth.organism, worth.grown) == (6.5, "Salmonella", 0.0)
    assert worth.enough
    less = along(drawn_case([0, 55, 55 + jump, 61 + jump], [f130, f130, f140, f140], **ROAST))
    assert less is not None
    assert not less.enough


def test_between_two_rows_the_logarithm_of_the_time_is_straight():
    """130.5 °F: the geometric mean of 112 and 89 min, 99.84 min. Own computation from the printed rows."""
    minutes = math.sqrt(112.0 * 89.0)
    worth = along(drawn_case([0, minutes], [(130.5 - 32.0) / 1.8] * 2, **ROAST))
    assert worth is not None
    assert worth.proven == pytest.approx(6.5, rel=1e-9)


def test_a_table_of_few_rows_counts_the_row_below():
    """Minced meat, 145 °F for 3 min and 150 °F for 1 min: at 149 °F it is still 3 min."""
    case = drawn_case([0, 2.9], [65.0, 65.0], regime="US-FDA", attributes={"minced"})
    worth = along(case)
    assert worth is not None
    assert worth.proven == pytest.approx(2.9 / 3.0 * worth.target)
    assert check_hold(case)[0].outcome == Outcome.FAILS


def test_nothing_counts_below_the_lowest_row():
    worth = along(drawn_case([0, 600], [54.4, 54.4], **ROAST))
    assert worth is not None
    assert worth.proven == 0.0


def test_what_grew_on_the_way_up_is_added_to_what_is_asked():
    """The same hold after five hours at 37 °C: more was grown than the hold has to spare."""
    hold = along(drawn_case([0, 111, 114], [54.5, 54.5, 54.5], **ROAST))
    slow = drawn_case([0, 300, 300.1, 411.1, 414.1], [37.0, 37.0, 54.5, 54.5, 54.5], **ROAST)
    grown = along(slow)
    assert hold is not None
    assert grown is not None
    assert hold.enough
    assert grown.proven == pytest.approx(hold.proven, rel=1e-3)
    assert grown.grown > 2.0
    assert grown.asked == 6.5 + grown.grown
    assert not grown.enough


def test_the_bound_and_not_the_best_estimate_is_added_up():
    worth = along(drawn_case([0, 111], [54.5, 54.5], low=[54.4, 54.4], **ROAST))
    assert worth is not None
    assert worth.proven == 0.0


def test_d_and_z_lift_no_rule_where_the_law_does_not_say_so():
    """Chicken at 60 °C for an hour: D 4.68 min at 60 °C gives 12.8 log where 7 are asked, and the Food Code
    asks for 165 °F."""
    case = drawn_case([0, 60], [60.0, 60.0], regime="US-FDA", attributes={"poultry"})
    [found] = check_hold(case)
    assert (found.rule, found.outcome) == ("cook.hold", Outcome.FAILS)
    assert "By D and z the whole curve is worth 12.8 log of Salmonella, 7 log needed" in found.sentence
    assert "a model lifts no rule" in found.sentence
    [short] = check_hold(drawn_case([0, 30], [60.0, 60.0], regime="US-FDA", attributes={"poultry"}))
    assert "D and z" not in short.sentence


def test_where_the_guideline_says_so_a_competent_person_decides():
    """Under the lowest row the table says nothing; the USDA guideline (2021, page seen) names reckoning the
    whole curve as the second step after a missed end point, for plants under it."""
    [found] = check_hold(drawn_case([0, 200], [54.0, 54.0], regime="US-USDA", attributes={"whole muscle"}))
    assert (found.rule, found.outcome) == ("cook.whole_curve", Outcome.TO_REVIEW)
    assert adding_up()["US-USDA"] in found.sentence
    [found] = check_hold(drawn_case([0, 120], [54.0, 54.0], regime="US-USDA", attributes={"whole muscle"}))
    assert found.outcome == Outcome.FAILS


def test_every_resistance_of_every_organism_that_is_asked_about_counts():
    """Minced beef in the United Kingdom: Listeria with z 7.5 K and E. coli with z 6 K, 6 log each."""
    case = drawn_case([0, 60], [60.0, 60.0], attributes={"minced"})
    assert case.heat.curves is not None
    [(_, rows)] = cook_tables(case)
    worth = {each.organism: each for each in by_targets(case, rows[0], case.heat.curves)}
    assert worth["Listeria monocytogenes"].proven == pytest.approx(60.0 * 10 ** (-10 / 7.5) * 3.0)
    assert worth["E. coli O157"].proven == pytest.approx(60.0 * 10 ** (-10 / 6.0) * 3.0)
    assert not worth["E. coli O157"].enough


def test_organisms_that_grow_have_a_model_and_spores_have_none():
    assert {"Salmonella", "E. coli O157", "Listeria monocytogenes"} == set(grows_by())
    assert all(model.measure == "log10" for model in grows_by().values())
