r"""Eigenmodes of heat conduction in one direction, with a convective surface.

The equation, in x = r/R from the centre (0) to the surface (1), with the shape
number beta (0 slab, 1 long cylinder, 2 sphere, anything between for squat shapes):

    R²/alpha · T_t = T_xx + (beta/x) T_x ,   T_x(0) = 0 ,   T_x(1) = Bi (T_medium − T(1)) ,   Bi = h R / k

With nu = (beta − 1)/2 the modes are phi(x) = Gamma(nu + 1) (z x/2)^(−nu) J_nu(z x), equal to 1
at the centre, and z runs through the positive roots of  z J_{nu+1}(z) = Bi J_nu(z).
Slab, cylinder and sphere are the familiar z tan z = Bi, z J1/J0 = Bi and 1 − z cot z = Bi.

Every rate is alpha z²/R². A uniform excess of 1 has the amplitude A at the centre and
S = A phi(1) at the surface:

    A = 2 Bi / (phi(1) (z² + Bi² − 2 nu Bi)) ,   S = 2 Bi / (z² + Bi² − 2 nu Bi)

Valid for 0 <= beta <= 2 and Bi > 0. Sources: Carslaw and Jaeger, Conduction of Heat in Solids
(the three ideal shapes); the formula in beta is our own derivation, tested against them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import special

from haccp.curves import FloatArray

# From the starts below this many steps leave a relative error of at most 1.3e-10 (sphere),
# for Bi from 1e-4 to 1e5; a fixed number keeps the loop free of tests.
_NEWTON_STEPS = 3
# The slab's own form is straighter: two steps leave 7e-10.
_SLAB_STEPS = 2
_FEW = 12
# Two media whose Biot numbers differ by less are one medium: the overlap of their modes would
# divide one rounding error by another, and what is left out is of this size.
_SAME_BIOT = 1e-7

_ONE: FloatArray = np.ones(())


@dataclass(frozen=True)
class Modes:
    """The first modes of one direction: roots, amplitudes at centre and surface (..., modes)."""

    beta: float
    biot: FloatArray
    roots: FloatArray
    core: FloatArray
    surface: FloatArray

    def of(self, body: int) -> Modes:
        """Those of one of several bodies."""
        rows = (each[body] for each in (self.biot, self.roots, self.core, self.surface))
        return Modes(self.beta, *rows)


def _bessel_pair(beta: float, z: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """J_nu(z) and J_{nu+1}(z) up to a common factor, and what J_nu is to be scaled with to be phi(1)."""
    if beta == 1.0:
        return np.asarray(special.j0(z), np.float64), np.asarray(special.j1(z), np.float64), _ONE
    if beta == 2.0:
        sine = np.sin(z) / z
        return sine, (sine - np.cos(z)) / z, _ONE
    nu = 0.5 * (beta - 1.0)
    scale: FloatArray = special.gamma(nu + 1.0) * (0.5 * z) ** -nu
    return np.asarray(special.jv(nu, z), np.float64), np.asarray(special.jv(nu + 1.0, z), np.float64), scale


def modes(beta: float, biot: float | FloatArray, count: int) -> Modes:
    """The first `count` modes of one direction.

    `beta` [-] is the shape number, `biot` [-] a number or an array of any shape; the
    results have one more axis, the modes. Equations and validity: see the module.
    """
    bi = np.asarray(biot, dtype=np.float64)[..., np.newaxis]
    if beta == 0.0:
        return _slab(bi, count)
    nu = 0.5 * (beta - 1.0)
    phase = np.pi * (np.arange(count) + 0.25 * beta)
    # Far out, J_nu and J_{nu+1} are cosine and sine of one phase: exact for slab and sphere.
    ahead = bi - 0.5 * beta
    z = phase + np.arctan2(ahead, phase + 0.25 * np.pi)
    # Dunkerley's lower bound for the first root: Newton climbs from there without overshooting.
    # pi (beta + 2)/4 is the first zero of J_nu for slab and sphere, and below it in between.
    slow = (beta + 1.0) * bi[..., 0]
    z[..., 0] = np.sqrt(slow / (1.0 + slow / (0.25 * np.pi * (beta + 2.0)) ** 2))
    square = z * z
    for _ in range(_NEWTON_STEPS):
        value, next_value, _scale = _bessel_pair(beta, z)
        square = square - 2.0 * z * (z * next_value - bi * value) / (z * value + (bi - 2.0 * nu) * next_value)
        z = np.sqrt(square)
    value, next_value, scale = _bessel_pair(beta, z)
    # At a root Bi J_nu = z J_{nu+1}: the larger of the two keeps its digits.
    at_surface = scale * np.where(bi > 1.0, z * next_value / bi, value)
    surface = 2.0 * bi / (square + bi * bi - 2.0 * nu * bi)
    return Modes(beta, bi[..., 0], z, surface / at_surface, surface)


def _slab(bi: FloatArray, count: int) -> Modes:
    """The same for a slab, by its own closed forms: a single bag's curve is made mostly of such calls.

    The m-th root of z tan z = Bi solves z = m pi + atan(Bi/z), which is all but straight in z; there
    cos z is (−1)^m z/√(z² + Bi²), so that neither sine nor cosine is needed.
    """
    z = _few_roots(bi.item(), count) if bi.ndim == 1 and count <= _FEW else _slab_roots(bi, count)
    reach = z * z
    reach += bi * bi
    surface = 2.0 * bi / (reach + bi)
    core = surface * np.sqrt(reach)
    core /= z
    core[..., 1::2] *= -1.0
    return Modes(0.0, bi[..., 0], z, core, surface)


def _few_roots(bi: float, count: int) -> FloatArray:
    """A handful of roots one after the other: quicker than as many calls on short arrays."""
    found = []
    for number in range(count):
        whole = number * math.pi
        z = whole + math.atan(bi / (whole + 0.25 * math.pi))
        if number == 0:
            z = math.sqrt(bi / (1.0 + bi * (4.0 / math.pi**2)))
        for _ in range(_SLAB_STEPS):
            z -= (z - whole - math.atan(bi / z)) / (1.0 + bi / (z * z + bi * bi))
        found.append(z)
    return np.array(found)


def _slab_roots(bi: FloatArray, count: int) -> FloatArray:
    whole = np.pi * np.arange(count)
    z: FloatArray = np.arctan(bi / (whole + 0.25 * np.pi))
    z += whole
    z[..., 0] = np.sqrt(bi[..., 0] / (1.0 + bi[..., 0] * (4.0 / np.pi**2)))
    square = bi * bi
    for _ in range(_SLAB_STEPS):
        z -= (z - whole - np.arctan(bi / z)) / (1.0 + bi / (z * z + square))
    return z


def overlap(old: Modes, new: Modes) -> FloatArray:
    """Matrix (new modes, old modes) that turns the excesses of the old modes into those of the new.

    A profile is  sum_m D_m A_m phi_m(x)  with one excess D_m a mode. In new modes (another Bi, the
    same body) its excesses are D'_k = sum_m P_km D_m,  P_km = S_m (1 − Bi/Bi') z'_k²/(z'_k² − z_m²).
    """
    ratio = float(old.biot) / float(new.biot)
    if abs(1.0 - ratio) < _SAME_BIOT:
        return np.eye(new.roots.size, old.roots.size)
    square = new.roots[:, np.newaxis] ** 2
    return old.surface * (1.0 - ratio) * square / (square - old.roots**2)
