"""Thermal properties and media: the ranges hold what was published, measured and computed."""

import pytest

from haccp.composition import properties
from haccp.errors import DataError, RangeError
from haccp.materials import material, materials, media, medium
from haccp.ranges import Range
from tests.haccp.tables import rows

FOODS = {
    "beef": "beef lean",
    "pork": "pork",
    "poultry": "chicken breast",
    "lean_fish": "cod",
    "fatty_fish": "salmon",
    "vegetable": "carrot",
    "potato": "potato",
    "egg": "egg whole",
}


def mixture_of(food):
    words = rows("composition_checks.csv", food=food)[0]["mass_fractions"].split()
    return dict(zip(words[::2], map(float, words[1::2]), strict=True))


@pytest.mark.parametrize(
    ("key", "low"),
    [
        ("beef", 1.11),
        ("lamb", 1.11),
        ("pork", 1.11),
        ("poultry", 1.08),
        ("lean_fish", 0.995),
        ("fatty_fish", 0.995),
    ],
)
def test_the_slow_edge_is_that_of_published_bath_tables(key, low):
    """Sanz, Alonso and Mascheroni (1987) as used for published bath-time tables (from memory)."""
    assert material(key).diffusivity.low == pytest.approx(low * 1e-7)


@pytest.mark.parametrize(
    ("key", "measured"),
    [
        ("beef", 1.23),
        ("beef", 1.33),
        ("beef", 1.32),
        ("pork", 1.18),
        ("lean_fish", 1.22),
        ("lean_fish", 1.47),
        ("vegetable", 1.26),
        ("vegetable", 1.34),
        ("vegetable", 1.48),
        ("vegetable", 1.71),
        ("vegetable", 1.82),
        ("potato", 1.23),
        ("potato", 1.70),
        ("egg", 1.40),
        ("egg", 1.46),
        ("egg", 1.51),
    ],
)
def test_measured_diffusivities_lie_inside(key, measured):
    """Thermal diffusivity of foodstuffs (compilation, 2020); eggs: problems of Cengel, Heat Transfer."""
    edges = material(key).diffusivity
    assert edges.low <= measured * 1e-7 * (1 + 1e-12)
    assert measured * 1e-7 <= edges.high * (1 + 1e-12)


@pytest.mark.parametrize(("key", "food"), FOODS.items())
@pytest.mark.parametrize("celsius", [5.0, 20.0, 60.0, 90.0])
def test_composition_equations_lie_inside(key, food, celsius):
    """Choi and Okos (1986): mixed and parallel diffusivity from 5 to 90 °C; conductivity bounds to 60 °C."""
    found, edges = properties(mixture_of(food), celsius), material(key)
    for value in (found.diffusivity_mixed, found.diffusivity_parallel):
        assert edges.diffusivity.low <= value <= edges.diffusivity.high
    assert edges.conductivity.low <= found.conductivity_series
    if celsius <= 60.0:
        assert found.conductivity_parallel <= edges.conductivity.high


@pytest.mark.parametrize(
    ("key", "typical"),
    [
        ("beef", 0.48),
        ("pork", 0.48),
        ("poultry", 0.49),
        ("lean_fish", 0.53),
        ("fatty_fish", 0.45),
        ("vegetable", 0.57),
        ("potato", 0.55),
    ],
)
def test_typical_conductivities_are_the_best_estimate(key, typical):
    """ASHRAE Handbook: Refrigeration, ch. 9, typical values at 5 to 60 °C (from memory)."""
    assert material(key).conductivity.best == typical


def test_fatty_meat_is_slower_than_lean():
    """Own computation: layers of fat across the way of the heat, composition from memory."""
    belly = properties({"water": 0.3674, "protein": 0.0934, "fat": 0.5301, "ash": 0.0091}, 60.0)
    edges = material("fatty_meat")
    series = belly.conductivity_series / (belly.density * belly.specific_heat)
    assert edges.diffusivity.low <= series <= belly.diffusivity_parallel <= edges.diffusivity.high
    assert edges.diffusivity.low < material("pork").diffusivity.low


@pytest.mark.parametrize(
    ("key", "low", "high"),
    [
        ("stirred_bath", 95, 155),
        ("still_bath", 50, 100),
        ("ice_slurry", 100, 500),
        ("blast_chiller", 20, 40),
        ("fridge_air", 5, 10),
        ("running_water", 50, 500),
    ],
)
def test_heat_transfer_is_as_reported(key, low, high):
    """Ranges reported for baths, slurries, chillers and still air; provenance stands with each medium."""
    found = medium(key).heat_transfer
    assert (found.low, found.high) == (low, high)
    assert low < found.best < high


def test_a_bath_can_heat_as_fast_as_a_measured_pot():
    """A lidded pot at full power rose 1.34 K in its steepest minute (K. Otiato, 2024, raw data)."""
    assert medium("stirred_bath").rise_k_per_min >= 1.34
    assert medium("still_bath").rise_k_per_min >= 1.34


def test_only_melting_ice_has_a_temperature_of_its_own():
    assert {key for key, each in media().items() if each.default_c is not None} == {
        "ice_slurry",
        "kitchen_air",
    }
    assert medium("ice_slurry").default_c == Range(0.0, 0.5, 1.0)


def test_every_entry_has_a_name_and_a_pedigree():
    for each in (*materials().values(), *media().values()):
        assert each.name
        assert each.sources
        assert each.note
    assert all("Own estimate" in each.rates_note for each in media().values())
    assert all(each.floor_c < each.ceiling_c for each in media().values())


def test_unknown_keys_are_refused_with_the_choices():
    with pytest.raises(DataError, match="poultry"):
        material("yeti")
    with pytest.raises(DataError, match="ice_slurry"):
        medium("lava")


@pytest.mark.parametrize("values", [(2, 1, 3), (1, 3, 2), (float("nan"), 1, 2)])
def test_a_range_runs_upwards(values):
    with pytest.raises(RangeError):
        Range(*values)
