"""haccp.steady against a textbook example and against haccp.conduction, shape by shape."""

import numpy as np
import pytest

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.errors import BodyError, RangeError
from haccp.materials import material
from haccp.ranges import Range
from haccp.steady import Piece, answer, minutes_between, seconds_until


def exact(value):
    return Range(value, value, value)


def piece(shape, **more):
    sizes = {"length_mm": 120.0, "width_mm": 70.0}
    own = {key: sizes[key] for key, _ in zip(sizes, shape.directions[1:], strict=False)}
    known = {
        "diffusivity": Range(1.15e-7, 1.3e-7, 1.45e-7),
        "conductivity": Range(0.42, 0.48, 0.54),
        "start_c": Range(3.0, 4.0, 5.0),
        "tolerance_mm": 2.0,
    }
    return Piece(shape, **{**known, **own, **more})


def test_an_egg_in_boiling_water():
    """Çengel, Heat and Mass Transfer, example on boiling eggs (from memory): sphere of 50 mm, 5 °C,
    water at 95 °C, h 1200, k 0.627, alpha 0.151e-6: 70 °C in the centre after 865 s by one term."""
    egg = Piece(Shape.SPHERE, exact(0.151e-6), exact(0.627), exact(5.0))
    found = seconds_until(answer(egg, exact(1200.0), [50.0], slow=True), (95.0 - 70.0) / (95.0 - 5.0))
    assert found[0] == pytest.approx(865.0, rel=0.005)


@pytest.mark.parametrize("shape", Shape)
def test_it_is_the_curve_of_the_whole_solver(shape):
    """Slow and quick corner, several thicknesses at once, from early to late."""
    what, transfer = piece(shape), Range(95.0, 120.0, 155.0)
    thickness = np.array([12.0, 25.0, 60.0])
    for slow in (True, False):
        bags = answer(what, transfer, thickness, slow=slow)
        edge = 1.0 if slow else -1.0
        for number, each in enumerate(thickness):
            sizes = [each, what.length_mm, what.width_mm][: len(shape.directions)]
            body = Body(
                shape,
                tuple((size + 2.0 * edge) / 2000.0 for size in sizes),
                1.15e-7 if slow else 1.45e-7,
                0.54 if slow else 0.42,
            )
            end = float(seconds_until(bags, 1e-3)[number])
            at = np.linspace(0.0, end, 160)
            stay = Exposure(at, np.full(160, 60.0), 95.0 if slow else 155.0)
            whole = core_curve(body, [stay], 4.0).core_c
            theta = bags.theta(np.tile(at, (3, 1)))[number]
            assert 60.0 - 56.0 * theta == pytest.approx(whole, abs=2e-4)
            for share in (0.97, 0.5, 0.02):
                reached = float(seconds_until(bags, share)[number])
                assert np.interp(reached, at, (60.0 - whole) / 56.0) == pytest.approx(share, abs=2e-3)


def test_times_are_exact_and_their_ends_are_named():
    bags = answer(piece(Shape.SLAB), exact(100.0), [10.0, 30.0], slow=True)
    for share in (0.999, 0.6, 1e-6):
        reached = seconds_until(bags, share)
        assert bags.theta(reached[:, np.newaxis])[:, 0] == pytest.approx([share, share], rel=1e-9)
    assert seconds_until(bags, [1.0, 0.0]).tolist() == [0.0, np.inf]
    assert (seconds_until(bags, -0.5) == np.inf).all()
    assert np.diff(seconds_until(bags, 0.5))[0] > 0.0


@pytest.mark.parametrize("shape", [Shape.SLAB, Shape.SPHERE, Shape.BRICK])
def test_no_body_within_the_limits_takes_longer_for_a_stage(shape):
    """Random bodies, media and starts inside their ranges; up from 10 to 50 °C and down from 50 to 10 °C."""
    rng = np.random.default_rng(5)
    what, transfer = piece(shape), Range(95.0, 120.0, 155.0)
    slow, quick = (answer(what, transfer, [30.0], slow=each) for each in (True, False))
    cases = (
        (Range(59.0, 60.0, 61.0), Range(3.0, 4.0, 5.0), 10.0, 50.0),
        (Range(0.0, 1.0, 2.0), Range(55.0, 58.0, 61.0), 50.0, 10.0),
    )
    for medium, start, from_c, to_c in cases:
        longest = minutes_between(slow, quick, medium, start, from_c, to_c)[0]
        whole = minutes_between(slow, quick, medium, start, None, to_c)[0]
        assert 0.0 < longest < whole < np.inf
        for _ in range(12):
            alpha, k, h, b, t0 = (
                rng.uniform(each.low, each.high)
                for each in (what.diffusivity, what.conductivity, transfer, medium, start)
            )
            sizes = [30.0, what.length_mm, what.width_mm][: len(shape.directions)]
            body = Body(shape, tuple((each + rng.uniform(-2.0, 2.0)) / 2000.0 for each in sizes), alpha, k)
            at = np.linspace(0.0, whole * 60.0, 1500)
            sign = 1.0 if to_c > from_c else -1.0
            core = sign * core_curve(body, [Exposure(at, np.full(1500, b), h)], t0).core_c
            since, until = (float(np.interp(sign * each, core, at)) for each in (from_c, to_c))
            assert core[-1] >= sign * to_c - 1e-6
            assert (until - since) / 60.0 <= longest + 0.02


def test_a_stage_that_never_ends_is_infinite():
    slow, quick = (answer(piece(Shape.SLAB), exact(100.0), [30.0], slow=each) for each in (True, False))
    bath, start = Range(59.0, 60.0, 61.0), Range(3.0, 4.0, 5.0)
    assert minutes_between(slow, quick, bath, start, None, 59.0)[0] == np.inf
    assert minutes_between(slow, quick, bath, start, None, 58.9)[0] < np.inf
    assert minutes_between(slow, quick, Range(3.0, 5.0, 8.0), Range(60.0, 60.0, 60.0), None, 8.0)[0] == np.inf
    # The start is past the lower temperature already: the clock runs from going in.
    assert minutes_between(slow, quick, bath, start, 2.0, 50.0) == minutes_between(
        slow, quick, bath, start, None, 50.0
    )


def test_nonsense_is_refused():
    good = piece(Shape.SLAB)
    for thickness in ([], [float("nan")], [-3.0], [2000.0], [0.0], [[10.0]]):
        with pytest.raises(BodyError):
            answer(good, exact(100.0), thickness, slow=True)
    with pytest.raises(BodyError):
        answer(piece(Shape.SLAB), exact(100.0), [1.5], slow=False)
    with pytest.raises(RangeError):
        answer(good, exact(0.0), [10.0], slow=True)
    with pytest.raises(BodyError, match="length and width"):
        piece(Shape.BRICK, length_mm=None)
    with pytest.raises(BodyError, match="tolerance"):
        piece(Shape.SLAB, tolerance_mm=-1.0)
    with pytest.raises(BodyError, match="shape number"):
        piece(Shape.BRICK, shape_number=0.28)
    beef = Piece.of(Shape.SLAB, material("beef"), exact(4.0))
    assert beef.diffusivity == material("beef").diffusivity
