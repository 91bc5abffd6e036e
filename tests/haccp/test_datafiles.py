"""The library's data files: each entry has a pedigree, a wrong one is refused."""

import tomllib
from pathlib import Path

import pytest

import haccp
from haccp.datafiles import as_range, choose, load, pedigree
from haccp.errors import DataError

DATA = Path(haccp.__file__).parent / "data"
SOURCES = tomllib.loads((DATA / "sources.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["materials", "media", "organisms", "brining"])
def test_every_source_that_an_entry_names_is_in_the_bibliography(name):
    named = {key for table in load(name).values() for key in table["sources"]}
    assert named <= set(SOURCES)
    assert set(load("composition")["sources"]) <= set(SOURCES)


def test_a_missing_file_is_refused():
    with pytest.raises(DataError, match="yeti"):
        load("yeti")


@pytest.mark.parametrize(
    "table",
    [
        {},
        {"provenance": "hearsay"},
        {"provenance": "page seen"},
        {"provenance": "from memory", "sources": []},
    ],
)
def test_an_entry_without_pedigree_is_refused(table):
    with pytest.raises(DataError):
        pedigree(table, "entry")


def test_common_practice_needs_no_source():
    assert pedigree({"provenance": "common practice, no source"}, "entry")[0] == ()


def test_small_helpers_refuse_what_is_wrong():
    with pytest.raises(DataError, match="low, best, high"):
        as_range([1.0, 2.0], "entry")
    with pytest.raises(DataError, match="Choose one of: a, b"):
        choose({"b": 1, "a": 2}, "c", "thing")
