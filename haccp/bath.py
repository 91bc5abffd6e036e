r"""What a bath can take: how far cold bags pull it down, how soon it is back, and the largest load.

The water is one temperature (it is stirred); the bags conduct. With C the heat capacity of water and
vessel, U the loss through walls and lid, G the convection over open water, and m c of the load:

    C dT/dt = P − U (T − T_room) − G (T − T_room) − G (e(T) − e_room)/gamma − m c dT_mean/dt

Heat and vapour leave the surface through the same film (Lewis), so evaporation has no constant of its
own. The mean of a bag follows from the modes of its shape: each holds the share
n Bi S/z² of the mean in each direction (n = 1, 2, 3 for slab, cylinder, sphere), product over directions;
quick modes go with the water. A heater with a thermostat gives all it has below the set point, and at
the set point what is lost.

Holds from 0 to 95 °C for a stirred bath with bags that lie apart under water. It does not know where a
bag touches another, a lid that is lifted, or water that is topped up. Heat needed for hot spots
of the vessel counts into C, so measure C by heating the bath up once (:func:`fitted`): a litre in a
pot of its own took half as much again as the water alone.
Sources: cengel-heat (balance, Lewis), iapws-if97 (vapour pressure).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from scipy.optimize import least_squares

from haccp.composition import properties
from haccp.conduction import Body, Exposure, check_heat_transfer, check_start, core_curve
from haccp.curves import FloatArray, checked
from haccp.datafiles import load, pedigree
from haccp.eigenmodes import modes
from haccp.errors import DataError, RangeError
from haccp.probes import saturation_c

__all__ = ["Bath", "Load", "Run", "fitted", "heat_up", "largest_load", "run_load", "vapour_pressure_pa"]

HOTTEST_C: Final = 95.0
_STEP_S: Final = 5.0
_MODES: Final = 12
_FILL_C: Final = 60.0


@dataclass(frozen=True)
class Bath:
    """A water bath: `capacity_j_k` [J/K], `heater_w` [W], `wall_w_k` and `surface_w_k` [W/K].

    `surface_w_k` is the convection over the open water (0 under a lid); `room_c` [°C] and
    `humidity` [0 to 1] are the air's. Errors: :class:`RangeError`.
    """

    capacity_j_k: float
    heater_w: float
    wall_w_k: float
    surface_w_k: float
    room_c: float = 22.0
    humidity: float = 0.5

    def __post_init__(self) -> None:
        numbers = (self.capacity_j_k, self.heater_w, self.wall_w_k, self.surface_w_k)
        if not (all(math.isfinite(each) and each >= 0.0 for each in numbers) and self.capacity_j_k > 0.0):
            raise RangeError("A bath has a heat capacity above zero, and watts and losses of zero or more.")
        if not (0.0 <= self.room_c <= 60.0 and 0.0 <= self.humidity <= 1.0):
            raise RangeError("The room of a bath has 0 to 60 °C and a humidity from 0 to 1.")

    @classmethod
    def of(
        cls,
        litres: float,
        heater_w: float,
        *,
        open_m2: float = 0.0,
        wall_m2: float = 0.0,
        insulated: bool = True,
        room_c: float = 22.0,
    ) -> Bath:
        """A bath from its label: `litres` of water, heater [W], open water and walls [m²].

        The vessel's own heat is left out, which makes the bath sag a little more.
        """
        if not (math.isfinite(litres) and litres > 0.0):
            raise RangeError("Give the water in the bath in litres, more than nothing.")
        water = properties({"water": 1.0}, _FILL_C)
        tables = _constants()
        loss = tables["vessel"]["insulated_w_m2k" if insulated else "plain_w_m2k"]
        return cls(
            capacity_j_k=litres / 1000.0 * water.density * water.specific_heat,
            heater_w=heater_w,
            wall_w_k=wall_m2 * float(loss),
            surface_w_k=open_m2 * float(tables["air"]["surface_w_m2k"]),
            room_c=room_c,
        )

    def loss_w(self, water_c: float) -> float:
        """What the bath loses at `water_c` [°C], in W."""
        over = water_c - self.room_c
        gamma = float(_constants()["air"]["psychrometric_pa_k"])
        drive = vapour_pressure_pa(water_c) - self.humidity * vapour_pressure_pa(self.room_c)
        # Vapour does not come back: cold water takes in no heat by it.
        return (self.wall_w_k + self.surface_w_k) * over + self.surface_w_k * max(drive, 0.0) / gamma


@dataclass(frozen=True)
class Load:
    """Bags that go in together: `body` of one, `mass_kg` of all, specific heat [J/(kg K)].

    `start_c` [°C], uniform; `heat_transfer_w_m2k` [W/(m² K)] from water to bag: the highest that is
    possible pulls the bath down most.
    """

    body: Body
    mass_kg: float
    specific_heat_j_kgk: float
    start_c: float
    heat_transfer_w_m2k: float

    def __post_init__(self) -> None:
        check_start(self.start_c)
        check_heat_transfer(self.heat_transfer_w_m2k)
        if not (math.isfinite(self.mass_kg) and self.mass_kg >= 0.0):
            raise RangeError("The mass of a load is nothing or more; give it in kg.")
        if not 500.0 <= self.specific_heat_j_kgk <= 5000.0:
            raise RangeError("A food's specific heat lies between 500 and 5000 J/(kg K).")


@dataclass(frozen=True)
class Run:
    """A load in a bath: water and mean of the bags [°C] (n,) at `times_s` [s] (n,) after they went in."""

    bath: Bath
    load: Load
    set_point_c: float
    times_s: FloatArray
    water_c: FloatArray
    mean_c: FloatArray

    @property
    def pull_k(self) -> float:
        """How far the water came down below the set point [K]."""
        return max(0.0, self.set_point_c - float(self.water_c.min()))

    @property
    def lowest_at_s(self) -> float:
        """When it was lowest [s]."""
        return float(self.times_s[int(self.water_c.argmin())])

    def back_at_s(self, band_k: float) -> float | None:
        """From when on the water stays within `band_k` [K] of the set point; None if not within the run."""
        under = np.flatnonzero(self.water_c < self.set_point_c - band_k)
        if not under.size:
            return 0.0
        after = int(under[-1]) + 1
        return None if after == self.times_s.size else float(self.times_s[after])

    def core_c(self, times_s: npt.ArrayLike | None = None) -> FloatArray:
        """Core of one bag in this water [°C]; at the moments of the run where `times_s` is None."""
        stay = Exposure(self.times_s, self.water_c, self.load.heat_transfer_w_m2k)
        wanted = None if times_s is None else np.asarray(times_s, dtype=np.float64)
        return core_curve(self.load.body, [stay], self.load.start_c, wanted).core_c


@cache
def _constants() -> dict[str, Any]:
    tables = load("bath")
    for name, table in tables.items():
        pedigree(table, f"haccp/data/bath.toml [{name}]")
    if not {"air", "vessel"} <= tables.keys():
        raise DataError("haccp/data/bath.toml needs the tables air and vessel.")
    return tables


@cache
def _saturation() -> tuple[FloatArray, FloatArray]:
    """The saturation line from 0 to 101 °C: temperatures [°C] and logarithms of the pressures [Pa]."""
    pressures = np.geomspace(611.213, 1.05e5, 600)
    return np.array([saturation_c(float(each)) for each in pressures]), np.log(pressures)


def vapour_pressure_pa(celsius: float) -> float:
    """Saturation pressure of water [Pa] at 0 to 100 °C, to 1e-4 of it; source: iapws-if97."""
    if not 0.0 <= celsius <= 100.0:
        raise RangeError(f"The vapour pressure of water is wanted from 0 to 100 °C, not at {celsius} °C.")
    return math.exp(float(np.interp(celsius, *_saturation())))


def _check_water(celsius: float) -> float:
    if not 0.0 <= celsius <= HOTTEST_C:
        raise RangeError(f"The balance of a bath holds from 0 to {HOTTEST_C:g} °C, not at {celsius:.1f} °C.")
    return celsius


def heat_up(bath: Bath, start_c: float, times_s: npt.ArrayLike, power_w: float | None = None) -> FloatArray:
    """The water [°C] (n,) at `times_s` [s] (n,) with the heater at `power_w` [W], all it has where None.

    Errors: :class:`RangeError` where the water leaves 0 to 95 °C.
    """
    times, _ = checked(times_s, np.zeros_like(np.asarray(times_s, dtype=np.float64)))
    power = bath.heater_w if power_w is None else power_w
    water = _check_water(start_c)
    found = [water]
    for gap in np.diff(times):
        parts = max(1, math.ceil(float(gap) / 30.0))
        for _ in range(parts):
            step = float(gap) / parts
            # The midpoint rule: the losses bend slowly.
            half = water + 0.5 * step * (power - bath.loss_w(water)) / bath.capacity_j_k
            half = min(max(half, 0.0), HOTTEST_C)
            water = _check_water(water + step * (power - bath.loss_w(half)) / bath.capacity_j_k)
        found.append(water)
    return np.array(found)


def fitted(
    times_s: npt.ArrayLike,
    water_c: npt.ArrayLike,
    power_w: float,
    *,
    lidded: bool = False,
    room_c: float = 22.0,
    heater_w: float | None = None,
) -> Bath:
    """The bath that one heating up at a known power shows: heat capacity and loss by least squares.

    Parameters: `times_s` [s] and `water_c` [°C] (n,) from the cold, straight in between; `power_w`
    [W] that went in; `lidded`: the loss is through walls and lid, not from open water.
    The higher the run goes, the better it tells loss from capacity; 90 °C is a good end.
    Errors: :class:`RangeError` for fewer than ten readings, a rise under 10 K, or no power.
    """
    times, water = checked(times_s, water_c)
    if times.size < 10 or float(water[-1] - water[0]) < 10.0 or not power_w > 0.0:
        raise RangeError("A heating up needs ten readings, a rise of 10 K and its power in watts.")
    _check_water(float(water.max()))
    first = power_w * float(times[-1] - times[0]) / float(water[-1] - water[0])
    most = heater_w if heater_w is not None else power_w

    def bath(unknown: FloatArray) -> Bath:
        wall, surface = (float(unknown[1]), 0.0) if lidded else (0.0, float(unknown[1]))
        return Bath(first * float(unknown[0]), most, wall, surface, room_c)

    def miss(unknown: FloatArray) -> FloatArray:
        try:
            return heat_up(bath(unknown), float(water[0]), times, power_w) - water
        except RangeError:
            # A trial bath that boils; send the search back.
            return np.full(times.size, 100.0)

    guess, edges = [0.9, 0.0002 * power_w], ([0.05, 0.0], [1.5, np.inf])
    found = least_squares(miss, guess, bounds=edges, x_scale=[1.0, 0.05])
    return bath(np.asarray(found.x, dtype=np.float64))


def _mean_modes(load: Load) -> tuple[FloatArray, FloatArray]:
    """Rates [1/s] and shares of the mean of the slowest modes of a bag."""
    rates, shares = np.zeros(1), np.ones(1)
    for axis in load.body.in_medium(load.heat_transfer_w_m2k):
        row = modes(axis.beta, axis.biot, _MODES)
        own = (axis.beta + 1.0) * axis.biot * row.surface / row.roots**2
        rates = np.add.outer(rates, row.roots**2 / axis.diffusion_s).ravel()
        shares = np.multiply.outer(shares, own).ravel()
    order = np.argsort(rates)[: 3 * _MODES]
    return rates[order], shares[order]


def run_load(bath: Bath, load: Load, set_point_c: float, minutes: float) -> Run:
    """The bath and the load for `minutes` [min] after the bags went into water at its set point [°C].

    Own error below 0.02 K, tested against a method-of-lines solution.
    Errors: :class:`RangeError` for a set point outside 0 to 95 °C or a time that is not positive.
    """
    _check_water(set_point_c)
    if not (math.isfinite(minutes) and 0.0 < minutes <= 7 * 24 * 60.0):
        raise RangeError("Ask for more than nothing and at most a week.")
    count = max(2, math.ceil(minutes * 60.0 / _STEP_S)) + 1
    times = np.linspace(0.0, minutes * 60.0, count)
    step = float(times[1])
    rates, shares = _mean_modes(load)
    food = load.mass_kg * load.specific_heat_j_kgk
    # What the slow modes leave of the mean goes with the water, like a part of it.
    rest = max(0.0, 1.0 - float(shares.sum()))
    capacity = bath.capacity_j_k + food * rest
    fading, gain = np.exp(-rates * step), -np.expm1(-rates * step) / (rates * step)
    excess = np.full(rates.size, load.start_c - set_point_c)
    # The part that is at once at the temperature of the water takes its heat from it.
    water = set_point_c - food * rest * (set_point_c - load.start_c) / capacity
    excess += set_point_c - water
    waters, means = np.empty(count), np.empty(count)
    waters[0], means[0] = water, water + shares @ excess
    for number in range(1, count):
        # What the slow modes take in this step if the water stands, then what its change adds.
        taken = food * float(shares @ (excess * (fading - 1.0)))
        moved = food * float(shares @ (1.0 - gain))
        net = step * (bath.heater_w - bath.loss_w(water)) - taken
        change = min(net / (capacity + moved), set_point_c - water)
        excess = excess * fading - change * gain
        water += change
        waters[number] = water
        means[number] = water + shares @ excess
    return Run(bath, load, set_point_c, times, waters, means)


def largest_load(
    bath: Bath,
    load: Load,
    set_point_c: float,
    minutes: float,
    keeps: Callable[[Run], bool],
    *,
    most_kg: float = 200.0,
) -> float:
    """The largest load [kg] of such bags with which `keeps` is still true: the bath loading.

    `keeps` judges one run, e.g. ``lambda run: run.pull_k <= band_k``, or a core that comes in time;
    it must not become true again with more bags. Found to 1 % from below; 0 if even a small load
    (a thousandth of `most_kg`) is too much, `most_kg` if that much still keeps it.
    """
    if not (math.isfinite(most_kg) and most_kg > 0.0):
        raise RangeError("Give the most that could go in, in kg, above zero.")

    def kept(mass_kg: float) -> bool:
        return keeps(run_load(bath, replace(load, mass_kg=mass_kg), set_point_c, minutes))

    low, high = most_kg / 1000.0, most_kg
    if not kept(low):
        return 0.0
    if kept(high):
        return most_kg
    while high > 1.01 * low:
        middle = math.sqrt(low * high)
        low, high = (middle, high) if kept(middle) else (low, middle)
    return low
