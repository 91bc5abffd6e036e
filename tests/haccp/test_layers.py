"""A local layer over a regime, rows of one regime shown in another, and no figure of law in the code.

The layer is made up for the test; the regime under it is the shipped one.
"""

from __future__ import annotations

import ast
import copy
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from haccp import limits
from haccp.datafiles import load
from haccp.limits import Regime, all_limits, diff, parse_regime, regimes, ruleset

DAY = date(2026, 3, 3)


@pytest.fixture
def layered(monkeypatch):
    """The shipped regimes and one layer: 6 °C in the fridge from 2026 on, in place of 8 °C."""
    shipped = regimes()
    row = copy.deepcopy(next(each for each in load("uk")["limit"] if each["id"] == "UK-CHILL-8"))
    row |= {"id": "ISLE-CHILL-6", "value": 6, "from": date(2026, 1, 1), "replaces": ["UK-CHILL-8"]}
    head = {"regime": "UK-ISLE", "name": "An island", "over": "UK", "takes": []}
    layer = parse_regime({**head, "limit": [row]}, "isle.toml")
    monkeypatch.setattr(limits, "regimes", lambda: {**shipped, "UK-ISLE": layer})
    limits._ruleset.cache_clear()
    yield
    limits._ruleset.cache_clear()


def test_a_layer_replaces_what_it_names_and_keeps_the_rest(layered):
    isle, mainland = ruleset("UK-ISLE", DAY), ruleset("UK", DAY)
    [was, now] = sorted(diff(mainland, isle), key=lambda each: each.id, reverse=True)
    assert (was.id, was.after) == ("UK-CHILL-8", None)
    assert (now.id, now.before) == ("ISLE-CHILL-6", None)
    assert isle.table(isle.limit("UK-COOK-FSA-60")).name == "Food Standards Agency list"
    assert isle.digest != mainland.digest


def test_before_its_first_day_a_row_of_a_layer_replaces_nothing(layered):
    before = {each.id for each in ruleset("UK-ISLE", date(2025, 12, 31)).rows}
    assert "UK-CHILL-8" in before
    assert "ISLE-CHILL-6" not in before


def test_a_row_of_another_regime_is_shown_as_advice_and_decides_nothing():
    for regime in ("UK", "US-FDA"):
        rules = ruleset(regime, DAY)
        assert rules.limit("USDA-COOK-COMEUP").advice
        assert "USDA-COOK-COMEUP" not in {each.id for each in rules.limits("cook")}
        assert [each.id for each in rules.limits("cook", advice=True)] == ["USDA-COOK-COMEUP"]


def test_a_changed_row_names_its_fields():
    before = ruleset("UK", DAY)
    rows = tuple(replace(row, status="research") if row.id == "UK-CHILL-8" else row for row in before.rows)
    [change] = diff(before, replace(before, rows=rows))
    assert (change.id, change.fields) == ("UK-CHILL-8", ("status",))


def test_a_regime_holds_its_own_rows_only():
    for regime in regimes().values():
        assert isinstance(regime, Regime)
        assert {each.regime for each in regime.limits} == {regime.key}


# Numbers that are no limits: none, one, two edges, seconds and minutes, hours, metres of rounding.
PLAIN = {0, 1, 2, 3, 5, 6, 10, 12, 60, 24, 0.5}
HOME = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("path", sorted((HOME / "haccp/rules").glob("*.py")), ids=lambda path: path.name)
def test_no_figure_of_law_stands_in_a_rule(path):
    """Every hold, temperature and time of the data is searched for among the numbers of the rules."""
    law = set()
    for limit in all_limits():
        for each in (limit.hold, limit.upper, limit.start, limit.end, limit.also):
            law |= {float(each.value)} if each is not None else set()
        law |= {float(limit.value), limit.amount.seconds} if limit.unit in ("min", "h", "s") else set()
        law |= {float(limit.value), limit.amount.celsius} if limit.unit in ("degC", "degF") else set()
    tree = ast.parse(path.read_text(encoding="utf-8"))
    numbers = {
        float(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, int | float)
        and not isinstance(node.value, bool)
    }
    assert (numbers - PLAIN) & law == set()


# -- the layers that are shipped ------------------------------------------------------------------


LAYERS = {
    "UK-SCT": "UK",
    "US-NYC": "US-FDA",
    "AU-NSW": "AU-NZ",
    "AU-VIC": "AU-NZ",
    "CA-BC": "CA",
    "IE": "EU",
    "EU-FR": "EU",
    "EU-FI": "EU",
}


def test_each_local_layer_lies_over_its_country():
    assert {key: each.over for key, each in regimes().items() if each.over} == LAYERS
    assert {key for key, each in regimes().items() if not each.sites} == {"US-USDA", "Science"}


@pytest.mark.parametrize(("layer", "under"), LAYERS.items(), ids=LAYERS)
def test_a_layer_holds_its_country_less_what_it_replaces(layer, under):
    over, below = ruleset(layer, DAY), ruleset(under, DAY)
    own = {each.id for each in regimes()[layer].limits}
    replaced = {old for each in over.rows for old in each.replaces}
    assert {each.id for each in over.rows} - own == {each.id for each in below.rows} - replaced
    changed = {change.id for change in diff(below, over)}
    assert changed == {each.id for each in over.rows if each.id in own} | (
        replaced & {each.id for each in below.rows}
    )


def test_what_new_york_city_asks_otherwise():
    """NYC Health Code Article 81, table 1 of 81.10 and 81.12 (page seen)."""
    words = {"time as control", "served cold", "sealed hot", "cook-chill"}
    city, country = ruleset("US-NYC", DAY), ruleset("US-FDA", DAY)
    assert {each.id for each in city.limits("serve_ambient", words)} == {"USFDA-TPHC-4H", "USNYC-TPHC-COLD"}
    assert {each.id for each in country.limits("serve_ambient", words)} == {"USFDA-TPHC-4H", "USFDA-TPHC-6H"}
    [seal] = city.limits("cook", words, quantity="food_temperature")
    assert (seal.id, seal.printed) == ("USNYC-ROP-SEAL", "140 °F")
    [seal] = country.limits("cook", words, quantity="food_temperature")
    assert (seal.id, seal.printed) == ("USFDA-CCSV-SEAL", "135 °F")
