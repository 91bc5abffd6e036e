"""haccp.profile: the excesses at the end of a stay, against scipy's quadrature and against a closed form."""

import numpy as np
import pytest
from scipy import integrate

from haccp.profile import Basis
from haccp.response import Direction

SLAB = Direction(0.0, 3000.0, 4.0)
BRICK = (SLAB, Direction(0.0, 6000.0, 6.0), Direction(0.0, 9000.0, 8.0))


@pytest.mark.parametrize("axes", [(SLAB,), BRICK[:2], BRICK], ids=["one", "two", "three"])
def test_excess_at_the_end_by_quadrature(axes):
    """D = D0 e^(−lambda t) − ∫ e^(−lambda (t − u)) dT(u), each stretch by scipy.integrate.quad."""
    basis = Basis.of(axes, 600.0)
    times = np.array([0.0, 400.0, 1000.0, 2500.0])
    medium = np.array([60.0, 55.0, 58.0, 57.0])
    shape = tuple(rate.size for rate in basis.rates)
    found = basis.at_end(times, medium[np.newaxis], np.full((1, *shape), -50.0))[0]
    for which in ((0,) * len(axes), (1,) * len(axes), (2, *(0,) * (len(axes) - 1))):
        rate = sum(float(own[at]) for own, at in zip(basis.rates, which, strict=True))
        expected = -50.0 * np.exp(-rate * times[-1])
        for left, right, fall in zip(times[:-1], times[1:], np.diff(medium), strict=True):
            area = integrate.quad(lambda u, rate=rate: np.exp(-rate * (times[-1] - u)), left, right)[0]
            expected -= fall / (right - left) * area
        assert found[which] == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_a_uniform_profile_reads_as_itself_at_the_centre():
    """Straight after the change the centre has not moved, and later it follows the series."""
    basis = Basis.of((SLAB,), 60.0)
    profile = np.ones((1, basis.rates[0].size))
    # Bi 4, Fo 0.2 and 0.5: own computation, full series.
    centre = basis.read(profile, np.array([1.0, 600.0, 1500.0]))[0, 0]
    assert centre == pytest.approx([1.0, 0.877858, 0.552178], abs=1e-6)


def test_the_profile_survives_the_change_of_modes():
    """Carried to another medium's modes and read at once, the centre is what it was."""
    old, new = (
        Basis.of(BRICK, 600.0),
        Basis.of(tuple(Direction(0.0, d.diffusion_s, 3.0 * d.biot) for d in BRICK), 600.0),
    )
    profile = np.broadcast_to(old.fading(1200.0), (1, *old.all_rates.shape)).copy()
    before = old.read(profile, np.array([0.0]))[0, 0]
    after = new.read(new.from_old(old, profile), np.array([0.0]))[0, 0]
    assert after == pytest.approx(before, abs=1e-4)
