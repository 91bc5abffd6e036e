r"""Designing a method: the proven bath time for each thickness, and how thick a bag may be.

The bath is taken at the lower edge of its band for as long as it takes, the bag as the slowest that
fits what is known of it, so a bath time is proven in the sense of :mod:`haccp.steady`: a real bath that
stays in its band can only do more. For the chill the bag leaves the bath as warm as the bath can have
been all through, and lies in the warmest medium that is allowed.

A target is met when the core, still in the bath, has kept one row of a table (time at or above a
temperature), or has had so many equivalent minutes. Several targets are all to be met.
A set point that lies at a limit never gets the core there; such a time is infinite, never guessed.

Not covered: the way from bath to chiller, a bath that is pulled down by its load
(:mod:`haccp.bath`), bags that touch.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from haccp.conduction import SOLVER_ERROR_K
from haccp.curves import FloatArray
from haccp.errors import RangeError
from haccp.lethality import Organism, cumulative_lethal_minutes, lethal_rate
from haccp.limits import Limit, Ruleset
from haccp.materials import Medium
from haccp.ranges import Range
from haccp.steady import Answer, Piece, answer, minutes_between, seconds_until

__all__ = [
    "CardRow",
    "Chiller",
    "EquivalentMinutes",
    "HoldRows",
    "KeptBath",
    "StageLimit",
    "Target",
    "bath_minutes",
    "chill_minutes",
    "come_up_minutes",
    "largest_thickness",
    "reason_against",
    "targets_of",
    "wall_card",
]

_POINTS: Final = 800
# From here on the core counts as settled: so near to the bath that the rate stands [share of the gap].
_SETTLED: Final = 2e-4
HOLDS: Final = ("core_hold", "core_temperature")


@dataclass(frozen=True)
class HoldRows:
    """Rows of one table, each alike: core at or above so many °C for so many seconds."""

    name: str
    rows: tuple[tuple[float, float], ...]

    @classmethod
    def of(cls, name: str, rows: Sequence[Limit]) -> HoldRows:
        """From rows of a ruleset; a row without a hold is met by reaching it."""
        return cls(
            name,
            tuple((each.amount.celsius, 0.0 if each.hold is None else each.hold.seconds) for each in rows),
        )


@dataclass(frozen=True)
class EquivalentMinutes:
    """So many equivalent minutes at a reference temperature, parameters as in :mod:`haccp.lethality`."""

    name: str
    minutes: float
    reference_c: float
    z_c: float
    z_above_c: float | None = None
    counts_from_c: float | None = None

    @classmethod
    def of(cls, kind: Organism, log_target: float) -> EquivalentMinutes:
        """A log reduction of an organism: D times the target."""
        return cls(
            kind.name,
            kind.d_min * log_target,
            kind.reference_c,
            kind.z_c,
            kind.z_above_c,
            kind.counts_from_c,
        )


Target = HoldRows | EquivalentMinutes


@dataclass(frozen=True)
class KeptBath:
    """A bath that stays within `band_k` [K] of its set point, the probe's tolerance included."""

    heat_transfer: Range
    band_k: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.band_k) and self.band_k >= 0.0):
            raise RangeError("The band of a bath is nothing or more; give it in K.")


@dataclass(frozen=True)
class Chiller:
    """What the bag is chilled in: its heat transfer [W/(m² K)] and how cold to how warm it is [°C]."""

    name: str
    heat_transfer: Range
    celsius: Range

    @classmethod
    def of(cls, kind: Medium, celsius: Range | None = None) -> Chiller:
        """A medium of ``data/media.toml``; `celsius` is wanted where it has no temperature of its own."""
        known = celsius or kind.default_c
        if known is None:
            raise RangeError(f"{kind.name}: say how cold to how warm it is kept.")
        return cls(kind.name, kind.heat_transfer, known)


@dataclass(frozen=True)
class StageLimit:
    """At most `minutes` from `from_c` to `to_c` [°C]; from leaving (or entering) the bath where None."""

    id: str
    from_c: float | None
    to_c: float
    minutes: float

    @classmethod
    def of(cls, limit: Limit) -> StageLimit:
        """The stage that a row of a ruleset prints; :class:`RangeError` for a row that prints none."""
        if limit.end is None or limit.value is None:
            raise RangeError(f"{limit.id} is no stage between two temperatures.")
        start = None if limit.start is None else limit.start.celsius
        return cls(limit.id, start, limit.end.celsius, limit.amount.seconds / 60.0)


@dataclass(frozen=True)
class CardRow:
    """One thickness of a wall card.

    `bath_min` [min], rounded up, None where no time would do; `come_up_min` and `chill_min` [min] by
    id of the stage limit, the longest that they can take (infinite: never). `against` says what
    the thickness breaks, by id; empty where nothing.
    """

    thickness_mm: float
    bath_min: int | None
    come_up_min: Mapping[str, float]
    chill_min: Mapping[str, float]
    against: tuple[str, ...]


def targets_of(rules: Ruleset, words: Collection[str]) -> tuple[HoldRows, ...]:
    """The cook tables of a ruleset that the words of a food trigger; all are to be met."""
    tables: dict[str, list[Limit]] = {}
    for row in rules.limits("cook", words):
        if row.quantity in HOLDS:
            tables.setdefault(rules.table(row).key, []).append(row)
    return tuple(HoldRows.of(key, rows) for key, rows in tables.items())


def reason_against(target: Target, lowest_bath_c: float) -> str | None:
    """Why a bath whose lower edge is `lowest_bath_c` [°C] can never meet a target; None if it can."""
    if isinstance(target, HoldRows):
        least = min(celsius for celsius, _ in target.rows)
        if lowest_bath_c - SOLVER_ERROR_K > least:
            return None
        return (
            f"The lowest row of {target.name} asks for {least:g} °C in the core, and the bath may be at "
            f"{lowest_bath_c:g} °C: a core only comes near to its bath. Set the bath higher."
        )
    if target.counts_from_c is None or lowest_bath_c - SOLVER_ERROR_K > target.counts_from_c:
        return None
    return (
        f"Nothing counts for {target.name} below {target.counts_from_c:g} °C, and the bath may be at "
        f"{lowest_bath_c:g} °C. Set the bath higher."
    )


def bath_minutes(
    piece: Piece,
    bath: KeptBath,
    thickness_mm: npt.ArrayLike,
    set_points_c: npt.ArrayLike,
    targets: Sequence[Target],
) -> FloatArray:
    """The proven bath time [min] (n, m) for n thicknesses [mm] and m set points [°C]: the heat map.

    The longest of all targets; infinite where a target can never be met, and where the bath may be no
    warmer than the piece that goes in. Rounded nowhere.
    Errors: :class:`RangeError` for no target, a set point that is not a number or above 100 °C;
    :class:`BodyError` for a thickness outside the equations.
    """
    set_points = np.atleast_1d(np.asarray(set_points_c, dtype=np.float64))
    if not targets:
        raise RangeError("Name at least one target that the cook is to meet.")
    if set_points.ndim != 1 or not ((set_points > 0.0) & (set_points <= 100.0)).all():
        raise RangeError("A set point lies between 0 and 100 °C.")
    bags = answer(piece, bath.heat_transfer, thickness_mm, slow=True)
    n = bags.times_s[0].size
    settled = seconds_until(bags, _SETTLED)
    times = settled[:, np.newaxis] * np.linspace(0.0, 1.0, _POINTS)
    theta = bags.theta(times)
    found = np.zeros((n, set_points.size))
    for column, set_point in enumerate(set_points):
        lowest = float(set_point) - bath.band_k
        if lowest <= piece.start_c.high:
            found[:, column] = np.inf
            continue
        for target in targets:
            if isinstance(target, HoldRows):
                needed = _hold_minutes(bags, lowest, piece.start_c.low, target)
            else:
                needed = _equivalent_minutes(times, theta, lowest, piece.start_c.low, target)
            found[:, column] = np.maximum(found[:, column], needed)
    return found


def _hold_minutes(bags: Answer, bath_c: float, start_c: float, target: HoldRows) -> FloatArray:
    """Minutes until the first row is kept (n,)."""
    best = np.full(bags.times_s[0].size, np.inf)
    for celsius, hold_s in target.rows:
        # A row at or above the lower edge of the bath is infinite; one at or below the start is nothing.
        reached = seconds_until(bags, (bath_c - celsius - SOLVER_ERROR_K) / (bath_c - start_c))
        best = np.minimum(best, (reached + hold_s) / 60.0)
    return best


def _equivalent_minutes(
    times: FloatArray, theta: FloatArray, bath_c: float, start_c: float, target: EquivalentMinutes
) -> FloatArray:
    """Minutes until the equivalent minutes are earned (n,); found on a fine grid, at its later end."""
    settled_c = bath_c - (bath_c - start_c) * _SETTLED - SOLVER_ERROR_K
    steady = 0.0
    if target.counts_from_c is None or settled_c >= target.counts_from_c:
        steady = lethal_rate(
            settled_c, reference_c=target.reference_c, z_c=target.z_c, z_above_c=target.z_above_c
        )
    found = np.empty(len(times))
    for row, (at, left) in enumerate(zip(times, theta, strict=True)):
        earned = cumulative_lethal_minutes(
            at,
            bath_c - (bath_c - start_c) * left - SOLVER_ERROR_K,
            reference_c=target.reference_c,
            z_c=target.z_c,
            z_above_c=target.z_above_c,
            counts_from_c=target.counts_from_c,
        )
        if earned[-1] >= target.minutes:
            found[row] = at[int(np.searchsorted(earned, target.minutes))] / 60.0
        elif steady > 0.0:
            found[row] = at[-1] / 60.0 + (target.minutes - earned[-1]) / steady
        else:
            found[row] = np.inf
    return found


def come_up_minutes(
    piece: Piece, bath: KeptBath, thickness_mm: npt.ArrayLike, set_point_c: float, stage: StageLimit
) -> FloatArray:
    """The longest that the core can take from `stage.from_c` up to `stage.to_c` [min] (n,)."""
    slow, quick = (answer(piece, bath.heat_transfer, thickness_mm, slow=each) for each in (True, False))
    kept = Range(set_point_c - bath.band_k, set_point_c, set_point_c + bath.band_k)
    return minutes_between(slow, quick, kept, piece.start_c, stage.from_c, stage.to_c)


def chill_minutes(
    piece: Piece,
    chiller: Chiller,
    thickness_mm: npt.ArrayLike,
    core_c: Range,
    stage: StageLimit,
) -> FloatArray:
    """The longest that the core can take down a stage [min] (n,), from leaving the bath.

    `core_c` [°C]: the core as it leaves the bath at the least, and the warmest that any of the bag can
    be (the bath's upper edge). Infinite where the chiller need not get it there.
    """
    slow, quick = (answer(piece, chiller.heat_transfer, thickness_mm, slow=each) for each in (True, False))
    return minutes_between(slow, quick, chiller.celsius, core_c, stage.from_c, stage.to_c)


def wall_card(
    piece: Piece,
    bath: KeptBath,
    thickness_mm: npt.ArrayLike,
    set_point_c: float,
    targets: Sequence[Target],
    *,
    come_up: Sequence[StageLimit] = (),
    chiller: Chiller | None = None,
    chill: Sequence[StageLimit] = (),
) -> tuple[CardRow, ...]:
    """The table of a wall card: for each thickness [mm] the bath time, the come-up and the chill.

    A chill stage starts from the core at the lowest that the bath time proves: the lower edge of
    the bath less what the core still lags, and from the bath's upper edge at the most.
    Errors: as :func:`bath_minutes`; :class:`RangeError` for a chill without a chiller.
    """
    if chill and chiller is None:
        raise RangeError("Say what the bags are chilled in.")
    thickness = np.atleast_1d(np.asarray(thickness_mm, dtype=np.float64))
    minutes = bath_minutes(piece, bath, thickness, [set_point_c], targets)[:, 0]
    ups = {each.id: come_up_minutes(piece, bath, thickness, set_point_c, each) for each in come_up}
    downs: dict[str, FloatArray] = {}
    if chiller is not None:
        # One coldest core for all: that of the thickness whose core is left furthest behind.
        least = _least_core(piece, bath, thickness, set_point_c, minutes)
        core = Range(least, max(least, set_point_c), set_point_c + bath.band_k)
        downs = {each.id: chill_minutes(piece, chiller, thickness, core, each) for each in chill}
    limits = {each.id: each.minutes for each in (*come_up, *chill)}
    rows = []
    for number, each in enumerate(thickness):
        up = {key: float(values[number]) for key, values in ups.items()}
        down = {key: float(values[number]) for key, values in downs.items()}
        broken = [key for key, taken in (*up.items(), *down.items()) if taken > limits[key]]
        never = not math.isfinite(minutes[number])
        rows.append(
            CardRow(
                thickness_mm=float(each),
                bath_min=None if never else math.ceil(minutes[number] - 1e-9),
                come_up_min=up,
                chill_min=down,
                against=(*(["cook"] if never else []), *broken),
            )
        )
    return tuple(rows)


def _least_core(
    piece: Piece, bath: KeptBath, thickness: FloatArray, set_point_c: float, minutes: FloatArray
) -> float:
    lowest = set_point_c - bath.band_k
    slow = answer(piece, bath.heat_transfer, thickness, slow=True)
    known = np.where(np.isfinite(minutes), minutes * 60.0, 0.0)
    left = slow.theta(known[:, np.newaxis])[:, 0]
    cores = lowest - (lowest - piece.start_c.low) * left - SOLVER_ERROR_K
    usable = np.isfinite(minutes)
    return float(cores[usable].min()) if usable.any() else piece.start_c.low


def largest_thickness(
    keeps: Callable[[FloatArray], npt.NDArray[np.bool_]], least_mm: float, most_mm: float
) -> float | None:
    """The largest thickness [mm] up to which `keeps` holds, to 0.1 mm from below; None if not even the least.

    `keeps` takes thicknesses (n,) and answers for each, e.g. ``lambda mm: chill_minutes(piece, slurry,
    mm, core, stage) <= stage.minutes``; it must not become true again for a thicker bag.
    """
    if not 0.0 < least_mm < most_mm < math.inf:
        raise RangeError("Give a least and a greatest thickness in mm, the least above nothing.")
    low, high = least_mm, most_mm
    if not keeps(np.array([low]))[0]:
        return None
    if keeps(np.array([high]))[0]:
        return most_mm
    while high - low > 0.1:
        inside = np.linspace(low, high, 18)[1:-1]
        kept = keeps(inside)
        last = int(kept.argmin()) if not kept.all() else inside.size
        edges = np.concatenate(([low], inside, [high]))
        low, high = float(edges[last]), float(edges[last + 1])
    return low
