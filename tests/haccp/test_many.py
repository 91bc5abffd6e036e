"""haccp.many against one curve at a time, and against the full series."""

import numpy as np
import pytest

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.errors import BodyError, RangeError
from haccp.many import core_curves, core_curves_by_size

IDEAL = (Shape.SLAB, Shape.CYLINDER, Shape.SPHERE)


def bath(even):
    rng = np.random.default_rng(3)
    times = np.arange(0.0, 14401.0, 60.0)
    if not even:
        times[1:-1] += rng.uniform(-20.0, 20.0, times.size - 2)
    celsius = 60.0 + rng.normal(0.0, 0.15, times.size)
    celsius[60:90] -= 3.0
    return Exposure(times, celsius, 95.0)


@pytest.mark.parametrize("shape", IDEAL)
@pytest.mark.parametrize("even", [True, False])
def test_all_at_once_equals_one_at_a_time(shape, even):
    stay = bath(even)
    halves = np.linspace(0.005, 0.03, 12)
    alphas, ks = np.linspace(1.1e-7, 1.5e-7, 12), np.linspace(0.45, 0.52, 12)
    found = core_curves(shape, halves, alphas, ks, stay, 5.0)
    for row, half, alpha, k in zip(found, halves, alphas, ks, strict=True):
        alone = core_curve(Body(shape, (half,), alpha, k), [stay], 5.0).core_c
        assert np.abs(row - alone).max() < 1e-3
        # What is left out shows at the first reading, if at all.
        assert np.abs(row - alone)[2:].max() < 1e-4


@pytest.mark.parametrize("shape", IDEAL)
def test_only_the_size_differs(shape):
    stay = bath(even=True)
    halves = np.linspace(0.005, 0.03, 57)
    found = core_curves_by_size(shape, halves, 1.3e-7, 0.48, stay, 5.0)
    for row, half in zip(found[::7], halves[::7], strict=True):
        assert np.abs(row - core_curve(Body(shape, (half,), 1.3e-7, 0.48), [stay], 5.0).core_c).max() < 1e-3


def test_bags_of_one_size():
    stay = bath(even=True)
    found = core_curves_by_size(Shape.SLAB, np.full(3, 0.02), 1.3e-7, 0.48, stay, 5.0)
    assert found == pytest.approx(np.broadcast_to(found[0], found.shape))


def test_by_the_full_series():
    """Centre theta at Bi 4, Fo 0.2, 0.5 and 1: own computation with scipy, 40-120 terms."""
    stay = Exposure([0.0, 200.0, 500.0, 1000.0], [0.0, 0.0, 0.0, 0.0], 100.0)
    for shape, theta in (
        (Shape.SLAB, (0.877858, 0.552178, 0.248272)),
        (Shape.CYLINDER, (0.699088, 0.238035, 0.038556)),
        (Shape.SPHERE, (0.509863, 0.084358, 0.004137)),
    ):
        found = core_curves(shape, np.array([0.02]), 4e-7, 0.5, stay, 1.0)[0]
        assert found[1:] == pytest.approx(theta, abs=1e-6)


def test_nonsense_is_refused():
    stay = bath(even=True)
    with pytest.raises(BodyError):
        core_curves(Shape.BRICK, np.array([0.02]), 1.3e-7, 0.48, stay, 5.0)
    for halves, alpha, k in (
        ([0.0], 1.3e-7, 0.48),
        ([np.nan], 1.3e-7, 0.48),
        ([0.02], -1.0, 0.48),
        ([0.02], 1.3e-7, 0.0),
    ):
        with pytest.raises(BodyError):
            core_curves(Shape.SLAB, np.array(halves), alpha, k, stay, 5.0)
    with pytest.raises(RangeError):
        core_curves(Shape.SLAB, np.array([0.02]), 1.3e-7, 0.48, stay, np.nan)
    with pytest.raises(BodyError, match="six times"):
        core_curves_by_size(Shape.SLAB, np.array([0.002, 0.03]), 1.3e-7, 0.48, stay, 5.0)
