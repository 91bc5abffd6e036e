"""haccp.conduction and haccp.response against an independent method-of-lines solution with scipy."""

import numpy as np
import pytest

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.response import Direction, lags_of, march
from tests.haccp.method_of_lines import solve

IDEAL = {Shape.SLAB: 0.0, Shape.CYLINDER: 1.0, Shape.SPHERE: 2.0}
K = 0.48
# What the comparison itself is good to: the extrapolated grid and the tolerance of solve_ivp.
GRID_K = 2e-3


def changing_bath(step_s=300.0, end_s=7200.0, seed=4):
    """Noise, a drop when bags go in, and a heater that fails."""
    rng = np.random.default_rng(seed)
    times = np.arange(0.0, end_s + 1.0, step_s)
    celsius = 60.0 + rng.normal(0.0, 0.3, times.size)
    celsius[times >= 0.25 * end_s] -= 3.0
    celsius[times >= 0.75 * end_s] -= (times[times >= 0.75 * end_s] - 0.75 * end_s) / 600.0
    return times, celsius


def stay(times, celsius, h):
    return (times[0], times[-1], lambda t: float(np.interp(t, times, celsius)), h, times)


@pytest.mark.parametrize("shape", IDEAL)
@pytest.mark.parametrize(("half", "h"), [(0.008, 12.0), (0.0125, 95.0), (0.03, 40.0), (0.05, 1200.0)])
def test_one_medium_that_changes(shape, half, h):
    """Biot 0.2 to 125, centre and surface."""
    times, celsius = changing_bath()
    at = np.arange(120.0, 7201.0, 60.0)
    expected = solve(IDEAL[shape], half, 1.3e-7, K, [stay(times, celsius, h)], 5.0, at)
    found = core_curve(Body(shape, (half,), 1.3e-7, K), [Exposure(times, celsius, h)], 5.0, at)
    assert np.abs(found.core_c - expected[0]).max() < GRID_K
    assert np.abs(found.surface_c - expected[1]).max() < GRID_K


@pytest.mark.parametrize("shape", IDEAL)
def test_bath_then_slurry_then_fridge(shape):
    """Each medium with its own heat transfer; the bag changes over half warm, so the profile counts."""
    bath, half = changing_bath(end_s=2400.0), 0.025
    slurry = (np.array([2400.0, 3000.0, 6000.0]), np.array([1.0, 3.0, 0.5]))
    fridge = (np.array([6000.0, 9000.0]), np.array([4.0, 5.0]))
    parts = [(bath, 95.0), (slurry, 400.0), (fridge, 8.0)]
    at = np.arange(120.0, 9001.0, 60.0)
    expected = solve(IDEAL[shape], half, 1.3e-7, K, [stay(*course, h) for course, h in parts], 8.0, at)
    body = Body(shape, (half,), 1.3e-7, K)
    found = core_curve(body, [Exposure(*course, h) for course, h in parts], 8.0, at)
    assert np.abs(found.core_c - expected[0]).max() < GRID_K
    assert np.abs(found.surface_c - expected[1]).max() < GRID_K


@pytest.mark.parametrize("beta", [0.28, 0.7, 1.25])
def test_squat_shapes_between_the_ideal_ones(beta):
    """The same modes serve any shape number between 0 and 2; the published bath times use these three."""
    times, celsius = changing_bath()
    half, h = 0.02, 95.0
    at = np.arange(300.0, 7201.0, 300.0)
    expected = solve(beta, half, 1.11e-7, K, [stay(times, celsius, h)], 5.0, at)
    direction = (Direction(beta, half**2 / 1.11e-7, h * half / K),)
    core = march(lags_of(direction, 300.0), times, celsius[np.newaxis], np.array([5.0 - celsius[0]]))[0]
    assert np.abs(core[:, 1:] - expected).max() < GRID_K


@pytest.mark.parametrize(
    ("shape", "half_sizes", "betas"),
    [
        (Shape.FINITE_CYLINDER, (0.03, 0.04), (1.0, 0.0)),
        (Shape.FINITE_CYLINDER, (0.06, 0.015), (1.0, 0.0)),
        (Shape.BRICK, (0.02, 0.03, 0.05), (0.0, 0.0, 0.0)),
    ],
)
def test_finite_shapes_in_two_media(shape, half_sizes, betas):
    """A jump counts for the product over the directions, whatever the media do: Newman's rule (1936).

    With constant media, core = 2 + 58 (what the second jump left) − 55 (what the start left); each
    direction's share comes from the method of lines.
    """
    change, end, h_hot, h_cold = 1500.0, 5400.0, 95.0, 300.0
    at = np.arange(60.0, end + 1.0, 60.0)

    def nothing(_t):
        return 0.0

    from_start, from_change = np.ones(at.size), np.ones(at.size)
    late = at > change
    for beta, half in zip(betas, half_sizes, strict=True):
        both = [(0.0, change, nothing, h_hot, ()), (change, end, nothing, h_cold, ())]
        from_start *= solve(beta, half, 1.3e-7, K, both, 1.0, at)[0]
        from_change[late] *= solve(beta, half, 1.3e-7, K, both[1:], 1.0, at[late])[0]
    expected = np.where(late, 2.0 + 58.0 * from_change - 55.0 * from_start, 60.0 - 55.0 * from_start)
    body = Body(shape, half_sizes, 1.3e-7, K)
    media = [Exposure([0.0, change], [60.0, 60.0], h_hot), Exposure([change, end], [2.0, 2.0], h_cold)]
    assert np.abs(core_curve(body, media, 5.0, at).core_c - expected).max() < GRID_K


@pytest.mark.parametrize("shape", Shape)
def test_cutting_a_stay_in_two_changes_nothing(shape):
    """A change of medium to (almost) the same medium: the profile is carried over without loss."""
    times, celsius = changing_bath(step_s=60.0)
    half_sizes = (0.02, 0.03, 0.05)[: len(shape.directions)]
    body = Body(shape, half_sizes, 1.3e-7, K)
    whole = core_curve(body, [Exposure(times, celsius, 95.0)], 5.0)
    parts = [(0, 13, 95.0), (12, 61, 95.0001), (60, times.size, 95.0)]
    cut = core_curve(body, [Exposure(times[a:b], celsius[a:b], h) for a, b, h in parts], 5.0)
    assert np.abs(cut.core_c - whole.core_c).max() < 1e-4
    assert np.abs(cut.surface_c - whole.surface_c)[2:].max() < 1e-4


@pytest.mark.parametrize("shape", Shape)
def test_readings_close_together_and_far_apart(shape):
    """The row of lags depends on the shortest step; the answer must not."""
    half_sizes = (0.02, 0.03, 0.05)[: len(shape.directions)]
    body = Body(shape, half_sizes, 1.3e-7, K)
    times, celsius = changing_bath()
    at = np.arange(300.0, 7201.0, 300.0)
    plain = core_curve(body, [Exposure(times, celsius, 95.0)], 5.0, at)
    dense_times = np.unique(np.concatenate([times, [0.2, 1.7, 900.4, 905.0, 6000.3]]))
    dense = Exposure(dense_times, np.interp(dense_times, times, celsius), 95.0)
    close = core_curve(body, [dense], 5.0, at)
    assert np.abs(close.core_c - plain.core_c).max() < 1e-4
    assert np.abs(close.surface_c - plain.surface_c).max() < 1e-4
