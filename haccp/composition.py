"""Thermal properties of a food from what it is made of (Choi and Okos).

Each component's property is a quadratic in temperature; a mixture follows from
mass fractions. Coefficients: ``data/composition.toml``, source choi-okos-1986.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from haccp.datafiles import load
from haccp.errors import DataError, RangeError

COMPONENTS = ("water", "protein", "fat", "carbohydrate", "fibre", "ash")
# Fractions come from tables that round each to 0.01 %, so their sum may miss 1 a little.
SUM_TOLERANCE = 0.02


@dataclass(frozen=True)
class Properties:
    """Density [kg/m3], specific heat [J/(kg K)], conductivity between its two
    bounds [W/(m K)], and diffusivity by mixing the components' own [m2/s]."""

    density: float
    specific_heat: float
    conductivity_series: float
    conductivity_parallel: float
    diffusivity_mixed: float

    @property
    def diffusivity_parallel(self) -> float:
        """k_parallel / (density x specific heat) [m2/s]."""
        return self.conductivity_parallel / (self.density * self.specific_heat)


@cache
def _coefficients() -> dict[str, dict[str, tuple[float, float, float]]]:
    table = load("composition")
    try:
        return {
            each: {name: (a, b, c) for name, (a, b, c) in table[each].items()}
            for each in ("conductivity", "density", "specific_heat", "diffusivity")
        }
    except (KeyError, ValueError) as error:
        raise DataError(f"haccp/data/composition.toml: {error}; each property needs A, B, C.") from None


def properties(fractions: dict[str, float], celsius: float) -> Properties:
    """Properties of an unfrozen mixture without air.

    Parameters: `fractions`, mass fraction of each of `COMPONENTS` [kg/kg], summing
    to 1; a component left out is zero. `celsius`, temperature [°C].

    Equations: property_i = A + B T + C T²; density = 1 / Σ(x_i/ρ_i);
    specific heat = Σ x_i c_i; with volume fractions v_i = (x_i/ρ_i)/Σ(x_j/ρ_j),
    conductivity lies between 1/Σ(v_i/k_i) (series) and Σ v_i k_i (parallel);
    diffusivity = Σ v_i α_i.

    Holds from 0 to 150 °C. Raises :class:`RangeError` outside, for a component
    that has no coefficients, or fractions that do not add up.
    Source: choi-okos-1986.
    """
    if not 0.0 <= celsius <= 150.0:
        raise RangeError(f"The composition equations hold from 0 to 150 °C, not at {celsius} °C.")
    if unknown := sorted(set(fractions) - set(COMPONENTS)):
        raise RangeError(f"{', '.join(unknown)}: a food is made of {', '.join(COMPONENTS)}.")
    total_mass = sum(fractions.values())
    if not (all(x >= 0.0 for x in fractions.values()) and abs(total_mass - 1.0) <= SUM_TOLERANCE):
        raise RangeError("Mass fractions are at least 0 and add up to 1; check the composition.")
    powers = (1.0, celsius, celsius * celsius)

    def of(prop: str, component: str) -> float:
        return sum(c * p for c, p in zip(_coefficients()[prop][component], powers, strict=True))

    specific_volume = {each: x / of("density", each) for each, x in fractions.items()}
    total = sum(specific_volume.values())
    share = {each: v / total for each, v in specific_volume.items()}
    return Properties(
        density=total_mass / total,
        specific_heat=sum(x * of("specific_heat", each) for each, x in fractions.items()),
        conductivity_series=1.0 / sum(v / of("conductivity", each) for each, v in share.items()),
        conductivity_parallel=sum(v * of("conductivity", each) for each, v in share.items()),
        diffusivity_mixed=sum(v * of("diffusivity", each) for each, v in share.items()),
    )
