"""haccp.eigenmodes against printed coefficients, a root finder and quadrature."""

import numpy as np
import pytest
from scipy import integrate, optimize, special

from haccp.eigenmodes import modes, overlap
from tests.haccp.tables import rows

SHAPES = {"slab": 0.0, "cylinder": 1.0, "sphere": 2.0}


@pytest.mark.parametrize("row", rows("robin_one_term.csv"), ids=lambda row: f"Bi {row['biot']}")
@pytest.mark.parametrize("shape", SHAPES)
def test_first_root_and_amplitude_as_printed(row, shape):
    """Cengel, Heat and Mass Transfer, Table 4-2 (page seen); printed to four places."""
    first = modes(SHAPES[shape], float(row["biot"]), 1)
    assert first.roots[0] == pytest.approx(float(row[f"{shape}_z"]), abs=1e-4)
    assert first.core[0] == pytest.approx(float(row[f"{shape}_a"]), abs=1e-4)


@pytest.mark.parametrize(
    ("shape", "roots"),
    [
        ("slab", (1.313838, 4.033568, 6.909596, 9.892753)),
        ("cylinder", (1.989815, 4.713142, 7.617708, 10.622300)),
        ("sphere", (2.570432, 5.354032, 8.302929, 11.334826)),
    ],
)
def test_first_four_roots_at_biot_five(shape, roots):
    """Own computation with scipy's root finder to 1e-13, rounded to six places."""
    assert modes(SHAPES[shape], 5.0, 4).roots == pytest.approx(roots, abs=1e-6)


@pytest.mark.parametrize("beta", [0.0, 0.28, 0.7, 1.0, 1.25, 2.0])
@pytest.mark.parametrize("biot", [1e-4, 0.01, 0.5, 1.0, 3.0, 50.0, 1e4])
def test_roots_by_bracketing(beta, biot):
    """scipy.optimize.brentq between the zeros of J_nu and J_nu+1, which part the roots; none is missed."""
    nu = 0.5 * (beta - 1.0)

    def condition(z):
        return z * special.jv(nu + 1.0, z) - biot * special.jv(nu, z)

    found, z = [], 1e-6
    step = 0.05
    while len(found) < 12:
        if condition(z) * condition(z + step) < 0.0:
            found.append(optimize.brentq(condition, z, z + step, xtol=1e-14))
        z += step
    assert modes(beta, biot, 12).roots == pytest.approx(found, rel=1e-9)


@pytest.mark.parametrize("beta", [0.0, 0.7, 1.0, 2.0])
def test_amplitudes_by_quadrature(beta):
    """A and S from their definition, ∫ phi x^beta / ∫ phi² x^beta, by scipy.integrate.quad."""
    nu, biot = 0.5 * (beta - 1.0), 2.5
    found = modes(beta, biot, 5)
    for z, core, surface in zip(found.roots, found.core, found.surface, strict=True):

        def phi(x, z=z):
            return special.gamma(nu + 1.0) * (0.5 * z * x) ** -nu * special.jv(nu, z * x)

        above = integrate.quad(lambda x: phi(x) * x**beta, 0.0, 1.0)[0]
        below = integrate.quad(lambda x: phi(x) ** 2 * x**beta, 0.0, 1.0)[0]
        assert core == pytest.approx(above / below, rel=1e-6)
        assert surface == pytest.approx(core * phi(1.0), rel=1e-6)


@pytest.mark.parametrize("beta", [0.0, 1.0, 2.0])
def test_overlap_by_quadrature(beta):
    """The projection integral done by quadrature for each pair of modes."""
    nu = 0.5 * (beta - 1.0)
    old, new = modes(beta, 2.0, 4), modes(beta, 9.0, 4)
    matrix = overlap(old, new)

    def phi(z, x):
        return special.gamma(nu + 1.0) * (0.5 * z * x) ** -nu * special.jv(nu, z * x)

    for k, z_new in enumerate(new.roots):
        below = integrate.quad(lambda x, z=z_new: phi(z, x) ** 2 * x**beta, 0.0, 1.0)[0]
        for m, z_old in enumerate(old.roots):
            above = integrate.quad(lambda x, a=z_old, b=z_new: phi(a, x) * phi(b, x) * x**beta, 0, 1)[0]
            assert matrix[k, m] == pytest.approx(
                old.core[m] * above / below / new.core[k], rel=1e-6, abs=1e-9
            )


def test_overlap_of_one_medium_is_the_identity():
    same = modes(0.0, 2.0, 6)
    assert np.array_equal(overlap(same, modes(0.0, 2.0 * (1.0 + 1e-9), 6)), np.eye(6))
    # Just beyond that the formula takes over and must agree with it.
    assert overlap(same, modes(0.0, 2.0 * (1.0 + 1e-6), 6)) == pytest.approx(np.eye(6), abs=1e-5)


def test_many_biot_numbers_in_one_call():
    each = [modes(1.0, biot, 5).roots for biot in (0.1, 1.0, 10.0)]
    assert modes(1.0, np.array([0.1, 1.0, 10.0]), 5).roots == pytest.approx(np.stack(each))
