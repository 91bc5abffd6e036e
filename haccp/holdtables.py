"""Published tables of time and temperature, and how much of one a whole curve is worth.

A printed table is rarely one straight line: the decimal reduction times of poultry fall faster in the
middle of their table than at its ends, so one D and one z would ask too little somewhere. Here
the logarithm of the printed time is straight from each row to the next and nowhere beyond: under the
lowest row a table says nothing, over the highest its time holds.

With h(T) the time that a table asks at T, the share of the table that a curve earns is ∫ dt / h(T(t)), and
1 is the whole of it. Where T is linear in time, ln h is linear in time too between two rows, so every
piece is integrated in closed form. As h never rises with temperature (checked when a table is read), a
lower bound of the core earns no more than the core does: the share of a proven lower curve is a
lower bound. It supports a competent person and lifts no rule.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from haccp.curves import FloatArray, checked
from haccp.datafiles import PROVENANCES, choose, load
from haccp.errors import DataError, RangeError
from haccp.units import to_celsius

__all__ = [
    "Between",
    "HoldRow",
    "HoldTable",
    "NotCovered",
    "cumulative_share",
    "hold_needed",
    "hold_table",
    "hold_tables",
    "longer_of",
    "poultry_table",
    "share_along",
]

_SECONDS = {"s": 1.0, "min": 60.0}
_FAT_COLUMNS = (5.0, 12.0)
_SPECIES = ("chicken", "turkey")


class Between(StrEnum):
    """What holds between two rows: the straight line in log time, or the row below."""

    LOG_TIME = "log time"
    ROW_BELOW = "row below"


@dataclass(frozen=True)
class HoldRow:
    """One printed row: `celsius` [°C] exactly as printed, and the hold `seconds` [s] it asks."""

    celsius: float
    seconds: float
    printed: str
    provenance: str


@dataclass(frozen=True)
class HoldTable:
    """One published table, its rows rising in temperature and never rising in time.

    `log10` is the reduction of `organism` that each row stands for.
    """

    key: str
    name: str
    where: str
    organism: str
    log10: float
    between: Between
    rows: tuple[HoldRow, ...]
    sources: tuple[str, ...]
    section: str
    note: str

    @property
    def lowest_c(self) -> float:
        """The temperature [°C] under which the table says nothing."""
        return self.rows[0].celsius


@dataclass(frozen=True)
class NotCovered:
    """The answer where a table says nothing: `celsius` lies under its lowest row, `lowest`."""

    table: str
    celsius: float
    lowest: HoldRow

    def __str__(self) -> str:
        return f"{self.celsius:.1f} °C is under the lowest row of the {self.table} ({self.lowest.printed})."


def hold_needed(table: HoldTable, celsius: float) -> float | NotCovered:
    """The hold [s] that a table asks at a core of `celsius` [°C].

    At a row its own time; between two rows ln h straight in temperature (`Between.LOG_TIME`) or the time of
    the row below (`Between.ROW_BELOW`, and wherever the next row is a hold of nothing, which has no
    logarithm); over the highest row that row's time; under the lowest :class:`NotCovered`. 0.0 means
    met on reaching it. Raises :class:`RangeError` if `celsius` is no number.
    """
    if not math.isfinite(celsius):
        raise RangeError("A temperature must be a number.")
    if celsius < table.lowest_c:
        return NotCovered(table.name, celsius, table.rows[0])
    for low, high in pairwise(table.rows):
        if celsius < high.celsius:
            if low.seconds == 0.0:
                return 0.0
            share = (celsius - low.celsius) / (high.celsius - low.celsius)
            start, end = _log_ends(table, low, high)
            return math.exp(start + share * (end - start)) if share > 0.0 else low.seconds
    return table.rows[-1].seconds


def _log_ends(table: HoldTable, low: HoldRow, high: HoldRow) -> tuple[float, float]:
    """ln h [ln s] at the lower end of a gap between two timed rows and just under its upper end."""
    start = math.log(low.seconds)
    stepped = table.between == Between.ROW_BELOW or high.seconds == 0.0
    return start, start if stepped else math.log(high.seconds)


def cumulative_share(times_s: npt.ArrayLike, celsius: npt.ArrayLike, table: HoldTable) -> FloatArray:
    """The share of a table earned up to each point of a curve, shape (n,); 1 is the whole table.

    Parameters: `times_s` [s] and `celsius` [°C], both (n,), times never going back; linear between
    points. ∫ dt / h(T) over the time at or above the lowest row, in closed form: over a piece
    of length Δt on which ln h runs from a to b it is Δt (e^-b - e^-a) / (a - b). Infinite from where a row
    with a hold of nothing was reached. Raises :class:`ReadingsError` for a curve that can't be used.
    """
    times, temps = checked(times_s, celsius)
    start, end, length = temps[:-1], temps[1:], np.diff(times)
    each = np.zeros_like(length)
    timed = [row for row in table.rows if row.seconds > 0.0]
    for number, row in enumerate(timed):
        after = table.rows[number + 1] if number + 1 < len(table.rows) else None
        top = math.inf if after is None else after.celsius
        low_h = high_h = math.log(row.seconds)
        if after is not None:
            low_h, high_h = _log_ends(table, row, after)
        slope = (high_h - low_h) / (top - row.celsius) if math.isfinite(top) else 0.0
        each += _in_gap(start, end, length, row.celsius, top, low_h, slope)
    instant = [row.celsius for row in table.rows if row.seconds == 0.0]
    if instant:
        reached = np.maximum(start, end) >= min(instant)
        each = np.where(reached, math.inf, each)
    first = math.inf if instant and temps[0] >= min(instant) else 0.0
    return np.asarray(first + np.concatenate(([0.0], np.cumsum(each))), dtype=np.float64)


def _in_gap(
    start: FloatArray, end: FloatArray, length: FloatArray, low: float, top: float, ln_h: float, slope: float
) -> FloatArray:
    """What each interval earns while low <= T < top, where ln h = ln_h + slope (T - low), slope <= 0."""
    span = np.abs(end - start)
    from_c, to_c = np.clip(start, low, top), np.clip(end, low, top)
    flat = np.where((start >= low) & (start < top), 1.0, 0.0)
    inside = np.divide(np.abs(to_c - from_c), span, out=flat, where=span > 0.0)
    # The rate is highest at the hotter end; (1 - e^-x)/x times it is the mean of an exponential.
    hotter = np.where(inside > 0.0, np.maximum(from_c, to_c), low)
    x = np.where(inside > 0.0, np.abs(to_c - from_c), 0.0) * -slope
    mean = np.divide(-np.expm1(-x), x, out=np.ones_like(x), where=x > 0.0)
    return np.asarray(length * inside * mean * np.exp(-ln_h - slope * (hotter - low)), dtype=np.float64)


def share_along(times_s: npt.ArrayLike, celsius: npt.ArrayLike, table: HoldTable) -> float:
    """The share of a table that the whole curve earns; 1 or more is the table's own reduction.

    Parameters, equation and errors as for :func:`cumulative_share`. On a proven lower curve this is
    a lower bound of what the core earned.
    """
    return float(cumulative_share(times_s, celsius, table)[-1])


def longer_of(one: HoldTable, other: HoldTable) -> HoldTable:
    """A table that asks at each temperature at least the longer of two; at every printed row just that.

    It begins where both say something. Between two rows the longer of two straight lines lies on or
    under the line between its ends, so nothing less than either is asked.
    """
    rows: list[HoldRow] = []
    for celsius in sorted({row.celsius for row in (*one.rows, *other.rows)}):
        asked = [hold_needed(each, celsius) for each in (one, other)]
        if any(isinstance(each, NotCovered) for each in asked):
            continue
        seconds = max(each for each in asked if not isinstance(each, NotCovered))
        here = [row for row in (*one.rows, *other.rows) if row.celsius == celsius]
        # A value between two rows of the longer table keeps the pedigree of the row that is printed here.
        text = f"{here[0].printed.partition(':')[0]}: {seconds:.1f} s"
        between = replace(here[0], seconds=seconds, printed=text)
        rows.append(next((row for row in here if row.seconds == seconds), between))
    both_logs = one.between == other.between == Between.LOG_TIME
    return HoldTable(
        key=f"{one.key}+{other.key}",
        name=f"longer of {one.name} and {other.name}",
        where=one.where,
        organism=one.organism,
        log10=max(one.log10, other.log10),
        between=Between.LOG_TIME if both_logs else Between.ROW_BELOW,
        rows=tuple(rows),
        sources=tuple(dict.fromkeys((*one.sources, *other.sources))),
        section=one.section,
        note="At each temperature the longer of the two.",
    )


def poultry_table(species: str | None = None, fat_percent: float | None = None) -> HoldTable:
    """The US table for poultry of a species and a fat content [% of mass].

    Any other species than chicken or turkey, a mixture, and one that is not known (None): the longer of
    the two. The fat column is the next one up; over 12 % or not known (None): that of 12 %.
    Raises :class:`RangeError` for a fat content that can't be. Source: fsis-cooking-guideline-2021.
    """
    if fat_percent is not None and not 0.0 <= fat_percent <= 100.0:
        raise RangeError(f"A fat content is 0 to 100 %, not {fat_percent}.")
    fat = math.inf if fat_percent is None else fat_percent
    column = next((each for each in _FAT_COLUMNS if fat <= each), _FAT_COLUMNS[-1])
    if species in _SPECIES:
        return hold_table(f"us-{species}-{column:g}")
    chicken, turkey = (hold_table(f"us-{each}-{column:g}") for each in _SPECIES)
    return longer_of(chicken, turkey)


@cache
def hold_tables() -> dict[str, HoldTable]:
    """All tables of ``data/holdtables.toml`` by key, checked."""
    found: dict[str, HoldTable] = {}
    for number, data in enumerate(load("holdtables")["table"], start=1):
        table = parse_table(data, f"haccp/data/holdtables.toml, table {number} ({data.get('key', 'no key')})")
        if table.key in found:
            raise DataError(f"haccp/data/holdtables.toml has two tables {table.key}.")
        found[table.key] = table
    return found


def parse_table(data: dict[str, Any], where: str) -> HoldTable:
    """One table from its entry; `where` names it in an error.

    Raises :class:`DataError` for a field that is missing, a row without provenance, rows that do not
    rise in temperature, a time that rises, or a hold of nothing that is not the last.
    """
    try:
        rows = tuple(_row(each, data["unit"], where) for each in data["rows"])
        table = HoldTable(
            key=data["key"],
            name=data["name"],
            where=data["where"],
            organism=data["organism"],
            log10=float(data["log10"]),
            between=Between(data["between"]),
            rows=rows,
            sources=tuple(data["sources"]),
            section=data["section"],
            note=data["note"],
        )
    except KeyError as error:
        raise DataError(f"{where} lacks {error}.") from None
    except ValueError as error:
        raise DataError(f"{where}: {error}") from None
    if not rows or not table.sources or rows[0].seconds == 0.0:
        raise DataError(f"{where} needs a source and a first row with a hold.")
    for low, high in pairwise(rows):
        if high.celsius <= low.celsius or high.seconds > low.seconds:
            raise DataError(
                f"{where}: after “{low.printed}” comes “{high.printed}”, which is not hotter and shorter."
            )
    return table


def _row(data: dict[str, Any], unit: str, where: str) -> HoldRow:
    at, hold = float(data["at"]), float(data["hold"])
    if data["provenance"] not in PROVENANCES:
        raise DataError(f"{where}: each row says where it is from, one of {', '.join(PROVENANCES)}.")
    if unit not in ("degC", "degF") or data["unit"] not in _SECONDS or not 0.0 <= hold < math.inf:
        raise DataError(f"{where}: a row is a temperature in degC or degF and a hold in s or min.")
    celsius = at if unit == "degC" else to_celsius(at)
    printed = f"{at:g} °{unit[-1]}: {hold:g} {data['unit']}"
    return HoldRow(celsius, hold * _SECONDS[data["unit"]], printed, data["provenance"])


def hold_table(key: str) -> HoldTable:
    """The table with this key; raises :class:`DataError` naming the choices."""
    return choose(hold_tables(), key, "table of holds")
