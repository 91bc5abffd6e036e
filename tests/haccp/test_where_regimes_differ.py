"""Where regimes differ on what one batch can't show: the row that a food meets in each, and its figure.

The points are those of section 14 of the gathered record duties; the figures are those of the sources
that each row cites. The batch is that of test_six_regimes.py.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from haccp.assess import assess
from haccp.limits import Limit, ruleset
from haccp.record import Outcome
from haccp.rules.probe import judge_probe_check
from tests.haccp.kitchen_log import DAY, of, rules
from tests.haccp.test_six_regimes import CHICKEN, judged, record


def rows(regime: str, topic: str, *words: str, quantity: str | None = None, chosen: str = "") -> list[Limit]:
    chosen_rows = [chosen] if chosen else []
    return list(rules(regime, chosen_rows).limits(topic, frozenset(words), quantity=quantity))


def printed(found: list[Limit]) -> dict[str, str]:
    return {each.id: each.printed for each in found}


def test_fish_for_eating_raw_is_frozen_a_day_or_a_week():
    fish = ("fish", "raw", "not heated")
    day = printed(rows("UK", "parasite", *fish, quantity="freeze_hold"))
    assert day["UK-PARA-20"] == "−20 °C for 24 h"
    assert printed(rows("IE", "parasite", *fish))["EU-PARA-20"] == "−20 °C for 24 h"
    assert printed(rows("US-FDA", "parasite", *fish))["USFDA-PARA-1"] == "−4 °F for 168 h"


def test_at_60_degrees_the_holds_differ():
    core = {"quantity": "core_hold"}
    assert printed(rows("UK", "cook", "red meat", **core))["UK-COOK-FSA-60"] == "60 °C for 45 min"
    strict = printed(rows("UK", "cook", "red meat", **core, chosen="UK-COOK-STRICT-60"))
    assert strict["UK-COOK-STRICT-60"] == "60 °C for 93 min"
    roast = printed(rows("US-FDA", "cook", "red meat", "whole muscle", **core))
    assert roast["USFDA-COOK-ROAST-140F"] == "140 °F for 12 min"
    lowest = min(rows("US-FDA", "cook", "whole muscle", **core), key=lambda row: row.amount.celsius)
    assert lowest.printed == "130 °F for 112 min"


def test_nitrite_is_reckoned_as_the_salt_or_as_the_ion():
    assert {row.quantity: row.printed for row in rows("UK", "cure", "cured") if row.value is not None} == {
        "sodium_nitrite_ingoing": "150 mg/kg"
    }
    europe = {row.quantity: row.printed for row in rows("EU", "cure", "cured") if row.value is not None}
    assert europe == {"nitrite_ion_ingoing": "80 mg/kg", "nitrite_ion_residual": "45 mg/kg"}
    before = ruleset("EU", DAY.replace(year=2025)).limits(
        "cure", {"cured"}, quantity="sodium_nitrite_ingoing"
    )
    assert [row.printed for row in before] == ["150 mg/kg"]
    assert [row.quantity for row in rows("AU-VIC", "cure", "cured")] == ["sodium_nitrite_total"]


@pytest.mark.parametrize(
    ("regime", "limit", "figure"),
    [
        ("UK", "UK-CHILL-8", "8 °C"),
        ("IE", "IE-CHILL-5", "0 °C to 5 °C"),
        ("US-FDA", "USFDA-COLD-5", "41 °F"),
        ("AU-NSW", "AU-COLD-5", "5 °C"),
        ("CA-BC", "CABC-COLD-4", "4 °C"),
    ],
)
def test_cold_food_is_kept_at_five_figures(regime, limit, figure):
    assert printed(rows(regime, "chill_store", "chilled", quantity="food_temperature"))[limit] == figure


def test_scotland_prints_no_figure_for_the_cold_store_so_nothing_is_proven_by_one():
    assert rows("UK-SCT", "chill_store", "chilled", quantity="food_temperature") == []
    plain = replace(CHICKEN, attributes=frozenset({"poultry"}))
    found = assess(replace(record("UK-SCT"), method=plain), rules("UK-SCT"))
    assert {(each.limit, each.outcome) for each in of(found, "store.figure")} == {
        ("UK-SC-CHILL", Outcome.UNPROVEN)
    }
    assert of(judged("UK-SCT"), "store.figure") == []  # the guidelines for cook-chill print one


def test_europe_prints_no_time_for_the_chill_and_france_does():
    europe, france = (assess(record(each), rules(each)) for each in ("EU", "EU-FR"))
    assert {(each.limit, each.outcome) for each in of(europe, "chill.figure")} == {
        ("EU-COOL", Outcome.UNPROVEN)
    }
    assert of(france, "chill.figure") == []
    assert {each.limit for each in of(france, "chill.stage")} == {"EU-FR-COOL"}


def test_a_bath_probe_in_new_south_wales_is_ten_times_as_fine():
    accuracy = {row.medium: row.printed for row in rows("AU-NSW", "probe_check", quantity="accuracy")}
    assert accuracy == {"food": "−1 °C to 1 °C", "bath": "−0.1 °C to 0.1 °C"}
    assert "USFDA-PROBE-FOOD" in printed(rows("US-FDA", "probe_check", quantity="accuracy"))


@pytest.mark.parametrize(
    ("regime", "limit"), [("IE", "UK-PROBE-ICE"), ("CA-BC", "UK-PROBE-ICE"), ("AU-VIC", "AU-PROBE-1")]
)
def test_a_probe_can_be_judged_where_the_regime_prints_nothing_of_it(regime, limit):
    """A row taken as advice stands in, and only there."""
    for celsius, passed in ((1.0, True), (1.1, False)):
        verdict = judge_probe_check("ice", celsius, 0.0, rules(regime))
        assert (verdict.passed, verdict.limit) == (passed, limit)
