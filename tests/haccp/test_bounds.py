"""haccp.bounds: no truth inside the limits ever leaves the bounds.

The plain slow corner is shown to fail where it must, so that these tests could fail too.
BOUND_CASES sets the number of random cases (300 in the ordinary suite).
"""

import os

import numpy as np
import pytest

from haccp.bounds import (
    CORNER_BASIS,
    SPLIT_BASIS,
    UncertainBody,
    UncertainExposure,
    proven_curves,
    proven_curves_of_many,
    proven_equivalent_minutes,
)
from haccp.conduction import SOLVER_ERROR_K, Exposure, Shape, core_curve
from haccp.errors import BodyError, RangeError
from haccp.firstlag import FIRST_LAG_BASIS
from haccp.lethality import lethal_minutes
from haccp.ranges import Range
from tests.haccp.bound_cases import REFERENCE_C, Case
from tests.haccp.method_of_lines import solve

CASES = int(os.environ.get("BOUND_CASES", "300"))
BATCHES = 20
IDEAL = {Shape.SLAB: 0.0, Shape.CYLINDER: 1.0, Shape.SPHERE: 2.0}


@pytest.mark.parametrize("batch", range(BATCHES))
def test_no_truth_leaves_the_bounds(batch):
    """Random media, one to three of them, five shapes, truths at and inside the corners."""
    for number in range(batch, CASES, BATCHES):
        case = Case(number)
        curves, proven = case.curves, case.proven()
        for each in range(4):
            truth = case.truth(corner=each % 2 == 0)
            # The chords of a curve that is arched lie below it, so a truth is summed a little low.
            assert not case.violated_by(truth, proven), number
        assert (curves.low_c <= curves.best_c).all(), number
        assert (curves.best_c <= curves.high_c).all(), number


@pytest.mark.parametrize("number", [each for each in range(200) if Case(each).shape in IDEAL][:24])
def test_no_independent_truth_leaves_the_bounds(number):
    """The truth by finite volumes and scipy's solve_ivp, at a corner; 0.003 °C is what that is good to."""
    case = Case(number)
    body, start = case.random_body(corner=True)
    stays = [
        (times[0], times[-1], lambda t, a=times, b=really: float(np.interp(t, a, b)), h, ())
        for times, really, h in case.stays(corner=True)
    ]
    at = case.curves.times_s[::10]
    beta, (half,) = IDEAL[case.shape], body.half_sizes_m
    core, surface = solve(
        beta, half, body.diffusivity_m2_s, body.conductivity_w_mk, stays, start, at, cells=40, longest_s=60.0
    )
    assert (core >= case.curves.low_c[::10] - 3e-3).all()
    assert (core <= case.curves.high_c[::10] + 3e-3).all()
    assert (surface >= case.curves.surface_low_c[::10] - 3e-3).all()
    assert (surface <= case.curves.surface_high_c[::10] + 3e-3).all()


@pytest.mark.parametrize("number", range(0, 60, 3))
def test_the_bounds_hold_between_the_moments_of_the_grid(number):
    """Straight lines between the grid's moments, against a truth every 10 s."""
    case = Case(number)
    body, start = case.random_body(corner=True)
    at = np.arange(case.curves.times_s[0], case.curves.times_s[-1], 10.0)
    truth = core_curve(body, [Exposure(*each) for each in case.stays(corner=True)], start, at).core_c
    assert (truth >= np.interp(at, case.curves.times_s, case.curves.low_c)).all()
    assert (truth <= np.interp(at, case.curves.times_s, case.curves.high_c)).all()


def known(alpha_off=0.1, h_off=0.3, size_off=0.1, start=5.0, shape=Shape.SLAB, half=0.015):
    def around(value, off):
        return Range(value * (1.0 - off), value, value * (1.0 + off))

    body = UncertainBody(
        shape,
        (around(half, size_off),) * len(shape.directions),
        around(1.3e-7, alpha_off),
        Range(0.48, 0.48, 0.48),
        Range(start, start, start),
    )
    return body, around(96.0, h_off)


def steady(course, heat_transfer, **facts):
    return UncertainExposure(course, course, course, heat_transfer, **facts)


def plain_slow_corner(body, exposures, at):
    media = [Exposure(*each.lower, each.heat_transfer.low) for each in exposures]
    return core_curve(body.slow, media, body.start_c.low, at).core_c


def test_a_heater_that_fails():
    """62 °C for 3 h, then 50 °C within 1 h: the slow core ends up hotter than the fast one."""
    body, h = known()
    course = (np.array([0.0, 10800.0, 14400.0, 18000.0]), np.array([62.0, 62.0, 50.0, 50.0]))
    curves = proven_curves(body, [steady(course, h)])
    fast = core_curve(body.fast, [Exposure(*course, h.high)], 5.0, curves.times_s).core_c
    slow = plain_slow_corner(body, [steady(course, h)], curves.times_s)
    # Own computation of 30 mm, alpha 1.3e-7 ± 10 %, H 200 ± 30 %, thickness ± 10 %: up to 2.97 °C.
    assert (slow - fast).max() == pytest.approx(2.97, abs=0.02)
    assert (curves.low_c <= fast).all()
    assert (curves.low_c <= slow).all()


def test_a_change_of_medium_breaks_the_slow_corner_and_not_the_bound():
    """Only the chill's heat transfer is uncertain: 30 mm, 2 h at 60 °C, then still air at 5 °C (H 12 ± 40 %).

    Own computation: 21.4 log by the slow corner, 18.1 true (D60 for z 9.22 from 12.66 min at 55 °C).
    """
    body, _ = known(alpha_off=0.0, size_off=0.0)
    hot = (np.array([0.0, 7200.0]), np.array([60.0, 60.0]))
    cold = (np.array([7200.0, 28800.0]), np.array([5.0, 5.0]))
    stays = [
        steady(hot, Range(96.0, 96.0, 96.0)),
        steady(cold, Range(12 * 0.48 * 0.6, 12 * 0.48, 12 * 0.48 * 1.4)),
    ]
    curves = proven_curves(body, stays)
    proven = proven_equivalent_minutes(body, stays, curves, reference_c=55.0, z_c=9.22)

    def logs(h):
        media = [Exposure(*hot, 96.0), Exposure(*cold, h)]
        core = core_curve(body.best, media, 5.0, curves.times_s).core_c
        return lethal_minutes(curves.times_s, core, reference_c=55.0, z_c=9.22) / 12.66

    slow, fast = logs(12 * 0.48 * 0.6), logs(12 * 0.48 * 1.4)
    assert slow == pytest.approx(21.4, abs=0.1)
    assert fast == pytest.approx(18.1, abs=0.1)
    assert proven.low / 12.66 <= fast
    assert proven.low / 12.66 >= 0.97 * fast
    assert proven.basis == f"{CORNER_BASIS}; after it, {SPLIT_BASIS}"


def test_hours_to_six_logs_of_a_kitchens_slab():
    """25 mm ± 2, alpha ± 10 %, H 200 ± 25 %, 5 ± 1 °C, bath 60 °C ± 0.3: 1.57 h by the slow corner (own)."""
    body = UncertainBody(
        Shape.SLAB,
        (Range(0.0115, 0.0125, 0.0135),),
        Range(1.17e-7, 1.3e-7, 1.43e-7),
        Range(0.48, 0.48, 0.48),
        Range(4.0, 5.0, 6.0),
    )
    hours = []
    for end in np.arange(1.4, 1.8, 0.01) * 3600.0:
        stay = UncertainExposure(
            (np.array([0.0, end]), np.array([60.0, 60.0])),
            (np.array([0.0, end]), np.array([59.7, 59.7])),
            (np.array([0.0, end]), np.array([60.3, 60.3])),
            Range(72.0, 96.0, 120.0),
        )
        curves = proven_curves(body, [stay])
        low = proven_equivalent_minutes(body, [stay], curves, reference_c=55.0, z_c=9.22).low
        if low >= 6.0 * 12.66:
            hours.append(end / 3600.0)
    assert hours[0] == pytest.approx(1.57, abs=0.02)


@pytest.mark.parametrize("shape", Shape)
def test_nothing_uncertain_leaves_only_the_solvers_own_error(shape):
    body, _ = known(0.0, 0.0, 0.0, shape=shape)
    times = np.arange(0.0, 7201.0, 60.0)
    course = (times, 60.0 + np.sin(times / 500.0))
    curves = proven_curves(body, [steady(course, Range(96.0, 96.0, 96.0))])
    # The margin for hollow chords is at most what a minute's curvature makes.
    assert (curves.high_c - curves.low_c)[40:].max() < 0.02
    assert (curves.high_c - curves.low_c).min() >= 2.0 * SOLVER_ERROR_K * 0.999


def test_where_the_slow_corner_is_not_proven_the_split_bound_counts():
    """A finite shape, a heat transfer that moves, or a second z-value that makes the rate concave."""
    course = (np.array([0.0, 14400.0]), np.array([60.0, 60.0]))
    for shape, moving, above, basis in (
        (Shape.SLAB, False, None, CORNER_BASIS),
        (Shape.SLAB, False, 5.0, CORNER_BASIS),
        (Shape.SLAB, False, 12.0, f"{SPLIT_BASIS}; {FIRST_LAG_BASIS}"),
        (Shape.SLAB, True, None, SPLIT_BASIS),
        (Shape.BRICK, False, None, SPLIT_BASIS),
    ):
        body, h = known(shape=shape)
        stay = steady(course, h, steady=not moving)
        curves = proven_curves(body, [stay])
        proven = proven_equivalent_minutes(
            body, [stay], curves, reference_c=REFERENCE_C, z_c=7.5, z_above_c=above
        )
        assert proven.basis == basis
        assert proven.low <= proven.best <= proven.high


def test_a_warm_start_pays_its_remainder():
    """From 58 °C into 56 °C the slow corner alone would claim more than the quick bag gets."""
    body, h = known(start=58.0)
    course = (np.array([0.0, 7200.0]), np.array([52.0, 52.0]))
    stay = steady(course, h)
    curves = proven_curves(body, [stay])
    proven = proven_equivalent_minutes(body, [stay], curves, reference_c=REFERENCE_C, z_c=7.5)
    slow, fast = (
        lethal_minutes(
            curves.times_s,
            core_curve(each, [Exposure(*course, edge)], 58.0, curves.times_s).core_c,
            reference_c=REFERENCE_C,
            z_c=7.5,
        )
        for each, edge in ((body.slow, h.low), (body.fast, h.high))
    )
    assert slow > fast >= proven.low


def test_a_bound_is_no_colder_than_the_coldest_medium():
    """A store read every 15 min for two days, down to 0 °C in between: the core can't be below."""
    body, h = known()
    times = np.arange(0.0, 2.0 * 86400.0 + 1.0, 450.0)
    dips = np.where(np.arange(times.size) % 2 == 0, 3.0, 0.0)
    middle = np.full(times.size, 3.0)
    stay = UncertainExposure((times[::2], middle[::2]), (times, dips), (times, middle), h)
    curves = proven_curves(body, [stay])
    # What a chord of 300 s is lowered by where the curve is hollow.
    assert curves.low_c.min() >= -0.1


def test_nonsense_is_refused():
    body, h = known()
    times, warm = np.array([0.0, 600.0]), np.array([60.0, 60.0])
    with pytest.raises(RangeError):
        proven_curves(body, [])
    with pytest.raises(RangeError):
        steady((times, np.array([60.0, np.nan])), h)
    with pytest.raises(RangeError, match="span"):
        UncertainExposure((times, warm), (times, warm), (np.array([0.0, 900.0]), warm), h)
    with pytest.raises(RangeError):
        steady((times, warm), Range(0.0, 1.0, 2.0))
    with pytest.raises(RangeError, match="join"):
        proven_curves(body, [steady((times, warm), h), steady((times, warm), h)])
    with pytest.raises(BodyError):
        known(size_off=1.0)
    with pytest.raises(RangeError):
        known(start=300.0)


@pytest.mark.parametrize("shape", [Shape.SLAB, Shape.SPHERE, Shape.BRICK])
def test_bags_of_a_batch_are_bounded_side_by_side(shape):
    """Five sizes and starts through a bath and a chill: no truth leaves its bounds, none is much looser."""
    times = np.arange(0.0, 9001.0, 60.0)
    bath = UncertainExposure(
        (times, 60.0 + np.sin(times / 700.0)),
        (times, 59.7 + np.sin(times / 700.0)),
        (times, 60.3 + np.sin(times / 700.0)),
        Range(80.0, 95.0, 110.0),
    )
    chill = steady((np.array([9000.0, 14400.0]), np.array([1.0, 1.0])), Range(200.0, 300.0, 400.0))
    bodies = [known(start=2.0 + n, shape=shape, half=0.009 + 0.004 * n)[0] for n in range(5)]
    for body, curves in zip(bodies, proven_curves_of_many(bodies, [bath, chill]), strict=True):
        alone = proven_curves(body, [bath, chill])
        low, high = (np.interp(curves.times_s, alone.times_s, each) for each in (alone.low_c, alone.high_c))
        # The openings are as wide as suits the batch as a whole, so a bag may lose a little by its company.
        assert (low - curves.low_c).max() < 0.5
        assert (curves.high_c - high).max() < 0.5
        for corner, h, cold in ((body.slow, 0, 0), (body.best, 1, 1), (body.fast, 2, 2)):
            stays = [
                Exposure(*bath.best, (80.0, 95.0, 110.0)[h]),
                Exposure(*chill.best, (200.0, 300.0, 400.0)[cold]),
            ]
            truth = core_curve(corner, stays, body.start_c.best, curves.times_s)
            assert (truth.core_c >= curves.low_c).all()
            assert (truth.core_c <= curves.high_c).all()
            assert (truth.surface_c >= curves.surface_low_c).all()
            assert (truth.surface_c <= curves.surface_high_c).all()


def test_a_log_of_seconds_is_thinned_and_its_shortest_dip_still_counts():
    """Two hours read every second, with dips of 20 s that fall between the moments of the grid."""
    body, h = known(alpha_off=0.02, size_off=0.02, h_off=0.05, half=0.003)
    times = np.arange(0.0, 7201.0)
    really = 60.0 - 8.0 * ((times % 611.0) < 20.0)
    stay = UncertainExposure(
        (times, really), (times, really - 0.1), (times, really + 0.1), Range(h.low, h.best, h.high)
    )
    curves = proven_curves(body, [stay])
    assert curves.times_s.size < 400
    for corner, transfer in ((body.slow, h.low), (body.best, h.best), (body.fast, h.high)):
        truth = core_curve(corner, [Exposure(times, really, transfer)], 5.0, times).core_c
        assert (truth >= np.interp(times, curves.times_s, curves.low_c)).all()
        assert (truth <= np.interp(times, curves.times_s, curves.high_c)).all()
    best = core_curve(body.best, [Exposure(times, really, h.best)], 5.0, curves.times_s).core_c
    # The likely course is the mean around each moment, so a dip is spread over a minute.
    assert np.abs(curves.best_c - best)[20:].max() < 0.6


@pytest.mark.parametrize("wanted", [[], [10.0, 10.0], [-1.0, 10.0], [10.0, 20000.0], [float("nan")]])
def test_moments_that_can_not_be_are_refused(wanted):
    body, h = known()
    course = (np.array([0.0, 14400.0]), np.array([60.0, 60.0]))
    with pytest.raises(RangeError):
        proven_curves(body, [steady(course, h)], np.array(wanted))
