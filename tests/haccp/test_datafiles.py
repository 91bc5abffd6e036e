"""The library's data files: each entry has a pedigree, a wrong one is refused."""

import tomllib
from pathlib import Path

import pytest

import haccp
from haccp import brine, composition, lethality, materials
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


PEDIGREE = {"provenance": "own estimate"}
FOOD = {"name": "Food", "diffusivity": [1.0, 1.1, 1.2], "conductivity": [0.4, 0.5, 0.6], **PEDIGREE}
WATER = {"name": "Water", "heat_transfer": [1.0, 2.0, 3.0], "fall": 1.0, "rise": 1.0, "floor_c": 0.0}
GERM = {"name": "Germ", "food": "any", "d_min": 1.0, "reference_c": 70.0, "z_c": 7.5, **PEDIGREE}


@pytest.mark.parametrize(
    ("module", "reader", "table", "complaint"),
    [
        (materials, materials.materials, {**FOOD, "diffusivity": [0.0, 1.0, 2.0]}, "above zero"),
        (materials, materials.materials, {"name": "Food", **PEDIGREE}, "lacks 'diffusivity'"),
        (materials, materials.media, {**WATER, **PEDIGREE}, "lacks 'ceiling_c'"),
        (
            materials,
            materials.media,
            {**WATER, **PEDIGREE, "ceiling_c": 100.0, "rates": "", "fall": 0.0},
            "greatest rates",
        ),
        (lethality, lethality.organisms, {**GERM, "d_min": 0.0}, "above zero"),
        (lethality, lethality.organisms, {"name": "Germ", **PEDIGREE}, "lacks 'food'"),
        (brine, brine._guidance, {"materials": ["poultry"], **PEDIGREE}, "lacks 'thin_up_to_mm'"),
        (composition, composition._coefficients, {"water": [1.0]}, "A, B, C"),
    ],
)
def test_a_broken_entry_names_itself(monkeypatch, module, reader, table, complaint):
    monkeypatch.setattr(module, "load", lambda name: {"entry": table})
    with pytest.raises(DataError, match=complaint) as caught:
        reader.__wrapped__()
    assert "haccp/data/" in str(caught.value)
