"""haccp.firstlag: the bound holds where its conditions do, is sharper there, and is not used elsewhere."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from haccp.bounds import SPLIT_BASIS, proven_curves
from haccp.conduction import Exposure, Shape, core_curve
from haccp.firstlag import FIRST_LAG_BASIS, _carried_lowest, behind_first_lag
from haccp.response import Directions
from haccp.runs import moments, runs_of
from tests.haccp.test_bounds import known, steady


def swinging(end_s=6 * 3600.0):
    """60 °C, 1 °C up and down every 30 min, known at each moment."""
    times = np.arange(0.0, end_s + 1.0, 60.0)
    return times, 60.0 + np.sin(2.0 * np.pi * times / 1800.0)


@pytest.mark.parametrize("shape", [Shape.SLAB, Shape.CYLINDER, Shape.SPHERE])
def test_a_swinging_bath_costs_less_where_the_heat_transfer_is_constant(shape):
    """The same bag and bath; only that h may not move from one moment to the next is known besides."""
    body, h = known(shape=shape)
    moving = proven_curves(body, [steady(swinging(), h, steady=False)])
    constant = proven_curves(body, [steady(swinging(), h)])
    # The margin for chords is larger where two bounds cross; beside that it is never the worse one.
    assert (constant.low_c >= moving.low_c - 1e-4).all()
    assert (constant.high_c <= moving.high_c + 1e-4).all()
    assert constant.basis == f"{SPLIT_BASIS}; {FIRST_LAG_BASIS}"
    assert moving.basis == SPLIT_BASIS
    late = constant.times_s > 3 * 3600.0
    width, wider = ((each.high_c - each.low_c)[late].mean() for each in (constant, moving))
    # Own computation: 0.40 (slab) to 0.74 (sphere).
    assert width < 0.8 * wider
    for corner in (body.slow, body.best, body.fast):
        for transfer in (h.low, h.best, h.high):
            core = core_curve(corner, [Exposure(*swinging(), transfer)], 5.0, constant.times_s).core_c
            assert (constant.low_c <= core).all()
            assert (core <= constant.high_c).all()


def test_a_moving_heat_transfer_would_break_it_and_is_kept_out():
    """h high while the bath is hot and low while it is cold: no constant h does that.

    So the sharper bound is above this truth, and the bound for a moving heat transfer is not.
    """
    body, h = known(alpha_off=0.0, size_off=0.0, h_off=0.6)
    hours = np.arange(0.0, 9.0)
    times = np.sort(np.concatenate([hours * 3600.0, hours[1:-1] * 3600.0 - 10.0]))
    levels = np.where(np.arange(9) % 2 == 0, 62.0, 40.0)
    course = (times, np.concatenate([np.repeat(levels[:8], 2)]))
    cuts = [*hours[:-1] * 3600.0, times[-1]]
    grid = np.unique(np.concatenate([times, np.arange(0.0, times[-1], 60.0)]))
    stays = []
    for number, (start, end) in enumerate(pairwise(cuts)):
        inside = grid[(grid >= start) & (grid <= end)]
        transfer = h.low if number % 2 == 0 else h.high
        stays.append(Exposure(inside, np.interp(inside, *course), transfer))
    moving = proven_curves(body, [steady(course, h, steady=False)])
    constant = proven_curves(body, [steady(course, h)])
    truth = core_curve(body.best, stays, 5.0, moving.times_s).core_c
    assert (moving.low_c <= truth).all()
    assert (constant.low_c > truth).any()


def test_nothing_uncertain_gives_the_core_itself():
    """Both corners alike: the bound is the core, to the solver's error."""
    corner, span = Directions(0.0, np.array([1700.0]), np.array([3.0])), (0.0, 20_000.0)
    runs = runs_of(span[1], 1700.0)
    grid = moments(*span, runs)
    medium = 60.0 + np.sin(grid / 900.0)
    edges = np.stack([medium, -medium])
    starts = np.array([[5.0, -5.0]])
    for guess in (0.0, 60.0):
        near = np.full((1, 2, grid.size), guess)
        low, high = behind_first_lag(corner, corner, span, runs, edges, starts, near)[0]
        assert np.abs(low + high).max() < 1e-5


@pytest.mark.parametrize("guess", [-100.0, 0.0, 100.0])
def test_the_lowest_course_by_any_choice_of_gains(guess):
    """The same step by step in a plain loop, whatever the guess to begin with."""
    rng = np.random.default_rng(1)
    rest = rng.normal(0.0, 1.0, (7, 300)).cumsum(axis=1)
    slow = rng.uniform(0.01, 0.05, rest.shape)
    fast = slow + rng.uniform(0.0, 0.1, rest.shape)
    now, steps = np.zeros(7), [np.zeros(7)]
    for at in range(300):
        off = rest[:, at] - now
        now = now + np.minimum(slow[:, at] * off, fast[:, at] * off)
        steps.append(now)
    found = _carried_lowest(np.zeros(7), rest, slow, fast, np.full((7, 301), guess))
    assert found == pytest.approx(np.stack(steps, axis=1), abs=1e-9)


def test_bags_side_by_side_are_bounded_as_each_alone():
    body, h = known()
    twin = replace(body, half_sizes_m=tuple(replace(each, low=each.low) for each in body.half_sizes_m))
    one, other = (proven_curves(each, [steady(swinging(), h)]) for each in (body, twin))
    assert np.array_equal(one.low_c, other.low_c)
