"""Why this limit and not another: every way in which a row can be passed over is said."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import haccp
from haccp import explain
from haccp.limits import all_limits, ruleset
from haccp.why import passed_over
from tests.haccp.test_limits import DAY, LOADED


def why(limit: str, words: set[str], rules) -> dict[str, str]:
    """Name and reason of every row or table that was passed over."""
    return {each.name: each.why for each in passed_over(rules.limit(limit), words, rules)}


def test_it_is_one_of_the_doors_of_the_library():
    assert haccp.explain is explain
    with pytest.raises(AttributeError, match="no unicorn"):
        _ = haccp.unicorn


def test_a_table_for_other_food_says_for_which():
    over = why("USFDA-COOK-POULTRY-165F", {"poultry", "sealed"}, ruleset("US-FDA", DAY))
    assert over["Food Code table for whole roasts"] == "it is for food that is whole muscle."
    assert over["Food Code, vegetables for hot holding"] == "it is for food that is vegetable."
    assert "poultry or stuffed or wild game" not in str(over), "its own table is no other"


def test_a_word_that_bars_a_row_is_named():
    over = why("USFDA-COOK-COMMIN-158F", {"whole muscle", "tenderised"}, ruleset("US-FDA", DAY))
    assert over["Food Code table for whole roasts"] == "it is not for food that is tenderised."


def test_a_second_table_that_applies_must_be_met_as_well():
    over = why("USFDA-COOK-POULTRY-165F", {"poultry", "bound"}, ruleset("US-FDA", DAY))
    named = "Food Code table for minced, tenderised, injected and bound meat"
    assert over[named] == "it applies too, and a row of it must be met as well."


def test_a_row_that_a_layer_stands_in_for_is_named_with_whose_it_is():
    over = why("USNYC-TPHC-COLD", {"time as control", "served cold"}, ruleset("US-NYC", DAY))
    assert "USFDA-TPHC-6H" not in over, "it is of the same table"
    over = why("USNYC-ROP-SEAL", {"sealed hot", "cook-chill"}, ruleset("US-NYC", DAY))
    assert over["USFDA-CCSV-SEAL"] == "USNYC-ROP-SEAL stands in for it (New York City Health Code)."


def test_a_layer_says_whose_row_it_is_and_what_it_stands_in_for():
    city = ruleset("US-NYC", DAY)
    below = explain(city.limit("USFDA-COLD-5"), (), city)
    assert "It is a row of United States, FDA Food Code, on which New York City lies." in below
    assert "It stands in for USFDA-CCSV-SEAL." in explain(city.limit("USNYC-ROP-SEAL"), (), city)
    country = ruleset("US-FDA", DAY)
    assert ", on which" not in explain(country.limit("USFDA-COLD-5"), (), country)


def test_a_row_that_is_off_says_why():
    over = why("USFDA-COOK-POULTRY-165F", {"poultry"}, ruleset("US-FDA", DAY))
    assert over["Food Code before 2017, poultry and stuffed food"].startswith("it is off. Older edition")


def test_a_row_of_another_day_says_until_when():
    """The made-up row stands beside the former table of 9 CFR 318.10, which was taken back in 2018."""
    beside = replace(LOADED["USDA-TRICH-140F"], id="MADE-UP", table="")
    [gone] = passed_over(beside, {"pork"}, ruleset("US-USDA", DAY))
    assert (gone.name, gone.why) == (
        "former USDA table against Trichinella",
        "it is in force only until 2018-07-29.",
    )
    assert len(gone.rows) == 4
    [then] = passed_over(beside, {"pork"}, ruleset("US-USDA", date(2010, 1, 1)))
    assert then.why == "it applies too, and a row of it must be met as well."


def test_a_weaker_row_says_what_it_asks():
    over = why("USDA-COMEUP-STAPH-2LOG", set(), ruleset("US-USDA", DAY))
    assert over["USDA-COMEUP-STAPH-3LOG"] == "it is advice and decides no outcome."
    over = why("UK-RAW-POULTRY-4", {"poultry", "raw", "chilled"}, ruleset("UK", DAY))
    assert over["UK-RECV-NI"] == "it applies too and asks less: at most 8 °C."
    assert over["UK-RAW-MEAT-7"] == "it is for food that is red meat."


def test_the_words_of_a_strict_row_and_of_a_duty_that_begins():
    strict = explain(LOADED["USFDA-TCS-B-PH"])
    assert "less than pH 4.2." in strict
    begins = explain(LOADED["UK-ALLERGEN-SO2"])
    assert "a duty begins there" in begins


@pytest.mark.parametrize("regime", ["UK", "UK-SCT", "IE", "US-FDA", "US-NYC", "AU-VIC", "CA-BC"])
def test_every_row_in_force_explains_itself_within_its_ruleset(regime):
    rules = ruleset(regime, DAY)
    for limit in rules.rows:
        said = explain(limit, limit.applies | limit.any_of, rules)
        assert said.startswith(f"{limit.id}: ")
        assert "  " not in said
        assert ".." not in said.replace("...", "")
        assert limit.section in said


def test_every_figure_has_its_unit_in_words():
    for limit in all_limits():
        assert "_" not in limit.printed or limit.unit in ("rule_ref", "text"), limit.id
    printed = {
        "USFDA-ALLERGEN-9": "9 allergens",
        "USFDA-ROP-PH": "pH 4.6",
        "USFDA-ROP-AW": "water activity 0.91",
        "USFDA-TPHC-6H": "6 h, never warmer than 70 °F",
        "USDA-REC-SSOP": "6 months, on site for 48 h",
        "EU-LM-ND25": "not detected, in a sample of 25 g",
        "EU-LM-COMBO": "pH 5, together with water activity 0.94",
        "EU-TRACE-18": "1 step each way",
        "USFDA-TRACE-204-DATE": "2028-07-20",
    }
    assert {key: LOADED[key].printed for key in printed} == printed
