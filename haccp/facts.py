"""What is told of a batch round its cook: thaw, cure, freezing, service, papers. Plain, frozen values.

Each of them may be missing: nothing told is an empty tuple or ``None``, never a nought. They are part
of :class:`haccp.record.BatchRecord`, whose units hold here too.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

__all__ = [
    "AllergenSheet",
    "Allowance",
    "Approval",
    "Assay",
    "Cure",
    "DutyTold",
    "Freezing",
    "Keeping",
    "RawHold",
    "Reading",
    "ServiceStay",
    "Thaw",
]


@dataclass(frozen=True)
class Reading:
    """One temperature that someone or something read.

    `tolerance_k` is the probe's own tolerance; `trusted` is false where the
    probe failed a check that covers this reading. `entry` is the id of the
    entry that holds the reading, so that a finding can point at it.
    """

    at: datetime
    celsius: float
    tolerance_k: float
    probe: str = ""
    trusted: bool = True
    entry: str = ""


@dataclass(frozen=True)
class RawHold:
    """A lot that waited raw and cold before the batch was made; `words` as for a delivery.

    `until` is None while it waits. `kept_from` is the day from which its days count where a rule
    counts them (of sealing a raw bag, of slaughter), by that event's name.
    """

    lot: str
    product: str
    words: frozenset[str]
    from_at: datetime
    until: datetime | None = None
    readings: tuple[Reading, ...] = ()
    kept_from: tuple[tuple[str, date], ...] = ()


@dataclass(frozen=True)
class Thaw:
    """A lot that was thawed: `how` is *in the fridge*, *in running water* or *in the kitchen*.

    `done_at` is when it was thawed through, None while it thaws; `used_at` when it was sealed or
    cooked. `readings` are of the food, `water` of the water that ran over it. `pack_open`: whether a
    vacuum pack was opened for it; None where that was not told.
    """

    lot: str
    product: str
    words: frozenset[str]
    how: str
    from_at: datetime
    done_at: datetime | None = None
    used_at: datetime | None = None
    readings: tuple[Reading, ...] = ()
    water: tuple[Reading, ...] = ()
    pack_open: bool | None = None
    entry: str = ""


@dataclass(frozen=True)
class Cure:
    """Nitrite or nitrate that went into the batch's food, as it was weighed.

    `way` is *immersed*, *pumped* or *dry cured*. `cure_g`, `meat_g`, `brine_g` [g]: the curing salt, the raw
    meat, the whole brine (0 for a dry cure). `nitrite_percent`, `nitrate_percent`: sodium nitrite and
    sodium nitrate in the curing salt in hand [% w/w]. `pump_percent` [%]: brine pumped, on the raw meat.
    """

    name: str
    way: str
    at: datetime
    cure_g: float
    meat_g: float
    nitrite_percent: float
    brine_g: float = 0.0
    nitrate_percent: float = 0.0
    pump_percent: float = 0.0
    entry: str = ""


@dataclass(frozen=True)
class Assay:
    """A figure that a meter or a laboratory gave, beside the rows of the same `quantity`.

    ``pH``, ``water_activity``, ``salt_aqueous`` [%], ``sodium_nitrite_residual`` [mg/kg], ``histamine`` and
    the like; `value` in the unit in which the rows print it, give or take `tolerance`. `checked`: the
    meter was checked that day (buffer, reference salt). `bag` is None where it is of the whole batch.
    """

    quantity: str
    value: float
    at: datetime
    tolerance: float = 0.0
    checked: bool = True
    bag: str | None = None
    of: str = ""
    entry: str = ""


@dataclass(frozen=True)
class Freezing:
    """A lot or bag that was frozen, with the freezer's readings or with what the supplier's paper says.

    `of` is the lot's code, or the bag's with `bag` true. `stated_c`, `stated_h`: temperature [°C] and
    time [h] of a paper, whose reference is `statement`. `solid_c`: the temperature at which it was frozen
    until solid, where that was another.
    """

    of: str
    from_at: datetime | None = None
    until: datetime | None = None
    readings: tuple[Reading, ...] = ()
    statement: str = ""
    stated_c: float | None = None
    stated_h: float | None = None
    solid_c: float | None = None
    bag: bool = False
    entry: str = ""


@dataclass(frozen=True)
class ServiceStay:
    """A bag's food kept *hot* or *ambient* for service; `until` is None while it is.

    `words` add what its rows turn on: *served cold*, *served hot*, *roast table*. `marked`: the time by
    which it is thrown away stood on it; None where that was not told.
    """

    kind: str
    from_at: datetime
    until: datetime | None = None
    readings: tuple[Reading, ...] = ()
    words: frozenset[str] = frozenset()
    marked: bool | None = None
    entry: str = ""


@dataclass(frozen=True)
class Keeping:
    """For how long the kitchen keeps the records of a batch [months], and where."""

    months: float
    where: str = ""


@dataclass(frozen=True)
class AllergenSheet:
    """What the dish declares; `label` is what the bag's label declares, None where there is no label.

    Allergens are in words as they were typed, small letters.
    """

    declared: frozenset[str]
    label: frozenset[str] | None = None


@dataclass(frozen=True)
class DutyTold:
    """Whether a duty that a limit puts in words is kept, as someone told it; `note` is how."""

    limit: str
    kept: bool
    at: datetime
    note: str = ""
    entry: str = ""


@dataclass(frozen=True)
class Allowance:
    """What an approval allows of one limit, by its id.

    `value` is the figure allowed in place of the printed one, `hold` the time allowed with it,
    both in the units in which the limit prints them. None leaves a figure as it is; an allowance
    with neither covers a limit that is a duty in words (a variance that must be held).
    """

    limit: str
    value: float | None = None
    hold: float | None = None


@dataclass(frozen=True)
class Approval:
    """An authority's word that this kitchen may work to other figures than its regime prints.

    `scope` are words that a food must have (all of them; empty for every food), `dish` the dish
    that it is for (empty for every dish). It runs from `day` until `until`, both included; None
    means until it is taken back. It covers the limits that it names and no other.
    """

    authority: str
    reference: str
    day: date
    allows: tuple[Allowance, ...]
    scope: frozenset[str] = frozenset()
    dish: str = ""
    until: date | None = None
    entry: str = ""

    def runs(self, on: date) -> bool:
        """Whether it is in force on a day."""
        return self.day <= on and (self.until is None or on <= self.until)

    def allowance(self, limit: str, *, words: frozenset[str], dish: str, on: date) -> Allowance | None:
        """What it allows of a limit for food of these words made as this dish on a day; None for nothing."""
        if not self.runs(on) or not self.scope <= words or self.dish not in ("", dish):
            return None
        return next((each for each in self.allows if each.limit == limit), None)
