"""haccp.growthboxes: sharper than the whole, and still a bound (random bags by the whole solver)."""

import numpy as np
import pytest

from haccp.bounds import UncertainBody, UncertainExposure, proven_curves
from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.errors import RangeError
from haccp.growth import bag_growth, growth
from haccp.growthboxes import PIECES_BASIS, growth_in_pieces
from haccp.growthmodels import growth_model
from haccp.ranges import Range

CHILL = growth_model("c_perfringens_chill")
BODY = UncertainBody(
    Shape.SLAB,
    (Range(0.023, 0.025, 0.027),),
    Range(1.15e-7, 1.3e-7, 1.45e-7),
    Range(0.45, 0.48, 0.51),
    Range(4.0, 4.0, 4.0),
)
BATH_S, COLD_S = np.array([0.0, 7200.0]), np.array([7200.0, 28800.0])
FLAT = np.ones(2)


def stays(**more):
    bath = (BATH_S, 60.0 * FLAT)
    cold = (COLD_S, 4.0 * FLAT)
    return [
        UncertainExposure(bath, bath, bath, Range(95.0, 120.0, 155.0)),
        UncertainExposure(cold, cold, cold, Range(14.0, 18.0, 25.0), **more),
    ]


def test_it_is_sharper_and_no_bag_grows_more():
    legs = stays()
    curves = proven_curves(BODY, legs)
    whole = bag_growth(curves, CHILL, from_s=7200.0)
    found = growth_in_pieces(BODY, legs, curves, CHILL, from_s=7200.0)
    assert found.high < 0.95 * whole.high
    assert (found.best, found.basis) == (whole.best, PIECES_BASIS)
    rng = np.random.default_rng(3)
    at = np.arange(7200.0, 28801.0, 60.0)
    for number in range(40):
        pick = (lambda each: float(rng.choice([each.low, each.high]))) if number < 20 else None

        def inside(each, pick=pick):
            return pick(each) if pick else float(rng.uniform(each.low, each.high))

        bag = Body(
            Shape.SLAB, (inside(BODY.half_sizes_m[0]),), inside(BODY.diffusivity), inside(BODY.conductivity)
        )
        media = [Exposure(leg.best[0], leg.best[1], inside(leg.heat_transfer)) for leg in legs]
        true = core_curve(bag, media, 4.0, at)
        assert growth(at, true.core_c, CHILL) <= found.core_high + 1e-9
        assert growth(at, true.surface_c, CHILL) <= found.surface_high + 1e-9


def test_a_heat_transfer_that_may_move_is_not_cut():
    constant, moving = stays(), stays(steady=False)
    curves = proven_curves(BODY, constant)
    sharp, blunt = (growth_in_pieces(BODY, each, curves, CHILL, from_s=7200.0) for each in (constant, moving))
    assert sharp.high < blunt.high <= bag_growth(curves, CHILL, from_s=7200.0).high


def test_outside_the_stays_is_refused():
    legs = stays()
    curves = proven_curves(BODY, legs)
    with pytest.raises(RangeError):
        growth_in_pieces(BODY, legs[:1], curves, CHILL, from_s=8000.0)
