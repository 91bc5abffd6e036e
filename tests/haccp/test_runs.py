"""haccp.runs against one curve at a time, and how a stay is cut."""

import numpy as np
import pytest

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.response import Directions
from haccp.runs import Part, follow, moments, runs_of


def side_by_side(bodies, transfer):
    """The directions of bodies of one shape in one medium, each in its own order."""
    each_body = [each.in_medium(transfer, each.quickest_first) for each in bodies]
    return tuple(
        Directions(
            axis[0].beta,
            *(np.array(each) for each in zip(*((a.diffusion_s, a.biot) for a in axis), strict=True)),
        )
        for axis in zip(*each_body, strict=True)
    )


@pytest.mark.parametrize("span_s", [0.5, 5.0, 59.0, 61.0, 1440.0, 1441.5, 7230.0, 28800.0, 190_000.0])
@pytest.mark.parametrize("quickness_s", [10.0, 300.0, 5000.0])
def test_a_stay_is_filled_with_steps_that_are_short_at_first(span_s, quickness_s):
    times = moments(100.0, 100.0 + span_s, runs_of(span_s, quickness_s))
    steps, since = np.diff(times), times[:-1] - 100.0
    assert (times[0], times[-1]) == (100.0, 100.0 + span_s)
    # A rest of at most a second is shared out over the steps, any other with the last whole step.
    assert steps.min() > min(0.4 * span_s, 0.2)
    assert steps[since < 2.0 * quickness_s].max() <= max(0.05 * quickness_s, 60.0 / 96.0) + 1.0
    assert steps[since < 11.0 * 3600.0].max() <= 61.0
    assert steps.max() <= 301.0
    if span_s == 28800.0:
        assert np.isin(np.arange(40, 480) * 60.0 + 100.0, times).all()


@pytest.mark.parametrize("shape", Shape)
@pytest.mark.parametrize("stays", [1, 3])
def test_side_by_side_equals_one_curve_at_a_time(shape, stays):
    """Three bodies, two courses, one to three media of which one lasts 20 s."""
    rng = np.random.default_rng(5)
    bodies = [
        Body(shape, (half, 0.03, 0.04)[: len(shape.directions)], alpha, 0.48)
        for half, alpha in ((0.01, 1.2e-7), (0.018, 1.3e-7), (0.028, 1.5e-7))
    ]
    spans = [(0.0, 6000.0), (6000.0, 6020.0), (6020.0, 12000.0)][:stays]
    transfers, levels = (95.0, 12.0, 400.0), (60.0, 20.0, 1.0)
    runs = [runs_of(end - start, 900.0) for start, end in spans]
    grids = [moments(*span, own) for span, own in zip(spans, runs, strict=True)]
    media = [level + rng.normal(0.0, 0.5, (2, grid.size)) for level, grid in zip(levels, grids, strict=False)]
    axes = [side_by_side(bodies, h) for h in transfers[:stays]]
    starts = np.array([[4.0, 5.0], [6.0, 5.0], [8.0, 30.0]])
    found = follow([Part(axes, media, starts - media[0][:, 0])], spans, runs)
    for at, body in enumerate(bodies):
        for course in range(2):
            exposures = [
                Exposure(grid, medium[course], h)
                for grid, medium, h in zip(grids, media, transfers, strict=False)
            ]
            alone = core_curve(body, exposures, starts[at, course])
            assert np.abs(found[at, course, 0] - alone.core_c).max() < 2e-5
            assert np.abs(found[at, course, 1] - alone.surface_c).max() < 2e-4


def test_parts_add_up_and_the_highest_course_counts():
    """The response is linear: half a medium and half again is the whole; of two courses the higher counts."""
    body, (start, end) = Body(Shape.SLAB, (0.012,), 1.3e-7, 0.48), (0.0, 7200.0)
    runs = [runs_of(end, 1000.0)]
    grid = moments(start, end, runs[0])
    media = 60.0 + np.stack([np.sin(grid / 400.0), np.cos(grid / 700.0), 0.001 * grid, -0.001 * grid])
    axes, excess = [side_by_side([body], 95.0)], np.full((1, 4), -55.0)
    whole = follow([Part(axes, [media], excess)], [(start, end)], runs)
    halves = Part(axes, [0.5 * media], 0.5 * excess)
    best = follow([halves, halves], [(start, end)], runs, best_of=2)
    assert best == pytest.approx(whole.reshape(1, 2, 2, 2, -1).max(axis=2), abs=1e-9)
