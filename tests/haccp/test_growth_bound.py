"""The growth bound: never below the growth of any food between the curves, and not a sampled guess.

Random curves and random truths between them (own computation); truths of whole bags come from
haccp.conduction with properties, media and starts drawn inside their limits.
"""

import numpy as np
import pytest

from haccp.bounds import UncertainBody, UncertainExposure, proven_curves
from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.errors import RangeError, ReadingsError
from haccp.growth import GROWTH_BASIS, bag_growth, growth, moment_reached, proven_growth, proven_moment
from haccp.growthmodels import growth_model
from haccp.ranges import Range

CHILL, COME_UP = growth_model("c_perfringens_chill"), growth_model("c_perfringens_come_up")
MODELS = [CHILL, COME_UP, *(growth_model(each) for each in ("b_cereus", "salmonella_come_up"))]
STORE = [growth_model(each) for each in ("listeria_store", "c_botulinum_store")]


def between(rng, times, low, high):
    """A food between two curves: a random share of the way, wandering inside every interval."""
    fine = np.union1d(times, rng.uniform(times[0], times[-1], 6 * times.size))
    a, b = np.interp(fine, times, low), np.interp(fine, times, high)
    share = rng.uniform(0.0, 1.0, fine.size)
    if rng.random() < 0.3:
        share = np.full(fine.size, rng.uniform())
    if rng.random() < 0.3:
        share = np.round(share)
    return fine, a + share * (b - a)


@pytest.mark.parametrize("seed", range(4))
def test_no_food_between_the_curves_grows_more(seed):
    rng = np.random.default_rng(seed)
    checked = 0
    for _ in range(125):
        times = np.cumsum(rng.uniform(60.0, 2400.0, rng.integers(3, 12)))
        low = rng.uniform(0.0, 62.0, times.size)
        high = low + rng.uniform(0.0, rng.choice([0.5, 5.0, 25.0]), times.size)
        if rng.random() < 0.4:
            low, high = low / 3.0, np.minimum(high / 3.0, 24.0)
        models = MODELS + (STORE if high.max() <= 25.0 else [])
        bounds = [proven_growth(times, low, high, model) for model in models]
        for _ in range(3):
            fine, food = between(rng, times, low, high)
            # 1e-12: the sum of the cut pieces is rounded anew.
            assert all(
                growth(fine, food, model) <= bound + 1e-12
                for model, bound in zip(models, bounds, strict=True)
            )
            checked += 1
    assert checked == 375


@pytest.mark.parametrize("seed", range(3))
def test_the_bound_is_what_the_worst_course_gives_and_no_more(seed):
    """The course that is nearest to the optimum at every moment, drawn finely by numpy."""
    rng = np.random.default_rng(seed)
    times = np.cumsum(rng.uniform(600.0, 1800.0, 7))
    low = rng.uniform(10.0, 50.0, 7)
    high = low + rng.uniform(0.0, 15.0, 7)
    fine = np.union1d(times, np.arange(times[0], times[-1], 0.25))
    course = np.clip(46.4, np.interp(fine, times, low), np.interp(fine, times, high))
    assert proven_growth(times, low, high, CHILL) == pytest.approx(growth(fine, course, CHILL), abs=1e-5)


def test_neither_edge_nor_sample_is_a_bound():
    """A band from 30 to 60 °C that never has the optimum at one of its points."""
    times, low, high = [0.0, 7200.0], [30.0, 44.0], [60.0, 49.0]
    bound = proven_growth(times, low, high, CHILL)
    assert bound > 1.2 * max(growth(times, low, CHILL), growth(times, high, CHILL))
    steady = growth(times, [46.4, 46.4], CHILL)
    assert bound == pytest.approx(steady, rel=1e-8)
    assert bound >= steady
    # An edge that passes the optimum inside an interval: the middle of the interval counts.
    assert proven_growth([0, 3600], [20, 20], [60, 40], CHILL) > growth([0, 3600], [46.3, 40], CHILL)


def test_nothing_reaches_an_amount_before_the_proven_moment():
    rng = np.random.default_rng(11)
    reached = 0
    for _ in range(40):
        times = np.cumsum(rng.uniform(600.0, 2400.0, 10))
        low = rng.uniform(15.0, 50.0, 10)
        high = low + rng.uniform(0.0, 6.0, 10)
        for model in MODELS:
            earliest = proven_moment(times, low, high, model, 0.5)
            fine, food = between(rng, times, low, high)
            moment = moment_reached(fine, food, model, 0.5)
            if moment is not None:
                reached += 1
                assert earliest is not None
                # A moment is given to a minute and never late.
                assert earliest <= moment + 60.0
            if earliest is not None:
                kept = np.union1d(times[times < earliest], earliest)
                bounds = (np.interp(kept, times, each) for each in (low, high))
                assert proven_growth(kept, *bounds, model) < 0.5 + 1e-9
    assert reached > 40
    assert proven_moment([0.0], [40.0], [41.0], CHILL, 1.0) is None


def test_a_single_curve_is_its_own_bound():
    times, celsius = np.linspace(0.0, 21600.0, 40), np.geomspace(60.0, 4.0, 40)
    for model in MODELS:
        assert proven_growth(times, celsius, celsius, model) == pytest.approx(
            growth(times, celsius, model), rel=1e-7
        )
    assert proven_growth([0.0], [40.0], [41.0], CHILL) == 0.0


def kitchen(rng, shape):
    """A bag in a noisy bath that may fail, then in slurry or air, and what is known of both."""
    sizes = tuple(Range(*(each * size for each in (0.95, 1.0, 1.05))) for size in rng.uniform(0.01, 0.04, 3))
    body = UncertainBody(
        shape,
        sizes[: len(shape.directions)],
        Range(1.15e-7, 1.3e-7, 1.45e-7),
        Range(0.42, 0.48, 0.54),
        Range(3.0, 4.0, 5.0),
    )
    bath_s = np.arange(0.0, 3.0 * 3600.0 + 1.0, 300.0)
    fails = rng.random() < 0.5
    bath = rng.uniform(50.0, 62.0) + rng.normal(0.0, 0.2, bath_s.size)
    bath -= np.where(bath_s > 7200.0, (bath_s - 7200.0) / 180.0, 0.0) if fails else 0.0
    cold_s = bath_s[-1] + np.arange(0.0, 4.0 * 3600.0 + 1.0, 600.0)
    cold = rng.uniform(0.5, 12.0) + rng.normal(0.0, 0.2, cold_s.size)
    band = 0.5
    hs = (Range(95.0, 120.0, 155.0), Range(10.0, 15.0, 25.0) if fails else Range(100.0, 200.0, 400.0))
    legs = [
        UncertainExposure((at, c), (at, c - band), (at, c + band), h)
        for at, c, h in ((bath_s, bath, hs[0]), (cold_s, cold, hs[1]))
    ]
    return body, legs


def truth(rng, body, legs):
    def inside(known):
        return float(rng.choice([known.low, known.high, rng.uniform(known.low, known.high)]))

    bag = Body(
        body.shape,
        tuple(inside(each) for each in body.half_sizes_m),
        inside(body.diffusivity),
        inside(body.conductivity),
    )
    stays = [
        Exposure(
            leg.best[0], leg.best[1] + rng.uniform(-0.5, 0.5, leg.best[0].size), inside(leg.heat_transfer)
        )
        for leg in legs
        for at, celsius in [leg.best]
    ]
    grid = np.union1d(np.arange(0.0, legs[-1].span_s[1], 60.0), legs[-1].span_s[1])
    return core_curve(bag, stays, inside(body.start_c), grid)


@pytest.mark.parametrize("shape", Shape)
def test_no_bag_that_fits_the_record_grows_more(shape):
    rng = np.random.default_rng(list(Shape).index(shape))
    surfaces = 0
    for _ in range(3 if len(shape.directions) == 1 else 1):
        body, legs = kitchen(rng, shape)
        curves = proven_curves(body, legs)
        for model, since in ((CHILL, legs[1].span_s[0]), (COME_UP, 0.0)):
            found = bag_growth(curves, model, from_s=since)
            assert found.high == max(found.core_high, found.surface_high) >= found.best
            surfaces += found.worse_at == "surface"
            for _ in range(5):
                bag = truth(rng, body, legs)
                kept = bag.times_s >= since
                for celsius, high in ((bag.core_c, found.core_high), (bag.surface_c, found.surface_high)):
                    assert growth(bag.times_s[kept], celsius[kept], model) <= high + 1e-9
    assert surfaces < 6


def test_a_failing_bath_is_worse_at_the_surface():
    """A power cut: the bath goes from 60 °C to 40 °C in an hour and is found after two more. The core
    of a thick piece is above the growing range for most of it; the surface is not."""
    body = UncertainBody(
        Shape.SLAB,
        (Range(0.05, 0.05, 0.05),),
        Range(1.2e-7, 1.3e-7, 1.4e-7),
        Range(0.45, 0.48, 0.5),
        Range(5.0, 5.0, 5.0),
    )
    at = np.array([0.0, 43200.0, 46800.0, 54000.0])
    bath = np.array([60.0, 60.0, 40.0, 40.0])
    leg = UncertainExposure((at, bath), (at, bath), (at, bath), Range(95.0, 120.0, 155.0))
    curves = proven_curves(body, [leg])
    found = bag_growth(curves, CHILL, from_s=43200.0)
    assert found.worse_at == "surface"
    assert found.surface_best > 10.0 * found.core_best
    assert found.basis == GROWTH_BASIS
    # Growth is counted from the moment asked for, and the parts of a curve add up to no more than the whole.
    assert bag_growth(curves, CHILL, from_s=50000.0).high < found.high
    assert bag_growth(curves, CHILL, from_s=43200.0, until_s=43200.0).high == 0.0
    with pytest.raises(RangeError):
        bag_growth(curves, CHILL, from_s=50000.0, until_s=43200.0)
    with pytest.raises(RangeError):
        bag_growth(curves, CHILL, until_s=1e9)


def test_nonsense_is_refused():
    with pytest.raises(ReadingsError, match="low then high"):
        proven_growth([0, 60], [5.0, 6.0], [5.0, 5.9], CHILL)
    with pytest.raises(ReadingsError):
        proven_growth([0, 60], [5.0, 6.0], [5.0, float("nan")], CHILL)
    with pytest.raises(RangeError, match="got warm"):
        proven_growth([0, 60], [5.0, 5.0], [5.0, 40.0], STORE[0])
