"""Core curves of many bags in one medium in one call, for wall cards and tables.

All bags have one direction (slab, cylinder or sphere) and share the medium and the start. Their
modes are stepped side by side, block by block where the readings are equally spaced (a block
of readings is one matrix product a bag), reading by reading otherwise. The modes that are not
stepped stand at their steady lag, as in :mod:`haccp.response`.
"""

from __future__ import annotations

import numpy as np

from haccp.conduction import Exposure, Shape, check_start
from haccp.curves import FloatArray
from haccp.eigenmodes import modes
from haccp.errors import BodyError

# e^(−12) is 6e-6: what is left of the first mode that is not stepped, after the shortest step.
_DEAD = 12.0
# Readings in one block: what keeps the powers of one block in the cache.
_BLOCK = 24
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
    n = beta + 1.0
    lag = diffusion * (0.5 / n + 1.0 / (n * biot)) - (row.core / rates).sum(axis=1)

    times, medium = exposure.times_s, exposure.medium_c
    slopes = np.diff(medium) / steps
    answer = np.empty((half.size, times.size))
    answer[:, 0] = start_c
    excess = row.core * (start_c - medium[0])
    even = steps.max() - steps.min() < 1e-6 * steps.min()
    step = _block_by_block if even else _one_by_one
    step(rates, row.core, lag, excess, steps, slopes, answer)
    answer[:, 1:] += medium[1:]
    return answer


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


def _one_by_one(
    rates: FloatArray,
    amplitudes: FloatArray,
    lag_s: FloatArray,
    excess: FloatArray,
    steps: FloatArray,
    slopes: FloatArray,
    answer: FloatArray,
) -> None:
    """Fill `answer` with how far each core is above the medium; modes are carried times their amplitudes."""
    steady = (amplitudes / rates).T.copy()
    total = lag_s + steady.sum(axis=0)
    rates, excess = -rates.T, excess.T.copy()
    rates = rates.copy()
    fading, bend = np.empty_like(rates), np.empty_like(rates)
    sums = np.empty((slopes.size, excess.shape[1]))
    # Carried as D + slope/lambda, which a straight stretch of the medium only lets fade.
    bends = np.diff(slopes, prepend=0.0)
    for at, (step, change) in enumerate(zip(steps, bends, strict=True)):
        np.multiply(steady, change, out=bend)
        excess += bend
        np.exp(np.multiply(rates, step, out=fading), out=fading)
        excess *= fading
        np.add.reduce(excess, axis=0, out=sums[at])
    sums -= np.multiply.outer(slopes, total)
    answer[:, 1:] = sums.T


def _block_by_block(
    rates: FloatArray,
    amplitudes: FloatArray,
    lag_s: FloatArray,
    excess: FloatArray,
    steps: FloatArray,
    slopes: FloatArray,
    answer: FloatArray,
) -> None:
    """The same for equal steps: a block of readings from its start and its slopes by matrix products."""
    fading = np.exp(-rates * steps[0])
    gain = amplitudes * (1.0 - fading) / rates
    width = min(_BLOCK, slopes.size)
    # powers (bags, modes, width): what is left of a mode after 1 ... width steps.
    powers = np.empty((*fading.shape, width))
    powers[:, :, 0] = fading
    done = 1
    while done < width:
        more = min(done, width - done)
        np.multiply(powers[:, :, :more], powers[:, :, done - 1 : done], out=powers[:, :, done : done + more])
        done += more
    # What a slope leaves in the core after 0 ... width − 1 further steps.
    before = np.concatenate([np.ones((*fading.shape, 1)), powers[:, :, :-1]], axis=2)
    echo = np.matmul(gain[:, np.newaxis], before)[:, 0]
    echo[:, 0] += lag_s
    for start in range(0, slopes.size, width):
        part = slopes[start : start + width]
        size = part.size
        # slopes as a triangle: row j holds those that are j steps old at each reading of the block.
        shifted = np.zeros((width, size))
        for age in range(size):
            shifted[age, age:] = part[: size - age]
        block = np.matmul(excess[:, np.newaxis], powers[:, :, :size])[:, 0]
        block -= echo @ shifted
        answer[:, 1 + start : 1 + start + size] = block
        reached = np.ascontiguousarray(before[:, :, :size]).reshape(-1, size) @ part[::-1]
        excess = excess * powers[:, :, size - 1] - gain * reached.reshape(excess.shape)
