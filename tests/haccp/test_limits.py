"""The limits as data: complete, as the reference prints them, dated, and loud when something is missing."""

from __future__ import annotations

import copy
import json
import subprocess
import sys
from datetime import date
from fractions import Fraction

import pytest

from haccp import explain, sources
from haccp.datafiles import load
from haccp.errors import DataError
from haccp.limitrows import STATUSES, Amount, exact
from haccp.limits import all_limits, diff, parse_regime, regimes, ruleset
from haccp.sources import source
from tests.haccp.tables import rows

DAY = date(2026, 3, 3)
REFERENCE = rows("limits_reference.csv")
LOADED = {each.id: each for each in all_limits()}


TITLES = {row["gathered"]: row["title"] for row in rows("source_titles.csv")}
BY_REGIME = {
    "UK": 99,
    "UK-SCT": 4,
    "EU": 49,
    "IE": 15,
    "EU-FI": 4,
    "EU-FR": 1,
    "US-FDA": 104,
    "US-NYC": 2,
    "US-USDA": 103,
    "CA": 8,
    "CA-BC": 8,
    "AU-NZ": 25,
    "AU-NSW": 5,
    "AU-VIC": 3,
    "Codex": 10,
    "Science": 6,
}


def amounts_of(limit) -> list[Amount]:
    """Every number that a row prints, in each unit of print."""
    found = [limit.also, limit.hold, limit.upper, limit.start, limit.end, limit.also_end]
    found += [limit.store, limit.also_store, limit.second, limit.amount if limit.value is not None else None]
    return [each for each in found if each is not None]


def prints(amount: Amount, value: str, unit: str) -> bool:
    """Whether an amount is the gathered figure; one in °F is gathered in °C, to the digits given."""
    if amount.unit == "degF" and unit == "degC":
        _, _, digits = value.partition(".")
        half = Fraction(1, 2 * 10 ** len(digits.rstrip("0")))
        return abs(amount.exact_celsius - Fraction(value)) <= half
    return (amount.value, amount.unit) == (Fraction(value), unit)


@pytest.mark.parametrize("row", REFERENCE, ids=lambda row: row["id"])
def test_every_row_of_the_reference_is_loaded_with_its_value_unit_operator_and_source(row):
    limit = LOADED[row["id"]]
    assert (limit.regime, limit.topic, limit.quantity) == (row["regime"], row["topic"], row["quantity"])
    assert limit.operator == row["operator"]
    title = row["source_title"]
    assert TITLES.get(title, title).removeprefix("FDA ") == source(limit.source).title.removeprefix("FDA ")
    assert limit.section == (row["source_section"] or limit.section)
    assert limit.provenance.startswith("page seen" if "seen" in row["provenance"] else "from memory")
    assert limit.confidence == (row["confidence"] or limit.confidence)
    assert (limit.strict, limit.trigger) == (row["strict"] == "yes", row["trigger"] == "yes")
    if limit.value is None:
        assert (limit.text, limit.unit) == (row["value"], row["unit"])
    else:
        # A row printed in both units keeps the other one beside it.
        first = limit.also if limit.also is not None and limit.also.unit == row["unit"] else limit.amount
        assert prints(first, row["value"], row["unit"])
    if row["value2"]:
        assert any(prints(each, row["value2"], row["unit2"]) for each in amounts_of(limit))


def test_no_row_is_left_out_and_none_is_added():
    assert {key: len(regime.limits) for key, regime in regimes().items()} == BY_REGIME
    assert {row["id"] for row in REFERENCE} == set(LOADED)
    assert len(REFERENCE) == sum(BY_REGIME.values()) == 446


def test_both_units_of_print_agree_to_the_rounding_of_print():
    """Food Code figures: °F whole, °C rounded to one digit or to a whole degree (own computation)."""
    for limit in LOADED.values():
        if limit.also is not None and limit.unit == "degF":
            step = 0.1 if limit.also.value.denominator > 1 or limit.also.value == 70 else 1.0
            assert abs(limit.amount.celsius - limit.also.celsius) <= step, limit.id


@pytest.mark.parametrize("limit", LOADED.values(), ids=lambda limit: limit.id)
def test_every_row_says_where_it_comes_from_and_what_it_does_not_cover(limit):
    assert limit.condition
    assert limit.section
    assert limit.last_confirmed >= date(2026, 1, 1)
    assert limit.status in STATUSES
    assert explain(limit).startswith(f"{limit.id}: ")


# -- what makes loading fail ----------------------------------------------------------------------


def broken(**changes: object) -> dict:
    """The UK file with its first row changed; a value of None takes the key out."""
    data = copy.deepcopy(load("uk"))
    for key, value in changes.items():
        name = key.rstrip("_")
        if value is None:
            del data["limit"][0][name]
        else:
            data["limit"][0][name] = value
    return data


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"source": None}, "source missing"),
        ({"source": "nobody"}, "no source “nobody”"),
        ({"unit": None}, "unit missing"),
        ({"unit": "furlong"}, "unit must be one of"),
        ({"colour": "red"}, "unknown key colour"),
        ({"status": "rumour"}, "status must be one of"),
        ({"provenance": "heard"}, "provenance must be one of"),
        ({"operator": "<"}, "operator must be one of"),
        ({"operator": ""}, "a number needs an operator"),
        ({"value": "eight"}, "must be a number"),
        ({"from_": "2006"}, "days are written"),
        ({"until": date(2000, 1, 1)}, "ends before it starts"),
        ({"quantity": "core_hold"}, "how long it is"),
        ({"operator": "within"}, "upper edge"),
        ({"hold": {"value": 3}}, "a value and a unit"),
        ({"table": "nowhere"}, "no table “nowhere”"),
        ({"not_covered": None}, "not_covered missing"),
        ({"last_confirmed": None}, "last_confirmed missing"),
    ],
)
def test_a_row_that_does_not_hold_together_stops_loading_and_is_named(changes, says):
    with pytest.raises(DataError, match=says) as caught:
        parse_regime(broken(**changes), "haccp/data/uk.toml")
    assert "haccp/data/uk.toml, limit 1" in str(caught.value)
    assert "UK-CHILL-8" in str(caught.value)


def test_two_rows_with_one_id_stop_loading():
    data = broken()
    data["limit"].append(copy.deepcopy(data["limit"][0]))
    last = len(data["limit"])
    with pytest.raises(DataError, match=rf"uk\.toml, limit {last}: the id UK-CHILL-8 is there already"):
        parse_regime(data, "haccp/data/uk.toml")


def test_a_source_that_nothing_cites_and_a_key_that_no_source_has_are_errors(monkeypatch):
    known = sources.sources()
    monkeypatch.setattr(sources, "sources", lambda: {**known, "idle-2001": known["fda-food-code"]})
    with pytest.raises(DataError, match="nothing cites idle-2001"):
        sources.check_sources()
    less = {key: each for key, each in known.items() if key != "fda-food-code"}
    monkeypatch.setattr(sources, "sources", lambda: less)
    with pytest.raises(DataError, match=r"[a-z-]+\.toml cites “fda-food-code”"):
        sources.check_sources()


# -- selection, dates and digest -------------------------------------------------------------------


def test_a_limit_is_in_force_from_its_first_to_its_last_day():
    data = broken(from_=date(2020, 2, 1), until=date(2020, 2, 29))
    limit = parse_regime(data, "f").limits[0]
    days = [date(2020, 1, 31), date(2020, 2, 1), date(2020, 2, 29), date(2020, 3, 1)]
    assert [limit.in_force(day) for day in days] == [False, True, True, False]


def test_rows_from_memory_with_little_trust_and_officers_advice_are_off_until_chosen():
    off = {each.id for each in LOADED.values() if each.ships_off}
    assert {"UK-COOK-STRICT-60", "UK-COOK-MINTEMP-60", "UK-COOL-2H-30", "UK-LIFE-3D"} <= off
    assert "USFDA-COOK-POULTRY-165F-OLD" in off
    assert not off & {each.id for regime in regimes() for each in ruleset(regime, DAY).rows}
    chosen = ruleset("UK", DAY, ["UK-LIFE-3D"])
    assert "UK-LIFE-3D" in {each.id for each in chosen.rows}
    with pytest.raises(DataError, match="no limit UK-NOTHING"):
        ruleset("UK", DAY, ["UK-NOTHING"])
    low = parse_regime(broken(confidence="low"), "f").limits[0]
    assert "low confidence" in low.ships_off


@pytest.mark.parametrize(
    ("regime", "words", "tables"),
    [
        ("UK", {"poultry"}, {"uk-core"}),
        ("UK", {"fish", "long life"}, {"uk-core", "uk-long-life"}),
        ("US-FDA", {"whole muscle"}, {"us-roast"}),
        ("US-FDA", {"whole muscle", "tenderised"}, {"us-comminuted"}),
        ("US-FDA", {"whole muscle", "rolled"}, {"us-comminuted"}),
        ("US-FDA", {"poultry"}, {"us-poultry"}),
        ("US-FDA", {"poultry", "bound"}, {"us-poultry", "us-comminuted"}),
        ("US-FDA", {"whole muscle", "stuffed"}, {"us-poultry"}),
        ("US-FDA", {"fish"}, {"us-intact"}),
        ("US-FDA", {"vegetable"}, {"us-plant"}),
    ],
)
def test_the_attributes_of_a_food_choose_its_cook_tables(regime, words, tables):
    assert {each.table for each in ruleset(regime, DAY).limits("cook", words)} - {""} == tables


def test_the_digest_follows_the_rows_and_nothing_else():
    one, again = ruleset("UK", DAY), ruleset("UK", date(2026, 3, 4))
    assert one.digest == again.digest
    assert len(one.digest) == 64
    assert one.digest != ruleset("US-FDA", DAY).digest
    chosen = ruleset("UK", DAY, ["UK-LIFE-3D"])
    assert one.digest != chosen.digest
    [change] = diff(one, chosen)
    assert (change.id, change.before) == ("UK-LIFE-3D", None)
    with pytest.raises(AttributeError):
        one.name = "elsewhere"  # type: ignore[misc]


def test_an_unknown_regime_names_the_choices():
    with pytest.raises(DataError, match=r"Choose one of: .*UK, .*US-FDA, US-NYC"):
        ruleset("Atlantis", DAY)


def test_a_limit_explains_itself_in_plain_words():
    said = explain(ruleset("US-FDA", DAY).limit("USFDA-COOK-POULTRY-165F"), {"poultry", "bound"})
    for part in ("165 °F", "because the food is: poultry", "3-401.11(A)(3)", "model code", "page seen"):
        assert part in said


# -- exactness --------------------------------------------------------------------------------------


def test_fahrenheit_is_converted_exactly():
    """Definition of the scale: °C = (°F − 32) × 5/9."""
    assert Amount(Fraction(130), "degF").exact_celsius == Fraction(490, 9)
    assert Amount(Fraction(41), "degF").exact_celsius == 5


def test_a_limit_is_judged_in_its_unit_of_print():
    """131 °F is 55 °C; 130 °F is 54.44… °C and not the 54.4 °C printed beside it."""
    roast = ruleset("US-FDA", DAY).limit("USFDA-COOK-ROAST-130F")
    assert not roast.admits_celsius(exact(54.4))
    assert not roast.admits_celsius(exact(54.44))
    assert roast.admits_celsius(exact(54.45))
    cold = ruleset("US-FDA", DAY).limit("USFDA-COLD-5")
    assert cold.admits_celsius(exact(5.0))
    assert not cold.admits_celsius(exact(5.01))
    band = ruleset("UK", DAY).limit("UK-PROBE-ICE")
    assert [band.admits_celsius(exact(each)) for each in (-1.01, -1.0, 1.0, 1.01)] == [
        False,
        True,
        True,
        False,
    ]


def test_the_command_prints_every_row_as_json():
    ran = subprocess.run(
        [sys.executable, "-m", "haccp.limits", "--json"], capture_output=True, text=True, check=True
    )
    printed = json.loads(ran.stdout)
    assert {row["id"] for row in printed} == set(LOADED)
    asked = ["id", "regime", "topic", "quantity", "operator", "value", "unit"]
    asked += ["from", "until", "source", "status", "provenance"]
    assert all(set(asked) <= row.keys() for row in printed)
