"""haccp.live against the whole curve and against textbook figures."""

import numpy as np
import pytest

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.errors import RangeError
from haccp.live import LiveBag


@pytest.mark.parametrize("shape", Shape)
def test_reading_by_reading_equals_the_whole_curve(shape):
    body = Body(shape, (0.02, 0.03, 0.05)[: len(shape.directions)], 1.3e-7, 0.48)
    rng = np.random.default_rng(7)
    times = np.cumsum(np.concatenate([[0.0], rng.uniform(20.0, 400.0, 40)]))
    hot, cold = 60.0 + rng.normal(0.0, 0.3, times.size), 2.0 + rng.normal(0.0, 0.3, times.size)
    end = times[-1]
    whole = core_curve(body, [Exposure(times, hot, 95.0), Exposure(times + end, cold, 300.0)], 5.0)

    bag = LiveBag(body, 95.0, 5.0, 0.0, hot[0])
    found = [(bag.core_c, bag.surface_c)]
    for at, celsius in zip(times[1:], hot[1:], strict=True):
        bag.advance(at, celsius)
        found.append((bag.core_c, bag.surface_c))
    bag.move(300.0, cold[0])
    for at, celsius in zip(times[1:], cold[1:], strict=True):
        bag.advance(end + at, celsius)
        found.append((bag.core_c, bag.surface_c))
    core, surface = np.array(found).T
    assert bag.at_s == pytest.approx(2.0 * end)
    assert np.abs(core - whole.core_c).max() < 1e-4
    assert np.abs(surface - whole.surface_c).max() < 1e-4


def test_one_step_into_a_steady_bath():
    """Slab, Bi 4, Fo 0.5: theta 0.552178 (own computation, full series)."""
    bag = LiveBag(Body(Shape.SLAB, (0.02,), 4e-7, 0.5), 100.0, 5.0, 0.0, 60.0)
    bag.advance(500.0, 60.0)
    assert bag.core_c == pytest.approx(60.0 - 55.0 * 0.552178, abs=1e-4)


def test_nonsense_is_refused():
    bag = LiveBag(Body(Shape.SLAB, (0.02,), 1.3e-7, 0.48), 95.0, 5.0, 0.0, 60.0)
    for to_s, celsius in (
        (0.0, 60.0),
        (-5.0, 60.0),
        (float("nan"), 60.0),
        (60.0, float("nan")),
        (60.0, 200.0),
    ):
        with pytest.raises(RangeError):
            bag.advance(to_s, celsius)
    with pytest.raises(RangeError):
        bag.move(float("nan"), 1.0)
    assert (bag.at_s, bag.core_c) == (0.0, 5.0)
    with pytest.raises(RangeError):
        LiveBag(Body(Shape.SLAB, (0.02,), 1.3e-7, 0.48), 95.0, float("nan"), 0.0, 60.0)
