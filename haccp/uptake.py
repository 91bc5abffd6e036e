r"""How salt goes into meat that lies in brine: diffusion, against time and thickness.

Fick's law with one diffusivity D in the water of the meat, no skin, no resistance at the surface, no salt in
the meat at first and the same D throughout; R is the half-thickness of a slab with both faces in the brine,
or the radius of a cylinder or sphere, d = 1, 2, 3, and Fo = D t/R². Of what the meat takes up in the end

    mean    E(Fo) = 1 − Σ b exp(−q² Fo) ,    b = 2 d (1 + w)/(q² + d² w (1 + w))
    centre  C(Fo) = 1 + Σ a exp(−q² Fo) ,    a = −b q/(d f'(q)) ,    q f(q) + d w f'(q) = 0

with f = cos, J0, sin(z)/z and f' = −df/dz. w = 1/alpha is water in the meat over water in the brine: the
brine weakens as the meat takes up salt, so a small one gets to *its* end sooner (and that end is weaker).
w = 0 is a brine that never weakens: the modes of heat conduction with an infinite Biot number. In the
first moments (Fo under 1e-6) the series is slow, and E = (1 + alpha)(1 − exp(x²) erfc(x)), x = d √Fo/alpha.

Not modelled: a rinse (it takes salt from the outermost layer, and afterwards what is left evens out: the
mean falls by what the rinse water carries off, which nothing here reckons), skin and fat (they let through
a hundred to a thousand times less), needles and tumbling, water that moves with the salt, a brine that
isn't stirred. Nitrite is far slower than salt and has its own D: never time it with the salt's.

Source: crank-1975 (the three shapes; the form in d is our own, tested against each).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from typing import Final

import numpy as np
from scipy import optimize, special

from haccp.brine import equilibrium_water_phase_percent
from haccp.conduction import Shape
from haccp.curves import FloatArray
from haccp.datafiles import as_range, choose, load, pedigree
from haccp.errors import BodyError, DataError, RangeError
from haccp.ranges import Range

# Fractions of the end that a cook is told a time for.
STAGES: Final = (0.50, 0.75, 0.90, 0.95, 0.99)
NOT_MODELLED: Final = (
    "Not reckoned: a rinse, skin, fat, needles, tumbling, a brine at rest. "
    "Measure the product where it matters."
)
_GAS_CONSTANT: Final = 8.314462618  # J/(mol K), exact by the definition of the SI
_ICE_K: Final = 273.15
_DAY_S: Final = 86400.0
# Below this the salt is still so near the surface that the surface may be taken as flat.
_LEAST_FOURIER: Final = 1e-6
# exp(−25) of the last mode kept is less than the tests can see.
_LAST_EXPONENT: Final = 25.0
# Beyond this ratio the difference in the first moments is lost in rounding.
_NEVER_WEAKENS: Final = 1e5
_THICKNESS_MM: Final = (1.0, 600.0)


class Place(StrEnum):
    """Where in the meat."""

    MEAN = "mean"
    CENTRE = "centre"


@dataclass(frozen=True)
class Taken:
    """Fractions of the end [-]: the mean over the body and the centre."""

    mean: FloatArray
    centre: FloatArray


@dataclass(frozen=True)
class Diffusivity:
    """One solute in one food, from ``data/uptake.toml``.

    `span` [m²/s] at `at_c` [°C]; `activation` [J/mol]; used from `from_c` to `to_c` [°C].
    `provenance` is that of the most likely value, `span_provenance` that of the two ends.
    """

    key: str
    solute: str
    food: str
    span: Range
    at_c: float
    activation: Range
    from_c: float
    to_c: float
    sources: tuple[str, ...]
    provenance: str
    span_provenance: str
    note: str

    def at(self, celsius: float) -> Range:
        """Diffusivity [m²/s] at `celsius`: D exp[(Ea/R)(1/T0 − 1/T)], the ends with the ends of Ea.

        Errors: :class:`RangeError` outside the temperatures that the figures are used for.
        """
        if not self.from_c <= celsius <= self.to_c:
            raise RangeError(
                f"{self.solute} in {self.food} is known from {self.from_c:g} to {self.to_c:g} °C; "
                f"{celsius:g} °C is outside."
            )
        power = (1.0 / (self.at_c + _ICE_K) - 1.0 / (celsius + _ICE_K)) / _GAS_CONSTANT
        ends = sorted(math.exp(each * power) for each in (self.activation.low, self.activation.high))
        best = math.exp(self.activation.best * power)
        return Range(self.span.low * ends[0], self.span.best * best, self.span.high * ends[1])


@cache
def diffusivities() -> dict[str, Diffusivity]:
    """All figures of ``data/uptake.toml`` by key. Raises :class:`DataError` for one that is not whole."""
    tables = load("uptake")
    energies = {key: _activation(table, key) for key, table in tables["activation"].items()}
    return {key: _diffusivity(key, table, energies) for key, table in tables["diffusivity"].items()}


def _activation(table: dict[str, object], key: str) -> Range:
    where = f"haccp/data/uptake.toml [activation.{key}]"
    pedigree(table, where)
    return as_range(table["j_mol"], where)  # type: ignore[arg-type]


def _diffusivity(key: str, table: dict[str, object], energies: dict[str, Range]) -> Diffusivity:
    where = f"haccp/data/uptake.toml [diffusivity.{key}]"
    sources, provenance, note = pedigree(table, where)
    _, span_provenance, _ = pedigree({**table, "provenance": table.get("span_provenance")}, where)
    try:
        return Diffusivity(
            key=key,
            solute=str(table["solute"]),
            food=str(table["food"]),
            span=as_range(table["m2_s"], where),  # type: ignore[arg-type]
            at_c=float(table["at_c"]),  # type: ignore[arg-type]
            activation=choose(energies, str(table["activation"]), "activation energy"),
            from_c=float(table["from_c"]),  # type: ignore[arg-type]
            to_c=float(table["to_c"]),  # type: ignore[arg-type]
            sources=sources,
            provenance=provenance,
            span_provenance=span_provenance,
            note=note,
        )
    except KeyError as error:
        raise DataError(f"{where} lacks {error}.") from None


def diffusivity(key: str) -> Diffusivity:
    """The figures with this key; raises :class:`DataError` naming the choices."""
    return choose(diffusivities(), key, "diffusivity")


def brine_ratio(water_g: float, meat_g: float, moisture_percent: float) -> float:
    """alpha [-]: water in the brine [g] over water in the meat (`moisture_percent` of `meat_g`)."""
    if not (math.isfinite(water_g) and water_g > 0.0 and math.isfinite(meat_g) and meat_g > 0.0):
        raise RangeError("Water and meat are more than nothing; give both in grams.")
    if not 0.0 < moisture_percent < 100.0:
        raise RangeError("Give the water in the meat, in % of the meat (lean meat about 70 to 75 %).")
    return water_g / (meat_g * moisture_percent / 100.0)


def _cosine(z: FloatArray) -> tuple[FloatArray, FloatArray]:
    return np.cos(z), np.sin(z)


def _bessel(z: FloatArray) -> tuple[FloatArray, FloatArray]:
    return np.asarray(special.j0(z), np.float64), np.asarray(special.j1(z), np.float64)


def _sinc(z: FloatArray) -> tuple[FloatArray, FloatArray]:
    value = np.sin(z) / z
    return value, (value - np.cos(z)) / z


_PROFILES: Final[dict[Shape, Callable[[FloatArray], tuple[FloatArray, FloatArray]]]] = {
    Shape.SLAB: _cosine,
    Shape.CYLINDER: _bessel,
    Shape.SPHERE: _sinc,
}


def _brackets(shape: Shape, count: int) -> tuple[FloatArray, FloatArray]:
    """Between which two numbers each q lies: a zero of f and the next one of f' (or a bit beyond it)."""
    whole: FloatArray = np.pi * np.arange(1, count + 1, dtype=np.float64)
    if shape is Shape.SLAB:
        return np.subtract(whole, 0.5 * np.pi), whole
    if shape is Shape.SPHERE:
        return whole, np.add(whole, 0.5 * np.pi)
    return special.jn_zeros(0, count), special.jn_zeros(1, count)


@lru_cache(maxsize=64)
def _series(shape: Shape, weakening: float, count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """q², b and a of the first `count` modes."""
    d = 1.0 + shape.directions[0]
    profile = _PROFILES[shape]
    low, high = _brackets(shape, count)
    if weakening > 0.0:
        # Bisection: one root in each bracket, and 60 halvings leave nothing of it.
        rising = profile(high)[0] > 0.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            value, slope = profile(middle)
            above = (middle * value + d * weakening * slope > 0.0) == rising
            low, high = np.where(above, low, middle), np.where(above, middle, high)
    square = low * low
    mean = 2.0 * d * (1.0 + weakening) / (square + d * d * weakening * (1.0 + weakening))
    return square, mean, -mean * low / (d * profile(low)[1])


def _weakening(ratio: float) -> float:
    if not ratio >= 0.01:
        raise RangeError("A brine has at least a hundredth of the meat's water; look at the two weights.")
    return 1.0 / ratio


def _known(shape: Shape) -> Shape:
    if shape not in _PROFILES:
        raise BodyError(
            f"Uptake is reckoned for slab, cylinder and sphere. Take a {shape} as a slab of its least "
            "thickness: that is the slower side."
        )
    return shape


def _at_first(shape: Shape, fo: FloatArray, ratio: float) -> FloatArray:
    """Mean [-] while the surface may be taken as flat."""
    root = (1.0 + shape.directions[0]) * np.sqrt(fo)
    if ratio > _NEVER_WEAKENS:
        return 2.0 / math.sqrt(math.pi) * root
    return np.asarray((1.0 + ratio) * (1.0 - special.erfcx(root / ratio)), np.float64)


def fractions(shape: Shape, fourier: FloatArray | float, ratio: float = math.inf) -> Taken:
    """Mean and centre [-] of the end at Fo = D t/R² (any array shape).

    `ratio` [-] is alpha, see :func:`brine_ratio`; infinite: the brine never weakens.
    Equation and validity: see the module. Error below 1e-6; for Fo under 1e-6 the mean is within one
    part in 500 of itself.
    Errors: :class:`RangeError` for a negative Fo or a ratio under 0.01, :class:`BodyError`
    for other shapes. Source: crank-1975.
    """
    fo = np.atleast_1d(np.asarray(fourier, dtype=np.float64))
    if not (np.isfinite(fo).all() and (fo >= 0.0).all()):
        raise RangeError("A stay in the brine is nothing or longer; look at the times.")
    used = np.maximum(fo, _LEAST_FOURIER)
    count = math.ceil(math.sqrt(_LAST_EXPONENT / float(used.min())) / math.pi) + 1
    # Rounded up to a power of two: few different series to keep.
    square, mean, centre = _series(_known(shape), _weakening(ratio), 1 << max(3, count - 1).bit_length())
    decay = np.exp(-square * used[..., np.newaxis])
    early = fo < _LEAST_FOURIER
    taken = Taken(
        np.where(early, _at_first(shape, fo, ratio), np.clip(1.0 - decay @ mean, 0.0, 1.0)),
        np.where(early, 0.0, np.clip(1.0 + decay @ centre, 0.0, 1.0)),
    )
    if np.ndim(fourier) == 0:
        return Taken(taken.mean.reshape(()), taken.centre.reshape(()))
    return taken


def fourier_for(shape: Shape, fraction: float, place: Place = Place.MEAN, ratio: float = math.inf) -> float:
    """Fo [-] at which `place` has `fraction` (0 to 1, both excluded) of the end. Inverse of `fractions`."""
    if not 0.0005 <= fraction <= 0.9999:
        raise RangeError("Ask for a part of the end between 0.05 and 99.99 %.")

    def short(fo: float) -> float:
        taken = fractions(shape, fo, ratio)
        return float(taken.mean if place is Place.MEAN else taken.centre) - fraction

    return float(optimize.brentq(short, 0.0, 5.0, xtol=1e-12, rtol=1e-12))


def _half_m(thickness_mm: float) -> float:
    low, high = _THICKNESS_MM
    if not low <= thickness_mm <= high:
        raise BodyError(f"A thickness lies between {low:g} and {high:g} mm; {thickness_mm:g} mm does not.")
    return 0.0005 * thickness_mm


@dataclass(frozen=True)
class Uptake:
    """What meat has taken up, as a part of the end [-]: least, most likely, most."""

    mean: Range
    centre: Range
    not_modelled: str = NOT_MODELLED


def uptake(
    shape: Shape,
    thickness_mm: float,
    seconds: float,
    of: Diffusivity,
    celsius: float,
    ratio: float = math.inf,
) -> Uptake:
    """Part of the end that a piece has after `seconds` [s] in the brine at `celsius` [°C].

    `thickness_mm` [mm] is the whole thickness or the diameter, both sides in the brine.
    The range is that of the published diffusivities. Errors: see `fractions`,
    `Diffusivity.at`; :class:`BodyError` for a thickness outside 1 to 600 mm.
    """
    if not (math.isfinite(seconds) and seconds >= 0.0):
        raise RangeError("A stay in the brine is nothing or longer; look at the times.")
    d = of.at(celsius)
    scale = seconds / _half_m(thickness_mm) ** 2
    taken = fractions(shape, np.array([d.low, d.best, d.high]) * scale, ratio)
    return Uptake(Range(*map(float, taken.mean)), Range(*map(float, taken.centre)))


def days_to(
    shape: Shape,
    thickness_mm: float,
    fraction: float,
    of: Diffusivity,
    celsius: float,
    place: Place = Place.MEAN,
    ratio: float = math.inf,
) -> Range:
    """Days until `place` has `fraction` of the end: soonest, most likely, latest.

    Parameters and errors as in :func:`uptake`. Equation: t = Fo R²/D.
    """
    d = of.at(celsius)
    square = fourier_for(shape, fraction, place, ratio) * _half_m(thickness_mm) ** 2 / _DAY_S
    return Range(square / d.high, square / d.best, square / d.low)


def timetable(
    shape: Shape, thickness_mm: float, of: Diffusivity, celsius: float, ratio: float = math.inf
) -> dict[Place, dict[float, Range]]:
    """Days [d] to each of `STAGES`, mean and centre: see :func:`days_to`."""
    return {
        place: {each: days_to(shape, thickness_mm, each, of, celsius, place, ratio) for each in STAGES}
        for place in Place
    }


def water_phase_percent(
    taken: float, meat_g: float, water_g: float, salt_g: float, moisture_percent: float
) -> float:
    """Salt in the water phase [%] of meat that has the part `taken` [-] of the end.

    The end is :func:`haccp.brine.equilibrium_water_phase_percent`; salt per water goes with the part
    taken, p = 100 s/(1 + s) with s = taken S/(W + m M).
    """
    if not 0.0 <= taken <= 1.0:
        raise RangeError("The part taken up lies between 0 and 1.")
    end = equilibrium_water_phase_percent(meat_g, water_g, salt_g, moisture_percent)
    to_water = taken * end / (100.0 - end)
    return 100.0 * to_water / (1.0 + to_water)
