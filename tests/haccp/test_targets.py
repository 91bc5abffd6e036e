"""Reductions that are asked, what come-up growth adds, and what a curve gives."""

import math

import pytest

from haccp.errors import DataError, RangeError
from haccp.lethality import log_reduction, organism
from haccp.targets import parse_target, reduction_along, required_log, target, targets, targets_for
from tests.haccp.tables import rows


def asked(words: set[str], where: str | None = None) -> dict[str, float]:
    """Target ids and reductions for a food."""
    return {each.id: each.log10 for each in targets_for(words, where)}


def test_the_reductions_that_guidance_names():
    """6.5 log Salmonella in meat, 7 in poultry and poultry with meat (US guideline, page seen), 6 log
    Listeria behind 2 min at 70 °C (page seen), 5 log E. coli O157 (guide, secondary), 6 for long life."""
    assert asked({"whole muscle"}, "US")["us-salmonella-meat"] == 6.5
    assert asked({"poultry", "minced"}, "US")["us-salmonella-poultry"] == 7.0
    assert "us-salmonella-meat" not in asked({"poultry", "minced"}, "US")
    assert asked({"poultry"}, "UK")["uk-listeria"] == 6.0
    assert asked({"minced"})["e-coli-meat"] == 5.0
    assert asked({"minced"}, "UK")["uk-e-coli-minced"] == 6.0
    assert "uk-e-coli-minced" not in asked({"whole muscle"}, "UK")
    assert asked({"long life"}, "UK")["uk-botulinum-long-life"] == 6.0
    assert asked({"shellfish", "fish"}, "US")["us-hepatitis-a-shellfish"] == 4.0
    assert not any(each.startswith("us") for each in asked({"poultry"}, "UK"))


@pytest.mark.parametrize("each", targets().values(), ids=lambda each: each.id)
def test_a_target_is_the_one_that_its_resistance_and_its_tables_stand_for(each):
    assert all(kind.log_target == each.log10 for kind in each.resistance)
    assert all(table.log10 == each.log10 for table in each.tables)


@pytest.mark.parametrize(
    "row",
    [row for row in rows("d_z_values.csv") if row["log_target"]],
    ids=lambda row: f"{row['organism']} {row['food'][:20]}",
)
def test_every_published_target_is_there(row):
    """Canned food (12 log) and milk (5 log of Coxiella) are not made in water baths: no target is kept."""
    outside = ("C. botulinum proteolytic", "Coxiella")
    if row["organism"].startswith(outside):
        assert not any(row["organism"] in each.organism for each in targets().values())
        return
    name = row["organism"].replace(":H7 and non-O157 STEC", "").replace(":H7", "").split(" cocktail")[0]
    name = name.replace("C. botulinum type E", "non-proteolytic C. botulinum").split(" type B")[0]
    every = {each.log10 for each in targets().values() if name.lower() in each.organism.lower()}
    assert float(row["log_target"]) in every


def test_growth_on_the_way_up_is_added():
    """6.5 log wanted and 3 log grown: 9.5 log (US cooking guideline, page seen, as an example)."""
    assert required_log(target("us-salmonella-meat").log10, 3.0) == 9.5
    assert required_log(target("us-salmonella-meat").log10, 0.0) == 6.5
    assert required_log(target("us-salmonella-poultry").log10, 0.4) == pytest.approx(7.4)


@pytest.mark.parametrize("growth", [-0.1, math.nan, math.inf, 11.0])
def test_no_growth_is_refused(growth):
    with pytest.raises(RangeError, match="growth"):
        required_log(target("uk-listeria").log10, growth)


def test_the_most_resistant_governs_along_a_curve():
    fish, curve = target("listeria-fish"), ([0.0, 3600.0], [60.0, 60.0])
    assert reduction_along(fish, *curve) == pytest.approx(60.0 / 5.13)
    assert reduction_along(fish, *curve) < log_reduction(*curve, organism("listeria_lean_fish"))
    assert reduction_along(target("uk-listeria"), [0.0, 120.0], [70.0, 70.0]) == pytest.approx(6.0)
    with pytest.raises(DataError, match="no D and z"):
        reduction_along(target("us-hepatitis-a-shellfish"), *curve)


WHOLE = {
    "id": "t",
    "organism": "o",
    "food": "f",
    "log10": 6.0,
    "where": "UK",
    "applies": [],
    "any_of": [],
    "unless": [],
    "resistance": [],
    "tables": [],
    "status": "guidance",
    "sources": ["fsa-core-temperatures"],
    "provenance": "page seen",
}


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"log10": 0.0}, "between 0 and 12"),
        ({"status": "rumour"}, "status"),
        ({"tables": ["us-meat-7"]}, "another reduction"),
        ({"tables": ["yeti"]}, "yeti"),
        ({"resistance": ["yeti"]}, "yeti"),
        ({"sources": []}, "source"),
    ],
)
def test_a_target_that_does_not_hold_together_is_named(change, complaint):
    assert parse_target(WHOLE, "here").log10 == 6.0
    with pytest.raises(DataError, match=complaint):
        parse_target({**WHOLE, **change}, "here")
    with pytest.raises(DataError, match="food"):
        parse_target({name: value for name, value in WHOLE.items() if name != "food"}, "here")
