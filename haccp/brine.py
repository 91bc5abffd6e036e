"""Brine: strength in its several measures, equilibrium brine, and common practice for the stay in it.

Strength is % w/w, salt on the whole brine, unless a name says otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from haccp.datafiles import load, pedigree
from haccp.errors import DataError, RangeError
from haccp.materials import material as known_material
from haccp.units import percent_from_salometer, salometer_from_percent

__all__ = [
    "BriningGuidance",
    "Reckoning",
    "brining_guidance",
    "density_kg_m3",
    "equilibrium_water_phase_percent",
    "grams_per_litre_brine",
    "grams_per_litre_water",
    "percent_from_grams_per_litre_water",
    "percent_from_parts",
    "percent_from_salometer",
    "salometer_from_percent",
    "salt_for_equilibrium",
    "salt_for_water_phase",
    "water_activity",
    "water_phase_salt_percent",
]

# Saturated at 21 °C: 26.45 % w/w; more salt than this stays at the bottom. Source: salt-institute.
GREATEST_PERCENT = 26.5
# The table behind the density equation ends here. Source: poradnik-1974.
GREATEST_DENSITY_PERCENT = 26.0


def _strength(percent: float, greatest: float = GREATEST_PERCENT) -> float:
    if not (math.isfinite(percent) and 0.0 <= percent <= greatest):
        raise RangeError(f"A brine has 0 to {greatest:g} % salt w/w, not {percent} %. Check the weights.")
    return percent


def _mass(grams: float, what: str) -> float:
    if not (math.isfinite(grams) and grams > 0.0):
        raise RangeError(f"The mass of {what} is more than nothing; give it in grams.")
    return grams


def percent_from_parts(salt_g: float, water_g: float) -> float:
    """Strength [% w/w] of `salt_g` in `water_g` [g]: 100 s / (s + w)."""
    if not (math.isfinite(salt_g) and salt_g >= 0.0):
        raise RangeError("The mass of salt is nothing or more; give it in grams.")
    return _strength(100.0 * salt_g / (salt_g + _mass(water_g, "water")))


def percent_from_grams_per_litre_water(grams_per_litre: float) -> float:
    """Strength [% w/w] of so many grams of salt to each litre (1000 g) of water.

    100 g to the litre is 9.09 %, not 10 %.
    """
    return percent_from_parts(grams_per_litre, 1000.0)


def grams_per_litre_water(percent: float) -> float:
    """Salt [g] to weigh for each litre (1000 g) of water for a strength [% w/w]."""
    return 1000.0 * _strength(percent) / (100.0 - percent)


def density_kg_m3(percent: float) -> float:
    """Density [kg/m3] of a salt brine at 20 °C.

    rho = 998.14 + 7.1059 w + 0.011221 w² + 0.00038222 w³, w in % w/w, 0 to 26 %;
    :class:`RangeError` outside. Own fit to the table of poradnik-1974, largest error
    0.20 kg/m3.
    """
    w = _strength(percent, GREATEST_DENSITY_PERCENT)
    return 998.14 + w * (7.1059 + w * (0.011221 + w * 0.00038222))


def grams_per_litre_brine(percent: float) -> float:
    """Salt [g] in each litre of brine at 20 °C: density x strength. 0 to 26 % w/w."""
    return density_kg_m3(percent) * percent / 100.0


def water_phase_salt_percent(salt_percent: float, moisture_percent: float) -> float:
    """Salt in the water phase [%]: 100 S / (S + moisture), both in % of the product.

    Source: hilderbrand-1991.
    """
    if not (
        math.isfinite(salt_percent)
        and math.isfinite(moisture_percent)
        and salt_percent >= 0.0
        and moisture_percent > 0.0
        and salt_percent + moisture_percent <= 100.0
    ):
        raise RangeError("Salt and moisture are parts of 100 % of the product; check both.")
    return 100.0 * salt_percent / (salt_percent + moisture_percent)


def salt_for_water_phase(water_phase_percent: float, moisture_percent: float) -> float:
    """Salt [% of the product] that a water phase [%] needs; the definition above, solved for the salt."""
    p = _strength(water_phase_percent)
    salt = p * moisture_percent / (100.0 - p)
    water_phase_salt_percent(salt, moisture_percent)
    return salt


def water_activity(water_phase_percent: float) -> float:
    """Water activity [-] of a water phase with this much salt [%] and nothing else dissolved.

    aw = 1 − 0.0052471 p − 0.00012206 p², 0 to 26.5 %. Sugar, drying and acids lower it further.
    Source: resnik-chirife-1988.
    """
    p = _strength(water_phase_percent)
    return 1.0 - p * (0.0052471 + p * 0.00012206)


class Reckoning(StrEnum):
    """What the target of an equilibrium brine is a percentage of."""

    MEAT_AND_WATER = "meat and water"
    EVERYTHING = "meat, water and salt"
    MEAT_AND_ITS_SALT = "the meat and the salt in it"


def salt_for_equilibrium(
    meat_g: float,
    water_g: float,
    target_percent: float,
    reckoning: Reckoning,
    moisture_percent: float | None = None,
) -> float:
    """Salt [g] for an equilibrium brine.

    Parameters: `meat_g`, `water_g` [g]; `target_percent`, of what `reckoning` names;
    `moisture_percent`, water in the meat [% of the meat], wanted only for
    `MEAT_AND_ITS_SALT`.

    Equations, with p the target as a fraction: on meat and water S = p (M + W); on
    everything S = p (M + W)/(1 - p); in the meat, where the water phases equalise and
    meat with moisture m shall end with s = p M/(1 - p) of salt, S = s (W + m M)/(m M).
    The three give different weights for one number, so the reckoning must be named.

    Raises :class:`RangeError` for masses or percentages that cannot be.
    """
    meat, water = _mass(meat_g, "meat"), _mass(water_g, "water")
    p = _strength(target_percent) / 100.0
    if reckoning is Reckoning.MEAT_AND_WATER:
        return p * (meat + water)
    if reckoning is Reckoning.EVERYTHING:
        return p * (meat + water) / (1.0 - p)
    in_meat = _moisture(moisture_percent) * meat
    return p * meat / (1.0 - p) * (water + in_meat) / in_meat


def equilibrium_water_phase_percent(
    meat_g: float, water_g: float, salt_g: float, moisture_percent: float
) -> float:
    """Salt in the water phase [%] once brine and meat are in equilibrium: S / (W + m M + S)."""
    in_meat = _moisture(moisture_percent) * _mass(meat_g, "meat")
    salt = 0.0 if salt_g == 0.0 else _mass(salt_g, "salt")
    return 100.0 * salt / (_mass(water_g, "water") + in_meat + salt)


def _moisture(percent: float | None) -> float:
    if percent is None or not (math.isfinite(percent) and 0.0 < percent < 100.0):
        raise RangeError("Give the water in the meat, in % of the meat (lean meat about 70 to 75 %).")
    return percent / 100.0


@dataclass(frozen=True)
class BriningGuidance:
    """How long a piece commonly lies in the brine, and what follows. No limit."""

    minutes: float
    thin: bool
    thin_up_to_mm: float
    afterwards: str
    sources: tuple[str, ...]
    provenance: str
    note: str


@cache
def _guidance() -> dict[str, tuple[BriningGuidance, BriningGuidance]]:
    found: dict[str, tuple[BriningGuidance, BriningGuidance]] = {}
    for key, table in load("brining").items():
        where = f"haccp/data/brining.toml [{key}]"
        sources, provenance, note = pedigree(table, where)
        try:
            edge, afterwards = float(table["thin_up_to_mm"]), str(table["afterwards"])
            thin, thick = (
                BriningGuidance(minutes, is_thin, edge, afterwards, sources, provenance, note)
                for minutes, is_thin in (
                    (float(table["thin_minutes"]), True),
                    (float(table["thick_minutes"]), False),
                )
            )
            for each in table["materials"]:
                found[known_material(each).key] = (thin, thick)
        except KeyError as error:
            raise DataError(f"{where} lacks {error}.") from None
    return found


def brining_guidance(material: str, thickness_mm: float) -> BriningGuidance | None:
    """Common practice for the stay of a piece in the brine; None where there is none for its kind.

    Parameters: `material`, a key of ``data/materials.toml``; `thickness_mm`, the whole
    thickness at the thickest place [mm].

    Raises :class:`DataError` for an unknown food, :class:`RangeError` for a thickness
    that is not above zero.
    """
    key = known_material(material).key
    if not (math.isfinite(thickness_mm) and thickness_mm > 0.0):
        raise RangeError("A thickness is more than nothing; give it in mm.")
    pair = _guidance().get(key)
    if pair is None:
        return None
    thin, thick = pair
    return thin if thickness_mm <= thin.thin_up_to_mm else thick
