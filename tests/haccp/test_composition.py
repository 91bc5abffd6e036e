"""Composition equations against a separate evaluation and against measured values."""

import pytest

from haccp.composition import properties
from haccp.errors import RangeError
from tests.haccp.tables import rows


def fractions(text):
    words = text.split()
    return dict(zip(words[::2], map(float, words[1::2]), strict=True))


@pytest.mark.parametrize(
    "row", rows("composition_checks.csv"), ids=lambda row: f"{row['food']}-{row['celsius']}-{row['property']}"
)
def test_against_a_separate_evaluation(row):
    found = getattr(properties(fractions(row["mass_fractions"]), float(row["celsius"])), row["property"])
    # Half a unit of the last of four printed figures.
    assert found == pytest.approx(float(row["value_si"]), rel=5.1e-4)


LEAN = [
    row
    for row in rows("specific_heats.csv")
    if row["water_percent"] in ("72", "73", "73.3", "74.5", "77.5", "76.8")
]


@pytest.mark.parametrize("row", LEAN, ids=lambda row: f"{row['food']}-{row['water_percent']}")
def test_specific_heat_of_lean_meat_is_near_the_measured_one(row):
    """James and James, Meat Refrigeration, Table 13.2; its rows scatter by 11 % at like moisture."""
    water = float(row["water_percent"]) / 100
    lean = {"water": water, "protein": 0.21, "fat": 0.99 - water - 0.21, "ash": 0.01}
    middle = (float(row["from_c"]) + float(row["to_c"])) / 2
    assert properties(lean, middle).specific_heat / 1000 == pytest.approx(float(row["kj_per_kg_k"]), rel=0.08)


@pytest.mark.parametrize(
    ("food", "water"), [("beef lean", 0.7275), ("chicken breast", 0.7575), ("pork", 0.72), ("cod", 0.8122)]
)
def test_a_rule_from_moisture_lies_between_the_two_bounds(food, water):
    """Earle, Unit Operations in Food Processing, Appendix 7: k = 0.55 p + 0.26 (1 - p), above freezing."""
    mixture = fractions(rows("composition_checks.csv", food=food)[0]["mass_fractions"])
    found = properties(mixture, 20.0)
    assert found.conductivity_series < 0.55 * water + 0.26 * (1 - water) < found.conductivity_parallel


def test_water_alone_is_water():
    """Steam tables at 20 °C: 998.2 kg/m3, 4.184 kJ/(kg K), 0.598 W/(m K) (from memory)."""
    found = properties({"water": 1.0}, 20.0)
    assert found.density == pytest.approx(998.2, rel=0.003)
    assert found.specific_heat == pytest.approx(4184, rel=0.003)
    assert found.conductivity_series == pytest.approx(0.598, rel=0.01)
    assert found.conductivity_series == pytest.approx(found.conductivity_parallel)


@pytest.mark.parametrize(
    ("mixture", "celsius"),
    [
        ({"water": 1.0}, -1.0),
        ({"water": 1.0}, 151.0),
        ({"water": 1.0}, float("nan")),
        ({"water": 0.5}, 20.0),
        ({"water": 1.2, "fat": -0.2}, 20.0),
        ({"water": 0.5, "stone": 0.5}, 20.0),
        ({}, 20.0),
        ({"water": float("nan")}, 20.0),
    ],
)
def test_what_is_no_food_is_refused(mixture, celsius):
    with pytest.raises(RangeError):
        properties(mixture, celsius)
