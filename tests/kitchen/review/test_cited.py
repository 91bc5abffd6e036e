"""A limit is cited as its own row and its own source print it."""

import tomllib
from importlib.resources import files

import pytest

from kitchen.review.cited import cite, cite_all


def row(file: str, key: str) -> dict:
    data = tomllib.loads(files("haccp").joinpath(f"data/{file}.toml").read_text())
    return next(each for each in data["limit"] if each["id"] == key)


@pytest.mark.parametrize("key", ["UK-COOK-FSA-60", "UK-CHILL-8", "UK-CCH-COOL-1"])
def test_source_section_edition_status_and_provenance(factory, key):
    cited, printed = cite(key, factory.batch()), row("uk", key)
    source = tomllib.loads(files("haccp").joinpath("data/sources.toml").read_text())[printed["source"]]
    assert cited is not None
    assert cited.title == source["title"]
    assert (cited.section, cited.status, cited.provenance) == (
        printed["section"],
        printed["status"],
        printed["provenance"],
    )
    assert cited.edition == (printed["edition"] or source["year"])
    assert key in cited.explanation


def test_the_figure_says_its_side_and_its_unit(factory):
    assert cite("UK-CHILL-8", factory.batch()).figure == "at most 8 °C"


def test_a_limit_that_nobody_knows_is_left_out(factory):
    assert cite_all(["UK-CHILL-8", "NO-SUCH-ROW", "UK-CHILL-8"], factory.batch()).keys() == {"UK-CHILL-8"}
