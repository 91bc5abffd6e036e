"""The bibliography: whole entries, known keys, nothing idle."""

from __future__ import annotations

import copy

import pytest

from haccp.datafiles import PROVENANCES, load
from haccp.errors import DataError
from haccp.limits import all_limits
from haccp.sources import check_sources, cited, data_names, parse_sources, source, sources


def test_every_key_that_is_cited_is_known_and_nothing_is_idle():
    check_sources()
    assert {"uk", "us-fda", "materials", "media", "organisms"} <= set(data_names())


@pytest.mark.parametrize("one", sources().values(), ids=lambda one: one.key)
def test_every_source_says_what_it_is_and_how_far_it_was_confirmed(one):
    assert one.title
    assert one.body
    assert one.provenance in PROVENANCES
    assert one.title in one.citation


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"title": None}, "missing: title"),
        ({"colour": "red"}, "unknown: colour"),
        ({"title": " "}, "title must not be empty"),
        ({"provenance": "heard"}, "provenance must be one of"),
    ],
)
def test_an_entry_that_does_not_hold_together_is_named(changes, says):
    tables = copy.deepcopy({"fda-food-code": load("sources")["fda-food-code"]})
    for key, value in changes.items():
        if value is None:
            del tables["fda-food-code"][key]
        else:
            tables["fda-food-code"][key] = value
    with pytest.raises(DataError, match=says) as caught:
        parse_sources(tables, "sources.toml")
    assert "sources.toml [fda-food-code]" in str(caught.value)


def test_keys_are_found_wherever_a_data_file_cites():
    tables = {"a": {"sources": ["one", "two"]}, "b": [{"source": "three", "note": "source four"}]}
    assert list(cited(tables)) == ["one", "two", "three"]


def test_an_unknown_key_names_the_choices():
    with pytest.raises(DataError, match="fda-food-code"):
        source("nobody-1900")


def test_every_finding_can_name_its_source_in_few_words():
    assert all(len(each.whose) <= 60 for each in all_limits())
