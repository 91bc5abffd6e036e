"""What stops the law from loading: every error names its file and its row."""

from __future__ import annotations

import copy
import re
from datetime import date

import pytest

from haccp import limits
from haccp.datafiles import load
from haccp.errors import DataError
from haccp.limits import parse_regime
from haccp.sources import data_names

UK = "haccp/data/uk.toml"


def law() -> dict[str, dict]:
    """The tables of every limits file, by file name, ready to be broken."""
    files = {f"haccp/data/{name}.toml": load(name) for name in data_names()}
    return {file: copy.deepcopy(data) for file, data in files.items() if "regime" in data}


def one(file: str) -> dict:
    """The tables of one file, whose last row may be broken."""
    data = load(file.removeprefix("haccp/data/").removesuffix(".toml"))
    return {**data, "limit": [*data["limit"][:-1], copy.deepcopy(data["limit"][-1])]}


def refused(data: dict[str, dict]) -> str:
    """What the loader says of the files as they are now."""
    with pytest.raises(DataError) as caught:
        limits._joined(data)
    return str(caught.value)


def test_the_law_as_shipped_loads():
    assert len(limits._joined(law())) == 16


def test_two_rows_with_one_id_in_two_files_are_named_with_both_files():
    data = law()
    stray = copy.deepcopy(data["haccp/data/ca.toml"]["limit"][0])
    data[UK]["limit"].append(stray)
    said = refused(data)
    number = len(data[UK]["limit"])
    assert said == f"{UK}, limit {number}: the id {stray['id']} is in haccp/data/ca.toml already."


def test_two_files_of_one_regime_are_named():
    data = law()
    data["haccp/data/uk2.toml"] = copy.deepcopy(data[UK])
    assert refused(data) == f"haccp/data/uk2.toml: the regime UK has a file already, {UK}."


def test_a_layer_over_nothing_or_over_itself_is_named():
    data = law()
    data["haccp/data/us-nyc.toml"]["over"] = "Atlantis"
    assert refused(data) == "haccp/data/us-nyc.toml: US-NYC is a layer over Atlantis, which has no file."
    data = law()
    data["haccp/data/us-fda.toml"]["over"] = "US-NYC"
    assert refused(data).endswith("is a layer over itself.")


def test_a_row_taken_or_replaced_that_is_nowhere_is_named():
    data = law()
    data[UK]["takes"] = ["NOWHERE-1"]
    assert refused(data) == f"{UK}: takes names NOWHERE-1, which no file has."
    data = law()
    data["haccp/data/us-nyc.toml"]["limit"][0]["replaces"] = ["NOWHERE-2"]
    said = refused(data)
    assert said.startswith("haccp/data/us-nyc.toml, limit 1 (USNYC-TPHC-COLD): replaces names NOWHERE-2")


def test_a_layer_replaces_rows_below_it_and_of_no_other_regime():
    data = law()
    data["haccp/data/us-nyc.toml"]["limit"][0]["replaces"] = ["UK-CHILL-8"]
    assert "replaces names UK-CHILL-8, which US-NYC and US-FDA do not have" in refused(data)


def test_a_row_of_a_layer_may_be_one_of_a_table_below_it_and_of_no_other():
    data = law()
    data["haccp/data/us-nyc.toml"]["limit"][0]["table"] = "us-tphc"
    limits._joined(data)
    data["haccp/data/us-nyc.toml"]["limit"][0]["table"] = "uk-core"
    assert "limit 1 (USNYC-TPHC-COLD): there is no table “uk-core”" in refused(data)


def test_a_table_that_no_file_of_holds_has_is_named():
    data = law()
    data["haccp/data/us-usda.toml"]["table"][0]["between"] = ["us-unicorn"]
    assert "us-usda.toml, table usda-meat-65: haccp/data/holdtables.toml has no table" in refused(data)


@pytest.mark.parametrize("file", sorted(law()))
@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("source", None, "source missing"),
        ("source", "nobody-1900", "the bibliography has no source “nobody-1900”"),
        ("from", date(2199, 1, 1), "ends before it starts"),
        ("unit", None, "unit missing"),
        ("applies", ["unicorn"], "applies has “unicorn”, which haccp/words.py does not have"),
        ("unless", ["unicorn"], "unless has “unicorn”"),
        ("any_of", ["poultry", "unicorn"], "any_of has “unicorn”"),
        ("applies", "poultry", "applies is a list of words"),
        ("quantity", "colour", "quantity is “colour”"),
        ("topic", "fashion", "topic is “fashion”"),
        ("clock", "noon", "clock is “noon”"),
        ("event", "noon", "event is “noon”"),
        ("tier", "attic", "tier is “attic”"),
        ("medium", "soup", "medium is “soup”"),
        ("counts_from", "birth", "counts_from is “birth”"),
        ("second", {"value": 1, "unit": "h"}, "a second figure comes with second_is"),
        ("second_is", "guessed", "second_is is “guessed”"),
        ("colour", "red", "unknown key colour"),
    ],
)
def test_the_last_row_of_every_file_is_named_when_it_is_broken(file, key, value, says):
    data = one(file)
    last = data["limit"][-1]
    for name in ("second", "second_is"):
        last.pop(name, None)
    if key == "from":
        last["until"] = date(2198, 12, 31)
    if value is None:
        del last[key]
    else:
        last[key] = value
    with pytest.raises(DataError, match=re.escape(says)) as caught:
        parse_regime(data, file)
    assert str(caught.value).startswith(f"{file}, limit {len(data['limit'])} ({last['id']}): ")


def first_row(**changes: object) -> dict:
    """The UK file with its first row changed."""
    data = law()[UK]
    data["limit"][0] |= changes
    return data


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"unit": "date", "value": "2020-01-01"}, "a value in date is a day"),
        ({"unit": "text", "operator": "", "value": 3}, "must not be a number"),
        ({"unit": "degC", "value": True}, "must be a number"),
        ({"upper": {"value": 9, "unit": "degC"}}, "“within” needs its upper edge"),
        ({"quantity": "freeze_hold"}, "a hold needs how long it is"),
        ({"second": {"value": 1, "unit": "mile"}, "second_is": "none over"}, "one of these units"),
        ({"value": float("nan")}, "must be a number"),
    ],
)
def test_figures_that_do_not_go_together_stop_loading(changes, says):
    with pytest.raises(DataError, match=says) as caught:
        parse_regime(first_row(**changes), UK)
    assert "limit 1 (UK-CHILL-8)" in str(caught.value)


def test_a_day_is_a_value_of_its_own():
    row = first_row(unit="date", value=date(2021, 10, 1), operator=">=", quantity="date")
    limit = parse_regime(row, UK).limits[0]
    assert (limit.value, limit.text, limit.day) == (None, "2021-10-01", date(2021, 10, 1))
    assert limits.regimes()["UK"].limits[0].day is None
