"""What bags hold and what they lie in: thermal properties, each with its edges and source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from haccp.datafiles import as_range, choose, load, pedigree
from haccp.errors import DataError
from haccp.ranges import Range

__all__ = ["Material", "Medium", "Range", "material", "materials", "media", "medium"]


@dataclass(frozen=True)
class Material:
    """A food: `diffusivity` [m2/s] and `conductivity` [W/(m K)], low / best / high.

    Holds for unfrozen food without air inside, about 0 to 90 °C. `sources` are keys
    of the bibliography; `provenance` says how far the weakest figure was confirmed.
    """

    key: str
    name: str
    diffusivity: Range
    conductivity: Range
    sources: tuple[str, ...]
    provenance: str
    note: str


@dataclass(frozen=True)
class Medium:
    """What a bag lies in.

    `heat_transfer` [W/(m2 K)]; `fall_k_per_min`, `rise_k_per_min`: greatest rates of
    change between readings, both positive; `default_c` [°C]: the temperature where it
    is a property of the medium (melting ice), else None; `held_s` [s]: how far apart two
    readings within it may lie and still show that it was so in between; 0 else; `floor_c`, `ceiling_c` [°C]:
    what no rate can pass. `rates_note` is the reasoning behind the rates.
    """

    key: str
    name: str
    heat_transfer: Range
    fall_k_per_min: float
    rise_k_per_min: float
    default_c: Range | None
    held_s: float
    floor_c: float
    ceiling_c: float
    sources: tuple[str, ...]
    provenance: str
    note: str
    rates_note: str


def _scaled(values: Range, factor: float) -> Range:
    return Range(values.low * factor, values.best * factor, values.high * factor)


def _positive(values: Range, where: str) -> Range:
    if values.low <= 0.0:
        raise DataError(f"{where} must be above zero.")
    return values


@cache
def materials() -> dict[str, Material]:
    """All foods of ``data/materials.toml`` by key, in the order of the file."""
    found = {}
    for key, table in load("materials").items():
        where = f"haccp/data/materials.toml [{key}]"
        try:
            diffusivity = as_range(table["diffusivity"], f"{where} diffusivity")
            conductivity = as_range(table["conductivity"], f"{where} conductivity")
            name = str(table["name"])
        except KeyError as error:
            raise DataError(f"{where} lacks {error}.") from None
        found[key] = Material(
            key,
            name,
            _positive(_scaled(diffusivity, 1e-7), f"{where} diffusivity"),
            _positive(conductivity, f"{where} conductivity"),
            *pedigree(table, where),
        )
    return found


@cache
def media() -> dict[str, Medium]:
    """All media of ``data/media.toml`` by key, in the order of the file."""
    found = {}
    for key, table in load("media").items():
        where = f"haccp/data/media.toml [{key}]"
        sources, provenance, note = pedigree(table, where)
        try:
            found[key] = Medium(
                key=key,
                name=str(table["name"]),
                heat_transfer=_positive(as_range(table["heat_transfer"], where), f"{where} heat_transfer"),
                fall_k_per_min=float(table["fall"]),
                rise_k_per_min=float(table["rise"]),
                default_c=as_range(table["assumed_c"], where) if "assumed_c" in table else None,
                held_s=60.0 * float(table.get("held_min", 0.0)),
                floor_c=float(table["floor_c"]),
                ceiling_c=float(table["ceiling_c"]),
                sources=sources,
                provenance=provenance,
                note=note,
                rates_note=str(table["rates"]),
            )
        except KeyError as error:
            raise DataError(f"{where} lacks {error}.") from None
        if min(found[key].fall_k_per_min, found[key].rise_k_per_min) <= 0.0:
            raise DataError(f"{where}: fall and rise are greatest rates, above zero.")
    return found


def material(key: str) -> Material:
    """The food with this key; raises :class:`DataError` naming the choices."""
    return choose(materials(), key, "food")


def medium(key: str) -> Medium:
    """The medium with this key; raises :class:`DataError` naming the choices."""
    return choose(media(), key, "medium")
