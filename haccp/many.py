"""Core curves of many bags in one medium in one call, for wall cards and tables.

All bags have one direction (slab, cylinder or sphere) and share the medium and the start. A mode's
course behind the medium depends on nothing but its rate, and is a smooth function of the
logarithm of it. So the medium is stepped for a few dozen rates only (Chebyshev's points between the
slowest and the quickest), and every mode of every bag is read off between them: one matrix of shares
a bag, one product for all. On the ellipse of convergence with the half-height pi/2 an exponential
exp(−e^x t) stays below 1, whence the number of rates. Modes that die within the shortest
step stand at their steady lag, as in :mod:`haccp.response`.
"""

from __future__ import annotations

import numpy as np

from haccp.conduction import Exposure, Shape, check_start
from haccp.curves import FloatArray
from haccp.eigenmodes import modes
from haccp.errors import BodyError
from haccp.response import carried

# e^(−12) is 6e-6: what is left of the first mode that is not stepped, after the shortest step.
_DEAD = 12.0
# What the interpolation between rates may leave of a jump of 1 K.
_BETWEEN_RATES = 1e-7
# Sizes that stand for all the others where only the size differs.
_NODES = 20


def core_curves(
    shape: Shape,
    half_sizes_m: FloatArray,
    diffusivity_m2_s: FloatArray | float,
    conductivity_w_mk: FloatArray | float,
    exposure: Exposure,
    start_c: float,
) -> FloatArray:
    """Core [°C] (bags, n) of many bags at the moments of `exposure` (n,).

    `half_sizes_m` [m] (bags,); `diffusivity_m2_s` [m²/s] and `conductivity_w_mk` [W/(m K)], a number or
    (bags,); `start_c` [°C]. Error below 1e-3 °C, at the first reading of the thickest bag.
    Errors: :class:`BodyError` for a finite shape or sizes and properties that are not positive numbers.
    """
    if len(shape.directions) != 1:
        raise BodyError(f"Many bags at once are slabs, cylinders or spheres, not a {shape}.")
    half, alpha, k = np.broadcast_arrays(half_sizes_m, diffusivity_m2_s, conductivity_w_mk)
    for values, limits in ((half, (0.0005, 0.2)), (alpha, (1e-9, 1e-3)), (k, (1e-3, 1e3))):
        if values.ndim != 1 or not ((values >= limits[0]) & (values <= limits[1])).all():
            raise BodyError(f"Half-sizes, diffusivities and conductivities of many bags lie within {limits}.")
    check_start(start_c)
    beta = shape.directions[0]
    diffusion, biot = half * half / alpha, exposure.heat_transfer_w_m2k * half / k
    steps = np.diff(exposure.times_s)
    # As many modes as the thickest bag has alive after the shortest step, and one to spare.
    count = 2 + int(np.sqrt(_DEAD * diffusion.max() / steps.min()) / np.pi)
    row = modes(beta, biot, count)
    rates = row.roots**2 / diffusion[:, np.newaxis]
    quickest = max(_DEAD / float(steps.min()), float(rates[:, 0].max()))
    alive = np.where(rates <= quickest, row.core, 0.0)
    n = beta + 1.0
    lag = diffusion * (0.5 / n + 1.0 / (n * biot)) - (alive / rates).sum(axis=1)

    slopes = np.diff(exposure.medium_c, prepend=exposure.medium_c[0]) / np.append(1.0, steps)
    known, shares = _at_few_rates(rates, alive, quickest, steps, slopes[1:], start_c - exposure.medium_c[0])
    # The medium itself and the lags that stand still are two more courses of the one product.
    ones = np.ones((half.size, 1))
    answer: FloatArray = np.hstack([shares, ones, -lag[:, np.newaxis]]) @ np.vstack(
        [known, exposure.medium_c, slopes]
    )
    answer[:, 0] = start_c
    return answer


def _at_few_rates(
    rates: FloatArray,
    amplitudes: FloatArray,
    quickest: float,
    steps: FloatArray,
    slopes: FloatArray,
    jump_k: float,
) -> tuple[FloatArray, FloatArray]:
    """Coefficients (p, n) of Chebyshev's polynomials in the logarithm of the rate for the course of an
    excess, and what of each polynomial every bag has (bags, p)."""
    middle = 0.5 * np.log(quickest * rates[:, 0].min())
    reach = max(0.5 * np.log(quickest / rates[:, 0].min()), 0.1)
    height = 0.5 * np.pi / reach
    count = 2 - int(np.log(_BETWEEN_RATES) / np.arcsinh(height))
    angles = np.pi * (np.arange(count) + 0.5) / count
    few = np.exp(middle + reach * np.cos(angles))[:, np.newaxis]
    decay = np.exp(-few * steps)
    excess = np.empty((1, count, steps.size + 1))
    excess[..., 0] = jump_k
    excess[..., 1:] = (decay - 1.0) / few * slopes
    numbers = np.arange(count)
    to_coefficients = np.cos(np.multiply.outer(numbers, angles)) * np.where(numbers, 2.0, 1.0)[:, np.newaxis]
    known = (to_coefficients / count) @ carried(decay, excess)[0]

    # Chebyshev's polynomials of every mode, one after the other, summed over the modes of each bag.
    at = np.clip((np.log(rates) - middle) / reach, -1.0, 1.0).T.copy()
    twice = 2.0 * at
    before = amplitudes.T.copy()
    now = before * at
    shares = np.empty((count, len(rates)))
    for number in range(count):
        np.add.reduce(before, axis=0, out=shares[number])
        np.subtract(twice * now, before, out=before)
        before, now = now, before
    return known, shares.T


def core_curves_by_size(
    shape: Shape,
    half_sizes_m: FloatArray,
    diffusivity_m2_s: float,
    conductivity_w_mk: float,
    exposure: Exposure,
    start_c: float,
) -> FloatArray:
    """Core [°C] (bags, n) as by :func:`core_curves` where nothing but the size differs.

    The core is a smooth function of the logarithm of the size, so it is computed at `_NODES` sizes
    (Chebyshev's) and interpolated (barycentric formula). Error below 1e-3 °C where the largest is at
    most six times the smallest; a wider range is refused, to be cut in two.
    Errors: as :func:`core_curves`.
    """
    sizes = np.atleast_1d(np.asarray(half_sizes_m, dtype=np.float64))
    if not (sizes > 0.0).all() or sizes.max() > 6.0 * sizes.min():
        raise BodyError("Sizes must be positive, and the largest at most six times the smallest.")
    angles = np.pi * (np.arange(_NODES) + 0.5) / _NODES
    middle, reach = 0.5 * np.log(sizes.max() * sizes.min()), 0.5 * np.log(sizes.max() / sizes.min())
    if reach < 1e-9:
        one = core_curves(shape, sizes[:1], diffusivity_m2_s, conductivity_w_mk, exposure, start_c)
        return np.repeat(one, sizes.size, axis=0)
    nodes = np.exp(middle + reach * np.cos(angles))
    known = core_curves(shape, nodes, diffusivity_m2_s, conductivity_w_mk, exposure, start_c)
    apart = np.subtract.outer((np.log(sizes) - middle) / reach, np.cos(angles))
    hit = np.abs(apart) < 1e-14
    shares = np.where(np.arange(_NODES) % 2 == 0, 1.0, -1.0) * np.sin(angles) / np.where(hit, 1.0, apart)
    shares = np.where(hit.any(axis=1, keepdims=True), hit, shares)
    answer: FloatArray = (shares / shares.sum(axis=1, keepdims=True)) @ known
    return answer
