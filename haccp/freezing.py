r"""A bag that goes into the bath frozen: an estimate of its core by the enthalpy method.

With the heat H(T) that a cubic metre holds, ice and its melting included, the balance of each of a
row of cells between centre and surface is

    dH/dt = (1/r^beta) d/dr( r^beta k(T) dT/dr ) ,   at the surface  k dT/dr = h (T_medium − T)

and T follows from H, which is steady where T stands still: no front has to be traced. Shape number
beta: 0 slab, 1 cylinder, 2 sphere. The part of the water that is ice is
a/(1 + b/ln(1 + T_f − T)) below the initial freezing point T_f (ashrae-refrigeration).

**It proves nothing.** The order of bodies on which the proven bounds rest does not hold for properties
that change with temperature; and how much ice a bag holds is never measured. Judge a bag from frozen
by a probe in its core. The estimate is for planning: how much longer to leave it.

Checked against the quasi-steady solution for a sharp front (Plank's equation, food-encyclopaedia-2003)
and Neumann's exact one; 2 % with 60 cells. Unfrozen throughout, it is :mod:`haccp.conduction`.
Holds from −45 to 100 °C.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from scipy.integrate import solve_ivp

from haccp.conduction import CoreCurve, Exposure, Shape, check_between, check_joined
from haccp.curves import FloatArray
from haccp.datafiles import choose, load, pedigree
from haccp.errors import BodyError, DataError, RangeError

__all__ = ["FreezingFood", "estimate_basis", "freezing_food", "frozen_curve", "ice_share", "minutes_to_core"]

_CELLS: Final = 60
_COLDEST_C: Final = -45.0
_HOTTEST_C: Final = 100.0
_HALF_SIZES_M: Final = (0.0005, 0.2)


@dataclass(frozen=True)
class FreezingFood:
    """Heat held [J/m³] and conductivity [W/(m K)] by temperature [°C], each (k,), straight in between.

    Temperatures and heat rise strictly. Errors: :class:`BodyError`.
    """

    name: str
    celsius: FloatArray
    heat_j_m3: FloatArray
    conductivity_w_mk: FloatArray

    def __post_init__(self) -> None:
        if (
            not self.celsius.shape == self.heat_j_m3.shape == self.conductivity_w_mk.shape
            or self.celsius.size < 2
        ):
            raise BodyError("A food that freezes needs heat and conductivity for each temperature.")
        if not ((np.diff(self.celsius) > 0.0).all() and (np.diff(self.heat_j_m3) > 0.0).all()):
            raise BodyError("The heat that a food holds must rise with its temperature.")
        if not (self.conductivity_w_mk > 0.0).all():
            raise BodyError("A conductivity is above zero.")

    @classmethod
    def of(
        cls,
        name: str,
        *,
        water: float,
        freezes_c: float,
        density: float,
        conductivity: tuple[float, float],
        solids_j_kgk: float,
    ) -> FreezingFood:
        """From composition: `water` [kg/kg], `density` [kg/m³], `conductivity` unfrozen and frozen."""
        if not (0.0 < water < 1.0 and _COLDEST_C < freezes_c < 0.0):
            raise BodyError("The water of a food is a part between 0 and 1, and it freezes below 0 °C.")
        facts = _tables()["water"]
        cold = freezes_c - np.geomspace(1e-3, freezes_c - _COLDEST_C, 400)[::-1]
        temps = np.concatenate((cold, [freezes_c, _HOTTEST_C]))
        ice = water * ice_share(temps, freezes_c)
        heat = (
            (1.0 - water) * solids_j_kgk
            + (water - ice) * float(facts["liquid_j_kgk"])
            + ice * float(facts["ice_j_kgk"])
        )
        steps = np.diff(temps)
        sensible = np.concatenate(([0.0], np.cumsum(0.5 * (heat[1:] + heat[:-1]) * steps)))
        held = sensible + float(facts["latent_j_kg"]) * (ice[0] - ice)
        frozen = ice / ice[0]
        return cls(
            name, temps, density * held, conductivity[0] + (conductivity[1] - conductivity[0]) * frozen
        )


def ice_share(celsius: npt.ArrayLike, freezes_c: float) -> FloatArray:
    """Part of a food's water that is ice [-] at `celsius` [°C]; equation in the module."""
    facts = _tables()["water"]
    under = np.maximum(freezes_c - np.asarray(celsius, dtype=np.float64), 0.0)
    logs = np.log1p(np.where(under > 0.0, under, 1.0))
    share = float(facts["ice_a"]) / (1.0 + float(facts["ice_b"]) / logs)
    return np.where(under > 0.0, np.minimum(share, 1.0), 0.0)


@cache
def _tables() -> dict[str, Any]:
    tables = load("freezing")
    for name, table in tables.items():
        pedigree(table, f"haccp/data/freezing.toml [{name}]")
    return tables


@cache
def freezing_food(key: str) -> FreezingFood:
    """A food of ``data/freezing.toml``; raises :class:`DataError` naming the choices."""
    foods = {name: table for name, table in _tables().items() if name != "water"}
    table = choose(foods, key, "food that freezes")
    try:
        unfrozen, frozen = table["conductivity"]
        return FreezingFood.of(
            str(table["name"]),
            water=float(table["water"]),
            freezes_c=float(table["freezes_c"]),
            density=float(table["density"]),
            conductivity=(float(unfrozen), float(frozen)),
            solids_j_kgk=float(table["solids"]),
        )
    except KeyError as error:
        raise DataError(f"haccp/data/freezing.toml [{key}] lacks {error}.") from None


def estimate_basis() -> str:
    """What a finding says of a curve from frozen."""
    return "estimate by the enthalpy method; it proves nothing"


def frozen_curve(
    shape: Shape,
    half_size_m: float,
    food: FreezingFood,
    exposures: Sequence[Exposure],
    start_c: float,
    times_s: npt.ArrayLike,
) -> CoreCurve:
    """Estimated centre and surface of a bag that starts at `start_c` [°C] throughout, frozen or not.

    Parameters: `shape`, slab, cylinder or sphere; `half_size_m` [m]; `exposures`, as in
    :func:`haccp.conduction.core_curve`; `times_s` [s] (n,), rising, inside the stays.
    Errors: :class:`BodyError` for another shape or size; :class:`RangeError` for a start outside the
    food's table, stays that do not join, or moments outside them.
    """
    if len(shape.directions) != 1:
        raise BodyError("From frozen only slab, cylinder and sphere are estimated; take the slower of them.")
    check_between(half_size_m, _HALF_SIZES_M, "A half-size", "m")
    check_joined([(float(each.times_s[0]), float(each.times_s[-1])) for each in exposures])
    if not food.celsius[0] <= start_c <= food.celsius[-1]:
        raise RangeError(
            f"The figures of {food.name} hold from {food.celsius[0]:g} to {food.celsius[-1]:g} °C; "
            f"{start_c:g} does not lie between."
        )
    wanted = np.atleast_1d(np.asarray(times_s, dtype=np.float64))
    first, last = float(exposures[0].times_s[0]), float(exposures[-1].times_s[-1])
    if not ((np.diff(wanted) > 0.0).all() and first <= wanted[0] and wanted[-1] <= last):
        raise RangeError("Ask for moments that rise, between the first and the last one of the media.")
    cells = _Cells(shape.directions[0], half_size_m, food)
    heat = np.full(_CELLS, np.interp(start_c, food.celsius, food.heat_j_m3))
    core, surface = np.empty(wanted.size), np.empty(wanted.size)
    for exposure in exposures:
        begin, end = float(exposure.times_s[0]), float(exposure.times_s[-1])
        inside = np.flatnonzero((wanted >= begin) & (wanted <= end))
        at = np.union1d(wanted[inside], [begin, end])
        solved = cells.solve(heat, exposure, at)
        for number in inside:
            column = solved[:, int(np.searchsorted(at, wanted[number]))]
            medium = float(np.interp(wanted[number], exposure.times_s, exposure.medium_c))
            core[number], surface[number] = cells.ends(column, medium, exposure.heat_transfer_w_m2k)
        heat = solved[:, -1]
    return CoreCurve(wanted, core, surface)


class _Cells:
    """The row of cells from the centre to the surface, all of one width."""

    def __init__(self, beta: float, half_m: float, food: FreezingFood) -> None:
        self.food = food
        self.width = half_m / _CELLS
        edges = np.linspace(0.0, half_m, _CELLS + 1)
        self.faces = edges**beta
        self.volumes = np.diff(edges ** (beta + 1.0)) / (beta + 1.0)

    def celsius(self, heat: FloatArray) -> FloatArray:
        """Temperatures by heat; above its table the food goes on as at its end."""
        found: FloatArray = np.interp(heat, self.food.heat_j_m3, self.food.celsius)
        return found

    def solve(self, heat: FloatArray, exposure: Exposure, at: FloatArray) -> FloatArray:
        """Heat of the cells (cells, n) at the moments `at`."""
        times, medium = exposure.times_s, exposure.medium_c

        def slope(moment: float, state: FloatArray) -> FloatArray:
            temps = self.celsius(state)
            k = np.interp(temps, self.food.celsius, self.food.conductivity_w_mk)
            between = 2.0 * k[1:] * k[:-1] / (k[1:] + k[:-1])
            flux = np.zeros(_CELLS + 1)
            flux[1:-1] = between * np.diff(temps) / self.width
            resistance = 1.0 / exposure.heat_transfer_w_m2k + 0.5 * self.width / k[-1]
            flux[-1] = (float(np.interp(moment, times, medium)) - temps[-1]) / resistance
            return np.asarray(np.diff(flux * self.faces) / self.volumes, dtype=np.float64)

        # A corner of the medium must not be stepped over.
        longest = max(30.0, float(np.diff(times).min()))
        scale = float(self.food.heat_j_m3[-1] - self.food.heat_j_m3[0])
        answer = solve_ivp(
            slope,
            (float(at[0]), float(at[-1])),
            heat,
            "LSODA",
            at,
            lband=1,
            uband=1,
            rtol=1e-6,
            atol=1e-8 * scale,
            max_step=longest,
        )
        if not answer.success:
            raise RangeError(f"The estimate from frozen did not come to an end: {answer.message}")
        return np.asarray(answer.y, dtype=np.float64)

    def ends(self, heat: FloatArray, medium_c: float, heat_transfer: float) -> tuple[float, float]:
        """Centre and surface [°C]: the profile is flat at the centre, and the film sets the surface."""
        temps = self.celsius(heat)
        centre = float(temps[0] - (temps[1] - temps[0]) / 8.0)
        k = float(np.interp(temps[-1], self.food.celsius, self.food.conductivity_w_mk))
        inner, film = k / (0.5 * self.width), heat_transfer
        surface = (inner * float(temps[-1]) + film * medium_c) / (inner + film)
        # In a front the parabola of the centre has no meaning; it never leaves its two cells by far.
        low, high = sorted((float(temps[0]), float(temps[1])))
        return min(max(centre, low - 0.5 * (high - low)), high), surface


def minutes_to_core(
    shape: Shape,
    half_size_m: float,
    food: FreezingFood,
    heat_transfer_w_m2k: float,
    medium_c: float,
    start_c: float,
    to_c: float,
    longest_min: float = 48.0 * 60.0,
) -> float:
    """Estimated minutes in a steady medium until the centre passes `to_c` [°C]; infinite if not in time.

    Parameters as for :func:`frozen_curve`; `longest_min` [min] is how far ahead is looked.
    """
    if not (math.isfinite(to_c) and 0.0 < longest_min < math.inf):
        raise RangeError("Give the temperature to come to, and how many minutes to look ahead.")
    sign = 1.0 if to_c > start_c else -1.0
    if sign * (medium_c - to_c) <= 0.0:
        return math.inf
    ahead_s = 900.0
    while True:
        ahead_s = min(4.0 * ahead_s, longest_min * 60.0)
        at = np.linspace(0.0, ahead_s, 400)
        stay = Exposure(np.array([0.0, ahead_s]), np.full(2, medium_c), heat_transfer_w_m2k)
        core = sign * frozen_curve(shape, half_size_m, food, [stay], start_c, at).core_c
        over = np.flatnonzero(core >= sign * to_c)
        if over.size:
            last = int(over[0])
            before = max(last - 1, 0)
            pair = np.interp(sign * to_c, core[[before, last]], at[[before, last]])
            return float(pair) / 60.0
        if ahead_s >= longest_min * 60.0:
            return math.inf
