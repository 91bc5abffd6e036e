"""Checks of a probe in melting ice and in boiling water.

Water boils cooler the higher the kitchen lies; the limits of a boiling check move
with it. The limits themselves come from the ruleset.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from haccp.errors import RangeError

# Saturation line of water, region 4 of the industrial formulation. Source: iapws-if97, table 34.
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
ALTITUDE_RANGE_M = (-500.0, 5000.0)


class CheckMedium(StrEnum):
    """What a probe is checked in."""

    ICE = "ice"
    BOILING = "boiling"


@dataclass(frozen=True)
class CheckJudgement:
    """A probe check against its limits, temperatures in °C.

    `low_c`, `high_c`: the limits as they apply at this altitude; `error_k`: reading
    minus the true temperature of the medium.
    """

    medium: CheckMedium
    reading_c: float
    true_c: float
    low_c: float
    high_c: float
    error_k: float
    meets: bool


def pressure_pa(altitude_m: float) -> float:
    """Mean air pressure [Pa] at an altitude [m], international standard atmosphere.

    p = 101325 (1 - 2.25577e-5 z)^5.25588, here for -500 to 5000 m; :class:`RangeError`
    outside. Weather moves the pressure by some 3 % and with it the boiling point by
    up to 1 °C. Source: iso-2533.
    """
    if not (math.isfinite(altitude_m) and ALTITUDE_RANGE_M[0] <= altitude_m <= ALTITUDE_RANGE_M[1]):
        low, high = ALTITUDE_RANGE_M
        raise RangeError(f"Altitude is given in metres above the sea, {low:g} to {high:g}; check the site.")
    return float(101325.0 * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


def saturation_c(pressure: float) -> float:
    """Temperature [°C] at which pure water boils under a pressure [Pa].

    Backward saturation equation (31) of the industrial formulation, 611.213 Pa to
    22.064 MPa; :class:`RangeError` outside. Source: iapws-if97.
    """
    if not 611.213 <= pressure <= 22.064e6:
        raise RangeError(f"Water has no boiling point at {pressure} Pa in this equation; check the pressure.")
    beta = (pressure / 1e6) ** 0.25
    e = beta * beta + _N[2] * beta + _N[5]
    f = _N[0] * beta * beta + _N[3] * beta + _N[6]
    g = _N[1] * beta * beta + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    kelvin = 0.5 * (_N[9] + d - math.sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d)))
    return float(kelvin - 273.15)


def boiling_point_c(altitude_m: float) -> float:
    """Boiling point of pure water [°C] at an altitude [m] in the standard atmosphere.

    Range and errors as for :func:`pressure_pa`. Sources: iso-2533, iapws-if97.

    >>> round(boiling_point_c(1000), 2)
    96.65
    """
    return saturation_c(pressure_pa(altitude_m))


def judge_check(
    medium: str, celsius: float, altitude_m: float = 0.0, *, low_c: float, high_c: float
) -> CheckJudgement:
    """Whether a probe's reading in ice or boiling water meets its limits.

    Parameters: `medium`, "ice" or "boiling"; `celsius`, the reading [°C]; `altitude_m`
    of the kitchen [m]; `low_c` and `high_c`, the limits as printed, for sea level [°C].
    For a boiling check both move down by as much as water boils cooler here than at
    sea level; the edges themselves meet the limit.

    Raises :class:`RangeError` for another medium, a reading that is no number, limits
    the wrong way round or an altitude out of range.
    """
    try:
        kind = CheckMedium(medium)
    except ValueError:
        raise RangeError(f"A probe is checked in ice or boiling water, not in “{medium}”.") from None
    if not math.isfinite(celsius):
        raise RangeError("Type what the probe read, in °C.")
    if not low_c <= high_c:
        raise RangeError("The lower limit of a probe check lies above the upper one.")
    if kind is CheckMedium.ICE:
        true_c, shift = 0.0, 0.0
    else:
        true_c = boiling_point_c(altitude_m)
        shift = true_c - boiling_point_c(0.0)
    low, high = low_c + shift, high_c + shift
    return CheckJudgement(
        medium=kind,
        reading_c=celsius,
        true_c=true_c,
        low_c=low,
        high_c=high,
        error_k=celsius - true_c,
        meets=low <= celsius <= high,
    )
