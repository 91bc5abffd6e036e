"""haccp.freezing against Plank's equation, Neumann's solution, and haccp.conduction where nothing freezes."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.errors import BodyError, DataError, RangeError
from haccp.freezing import (
    FreezingFood,
    estimate_basis,
    freezing_food,
    frozen_curve,
    ice_share,
    minutes_to_core,
)

MEAT = freezing_food("lean_meat")
LATENT, NARROW_K = 2.5e8, 0.01


def sharp(heat_capacity, k):
    """A food that melts all at once, within a hundredth of a degree below 0 °C."""
    temps = np.array([-40.0, -NARROW_K, 0.0, 100.0])
    held = np.cumsum([0.0, heat_capacity * (40.0 - NARROW_K), LATENT, heat_capacity * 100.0])
    return FreezingFood("sharp", temps, held, np.full(4, k))


@pytest.mark.parametrize(
    ("shape", "p", "r"),
    [(Shape.SLAB, 1 / 2, 1 / 8), (Shape.CYLINDER, 1 / 4, 1 / 16), (Shape.SPHERE, 1 / 6, 1 / 24)],
)
def test_planks_equation(shape, p, r):
    """t = L/(T_f − T_m) (P D/h + R D²/k), exact where latent heat is all there is: D 50 mm, h 50, k 1.5,
    20 K, 250 MJ/m³; freezing and thawing (Encyclopaedia of Food Sciences and Nutrition, equation 2; page
    seen). The little sensible heat that is left takes less than 1 %."""
    food, size = sharp(2e3, 1.5), 0.05
    plank = LATENT / 20.0 * (p * size / 50.0 + r * size**2 / 1.5) / 60.0
    freezing = minutes_to_core(shape, size / 2.0, food, 50.0, -20.0, 0.0, -1.0)
    thawing = minutes_to_core(shape, size / 2.0, food, 50.0, 20.0, -NARROW_K, 1.0)
    assert freezing == pytest.approx(plank, rel=0.01)
    assert thawing == pytest.approx(plank, rel=0.01)


@pytest.mark.parametrize("surface_c", [15.0, 60.0])
def test_neumanns_melting_front(surface_c):
    """Carslaw and Jaeger, Conduction of Heat in Solids, chapter on melting: in a solid at its melting point
    the front comes to 2 lambda sqrt(alpha t), lambda e^(lambda²) erf(lambda) = Ste/sqrt(pi). The middle of a
    slab is reached as if it were endless."""
    heat_capacity, k, half = 3.7e6, 0.48, 0.02
    ste = heat_capacity * surface_c / LATENT
    root = brentq(lambda x: x * np.exp(x * x) * erf(x) - ste / np.sqrt(np.pi), 1e-3, 3.0)
    exact = (half / (2.0 * root)) ** 2 / (k / heat_capacity) / 60.0
    found = minutes_to_core(Shape.SLAB, half, sharp(heat_capacity, k), 1e4, surface_c, -NARROW_K, 0.1)
    assert found == pytest.approx(exact, rel=0.02)


@pytest.mark.parametrize("shape", [Shape.SLAB, Shape.CYLINDER, Shape.SPHERE])
def test_unfrozen_it_is_plain_conduction(shape):
    """Two media, one of them moving; centre and surface."""
    heat_capacity = float(np.diff(MEAT.heat_j_m3)[-1] / np.diff(MEAT.celsius)[-1])
    body = Body(shape, (0.015,), 0.48 / heat_capacity, 0.48)
    stays = [
        Exposure(np.array([0.0, 1800.0, 3600.0]), np.array([60.0, 55.0, 62.0]), 95.0),
        Exposure(np.array([3600.0, 7200.0]), np.array([1.0, 1.0]), 200.0),
    ]
    at = np.arange(60.0, 7201.0, 60.0)
    whole = core_curve(body, stays, 5.0, at)
    found = frozen_curve(shape, 0.015, MEAT, stays, 5.0, at)
    assert np.abs(found.core_c - whole.core_c).max() < 0.05
    # At the moment of the change the surface has no one value.
    kept = np.abs(at - 3600.0) > 1.0
    assert np.abs(found.surface_c - whole.surface_c)[kept].max() < 0.3


def test_ice_and_heat_of_meat():
    """Beef: first ice at −1.1 °C, 80 % of the water frozen at −7 °C (Mascheroni and Calvelo 1980, page
    seen). From −20 to 5 °C lean meat takes about 0.74 x 334 kJ/kg and the sensible heat of 25 K."""
    assert ice_share(-7.0, -1.1) == pytest.approx(0.80, abs=0.01)
    assert ice_share([-1.1, 0.0, 60.0], -1.1).tolist() == [0.0, 0.0, 0.0]
    assert (np.diff(ice_share(np.linspace(-45.0, 0.0, 200), -1.1)) <= 0.0).all()
    taken = np.diff(np.interp([-20.0, 5.0], MEAT.celsius, MEAT.heat_j_m3))[0] / 1050.0
    assert 250e3 < taken < 310e3


def test_from_frozen_takes_longer():
    """25 mm, bath at 60 °C, to 59 °C in the centre; a common rule of thumb says half as long again (common
    practice, no source)."""
    chilled, frozen = (
        minutes_to_core(Shape.SLAB, 0.0125, MEAT, 95.0, 60.0, each, 59.0) for each in (5.0, -18.0)
    )
    assert 1.15 < frozen / chilled < 1.6
    barely = minutes_to_core(Shape.SLAB, 0.0125, MEAT, 95.0, 60.0, -2.0, 59.0)
    assert chilled < barely < frozen
    # While ice is there the centre stands still near the freezing point.
    at = np.arange(60.0, 3601.0, 60.0)
    stay = Exposure(np.array([0.0, 3600.0]), np.array([60.0, 60.0]), 95.0)
    curve = frozen_curve(Shape.SLAB, 0.0125, MEAT, [stay], -18.0, at)
    assert (np.diff(curve.core_c) > -0.05).all()
    assert ((curve.core_c > -3.0) & (curve.core_c < 0.0)).sum() >= 5
    assert "proves nothing" in estimate_basis()


def test_what_never_comes_is_infinite():
    assert minutes_to_core(Shape.SLAB, 0.0125, MEAT, 95.0, 60.0, -18.0, 60.0) == np.inf
    assert minutes_to_core(Shape.SLAB, 0.0125, MEAT, 95.0, 60.0, -18.0, 59.0, longest_min=30.0) == np.inf


def test_nonsense_is_refused():
    stay = Exposure(np.array([0.0, 3600.0]), np.array([60.0, 60.0]), 95.0)
    for shape, half, error in (
        (Shape.BRICK, 0.01, BodyError),
        (Shape.SLAB, 2.0, BodyError),
        (Shape.SLAB, float("nan"), BodyError),
    ):
        with pytest.raises(error):
            frozen_curve(shape, half, MEAT, [stay], -18.0, [60.0])
    for start, at in ((-60.0, [60.0]), (float("nan"), [60.0]), (-18.0, [60.0, 30.0]), (-18.0, [4000.0])):
        with pytest.raises(RangeError):
            frozen_curve(Shape.SLAB, 0.01, MEAT, [stay], start, at)
    with pytest.raises(RangeError):
        minutes_to_core(Shape.SLAB, 0.01, MEAT, 95.0, 60.0, -18.0, float("nan"))
    with pytest.raises(DataError, match="lean_meat"):
        freezing_food("ice cream")
    two = np.array([0.0, 1.0])
    for temps, held, k in ((two, two[::-1], two + 1.0), (two, two, two), (two, np.zeros(3), two + 1.0)):
        with pytest.raises(BodyError):
            FreezingFood("broken", temps, held, k)
    composition = {"density": 1050.0, "conductivity": (0.5, 1.5), "solids_j_kgk": 1900.0}
    for water, freezes in ((1.2, -1.0), (0.7, 1.0)):
        with pytest.raises(BodyError):
            FreezingFood.of("broken", water=water, freezes_c=freezes, **composition)
