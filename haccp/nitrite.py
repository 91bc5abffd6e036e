"""Nitrite that goes into meat, and dry salting: how much, and on what it is reckoned.

A figure for nitrite means nothing until it says three things: as what it is expressed (sodium nitrite or the
nitrite ion), on which mass (the meat, the meat and the brine, the finished product), and when (going in, or
still there at the end). Each figure here carries the three; it is compared with a limit only where the three
agree, and :class:`BasisError` says what to do where they don't.

    on the meat and the brine   10⁶ n/(M + B)          n: sodium nitrite in the brine or the dry cure [g]
    on the meat, dry            10⁶ n/M                M: raw meat [g]; B: the whole brine, all in it [g]
    on the meat, pumped         10⁶ (n/B) P            P: brine pumped, as a part of the raw meat

The strength is that of the curing salt in hand: it differs by country and by lot, so none is shipped. The
limits are not here either: they are rows of a ruleset ("cure") and are passed in. All arithmetic is in
fractions, so that a figure at the limit is at the limit.

Nitrite that meets a limit going in says nothing of how it is spread in the piece: it goes in far more slowly
than salt (:mod:`haccp.uptake`). Many places want a permit for curing in a kitchen: ask the authority.

Sources: fsis-inspectors-calculations (the three methods); the factor is one of atomic masses (IUPAC).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import Final

from haccp.datafiles import load, pedigree
from haccp.errors import BasisError, RangeError
from haccp.limitrows import Limit, exact

_SODIUM, _NITROGEN, _OXYGEN = exact(22.98976928), exact(14.007), exact(15.999)
_ION: Final = _NITROGEN + 2 * _OXYGEN
# Nitrite ion in sodium nitrite [kg/kg], 46.005/68.995 = 0.6668.
ION_PER_SODIUM_NITRITE: Final = _ION / (_ION + _SODIUM)
_MILLION: Final = 1_000_000


class Expressed(StrEnum):
    """As what nitrite is weighed."""

    SODIUM_NITRITE = "sodium nitrite"
    ION = "nitrite ion"


class Per(StrEnum):
    """On which mass."""

    MEAT = "the raw meat"
    MEAT_AND_BRINE = "the raw meat and the brine"
    PRODUCT = "the finished product"


class Stage(StrEnum):
    """Going in, or what is left of it."""

    INGOING = "going in"
    RESIDUAL = "left in the product"


# What the quantity of a row of a ruleset says of its basis.
_QUANTITIES: Final = {
    "sodium_nitrite_ingoing": (Expressed.SODIUM_NITRITE, Stage.INGOING),
    "sodium_nitrite_residual": (Expressed.SODIUM_NITRITE, Stage.RESIDUAL),
    "nitrite_ion_ingoing": (Expressed.ION, Stage.INGOING),
    "nitrite_ion_residual": (Expressed.ION, Stage.RESIDUAL),
}


@dataclass(frozen=True)
class Basis:
    """On what a figure for nitrite is reckoned."""

    expressed: Expressed
    per: Per
    stage: Stage

    def __str__(self) -> str:
        return f"as {self.expressed}, {self.stage}, on {self.per}"


@dataclass(frozen=True)
class Nitrite:
    """An amount of nitrite [mg/kg], exact, with its basis."""

    amount: Fraction
    basis: Basis

    @property
    def mg_kg(self) -> float:
        """The amount [mg/kg] as a float."""
        return float(self.amount)

    def expressed_as(self, what: Expressed) -> Nitrite:
        """The same nitrite weighed as `what`: sodium nitrite x 0.6668 is the ion."""
        if what is self.basis.expressed:
            return self
        factor = ION_PER_SODIUM_NITRITE if what is Expressed.ION else 1 / ION_PER_SODIUM_NITRITE
        return Nitrite(self.amount * factor, replace(self.basis, expressed=what))

    def __str__(self) -> str:
        return f"{self.mg_kg:.4g} mg/kg {self.basis}"


def nitrite(mg_kg: float, expressed: Expressed, per: Per, stage: Stage = Stage.INGOING) -> Nitrite:
    """A target, or a figure of a laboratory, with its basis. :class:`RangeError` for less than nothing."""
    return Nitrite(
        _number(mg_kg, "An amount of nitrite", "mg/kg", none_will_do=True), Basis(expressed, per, stage)
    )


@dataclass(frozen=True)
class CuringSalt:
    """The curing salt in hand: sodium nitrite and salt [% w/w], as its label or the lot's paper says.

    Errors: :class:`RangeError` where the two are no parts of a hundred, or there is no nitrite.
    """

    nitrite_percent: float
    salt_percent: float

    def __post_init__(self) -> None:
        _number(self.nitrite_percent, "Nitrite in a curing salt", "%")
        _number(self.salt_percent, "Salt in a curing salt", "%", none_will_do=True)
        if self.nitrite_percent + self.salt_percent > 100.0:
            raise RangeError("Nitrite and salt are parts of 100 % of the curing salt; read its label again.")

    def nitrite_in(self, grams: Fraction) -> Fraction:
        """Sodium nitrite [g] in so much of the curing salt [g]."""
        return grams * exact(self.nitrite_percent) / 100


def _number(value: float, what: str, unit: str, none_will_do: bool = False) -> Fraction:
    if not math.isfinite(value) or value < 0.0 or (value == 0.0 and not none_will_do):
        more = "nothing or more" if none_will_do else "more than nothing"
        raise RangeError(f"{what} is {more}, in {unit}; {value:g} is not. Check the weight or the label.")
    return exact(value)


def _masses(meat_g: float, brine_g: float) -> Fraction:
    return _number(meat_g, "The meat", "g") + _number(brine_g, "The brine", "g", none_will_do=True)


def ingoing(cure: CuringSalt, cure_g: float, meat_g: float, brine_g: float = 0.0) -> Nitrite:
    """Nitrite going in, by the method of immersion (`brine_g` > 0) or dry (0).

    `cure_g`, `meat_g`, `brine_g` [g]; the brine is the whole of it: water, salt, sugar, cure. With a
    brine the figure is on meat and brine, without on the meat. Source: fsis-inspectors-calculations.
    """
    sodium_nitrite = cure.nitrite_in(_number(cure_g, "The curing salt", "g", none_will_do=True))
    if 0.0 < brine_g < cure_g:
        raise RangeError("The brine holds the curing salt, so it weighs more; give the whole brine in grams.")
    per = Per.MEAT_AND_BRINE if brine_g else Per.MEAT
    amount = _MILLION * sodium_nitrite / _masses(meat_g, brine_g)
    return Nitrite(amount, Basis(Expressed.SODIUM_NITRITE, per, Stage.INGOING))


def ingoing_pumped(cure: CuringSalt, cure_g: float, brine_g: float, pump_percent: float) -> Nitrite:
    """Nitrite going in with a brine pumped into the meat, on the raw meat.

    `pump_percent` [%]: brine that goes in and stays, on the raw meat; the other masses as in
    :func:`ingoing`. Source: fsis-inspectors-calculations.
    """
    sodium_nitrite = cure.nitrite_in(_number(cure_g, "The curing salt", "g", none_will_do=True))
    if brine_g < cure_g:
        raise RangeError("The brine holds the curing salt, so it weighs more; give the whole brine in grams.")
    amount = _MILLION * sodium_nitrite / _number(brine_g, "The brine", "g") * _pumped(pump_percent)
    return Nitrite(amount, Basis(Expressed.SODIUM_NITRITE, Per.MEAT, Stage.INGOING))


def _pumped(percent: float) -> Fraction:
    if percent > 100.0:
        raise RangeError("Meat does not take its own weight of brine; give the pump in % of the meat.")
    return _number(percent, "The pump", "%") / 100


def _target(target: Nitrite, per: Per) -> Fraction:
    wanted = target.expressed_as(Expressed.SODIUM_NITRITE)
    if (wanted.basis.per, wanted.basis.stage) != (per, Stage.INGOING):
        raise BasisError(f"This way of curing is reckoned going in, on {per}; the target is {target.basis}.")
    return wanted.amount / _MILLION


def _weight(grams: Fraction, step_g: float) -> float:
    step = _number(step_g, "The step of the balance", "g")
    # Down to a whole step: what is weighed never passes the target.
    return float((grams // step) * step)


def cure_for(
    target: Nitrite, cure: CuringSalt, meat_g: float, brine_g: float = 0.0, step_g: float = 0.01
) -> float:
    """Curing salt [g] for a target, rounded down to the step of the balance [g]; inverse of :func:`ingoing`.

    Errors: :class:`BasisError` for a target reckoned on another mass or left in the product.
    """
    part = _target(target, Per.MEAT_AND_BRINE if brine_g else Per.MEAT)
    return _weight(part * _masses(meat_g, brine_g) * 100 / exact(cure.nitrite_percent), step_g)


def cure_for_pumped(
    target: Nitrite, cure: CuringSalt, brine_g: float, pump_percent: float, step_g: float = 0.01
) -> float:
    """Curing salt [g] in a brine to be pumped; inverse of :func:`ingoing_pumped`, errors as there."""
    sodium_nitrite = _target(target, Per.MEAT) * _number(brine_g, "The brine", "g") / _pumped(pump_percent)
    return _weight(sodium_nitrite * 100 / exact(cure.nitrite_percent), step_g)


def basis_of(limit: Limit, per: Per | None = None) -> Basis:
    """On what a row "cure" is reckoned.

    As what and when is in its quantity; what is left is on the product. The mass of what goes in is
    `per` where the caller knows it, else what ``data/uptake.toml`` says of the row.
    Raises :class:`BasisError` where nothing says it, or the row is not about nitrite.
    """
    if limit.quantity not in _QUANTITIES or limit.unit != "mg/kg":
        raise BasisError(f"{limit.id} is no limit for nitrite in mg/kg; choose another row.")
    expressed, stage = _QUANTITIES[limit.quantity]
    if stage is Stage.RESIDUAL:
        return Basis(expressed, Per.PRODUCT, stage)
    known = per or _shipped_masses().get(limit.id)
    if known is None:
        raise BasisError(f"{limit.id} does not say on which mass it is reckoned. Ask, and choose one.")
    return Basis(expressed, known, stage)


def _shipped_masses() -> dict[str, Per]:
    found: dict[str, Per] = {}
    for name, table in load("uptake")["nitrite"].items():
        pedigree(table, f"haccp/data/uptake.toml [nitrite.{name}]")
        found |= dict.fromkeys(table["limits"], Per[name.upper()])
    return found


@dataclass(frozen=True)
class NitriteFinding:
    """A figure beside a limit on the same basis."""

    found: Nitrite
    limit: Limit
    meets: bool

    def __str__(self) -> str:
        words = "meets" if self.meets else "does not meet"
        return f"{self.found}: {words} the limit of {self.limit.printed} ({self.limit.whose})."


def compare(found: Nitrite, limit: Limit, per: Per | None = None) -> NitriteFinding:
    """A figure against a row "cure": at most, or at least, as its operator says.

    Raises :class:`BasisError` where figure and limit are reckoned on different things; nothing is
    converted silently. `per`: see :func:`basis_of`.
    """
    wanted = basis_of(limit, per)
    if wanted != found.basis:
        raise BasisError(
            f"The figure is reckoned {found.basis}; {limit.id} is reckoned {wanted}. "
            "Reckon the figure on the limit's own basis, then compare."
        )
    edge = limit.amount.value
    meets = found.amount >= edge if limit.operator == ">=" else found.amount <= edge
    return NitriteFinding(found, limit, meets)


@dataclass(frozen=True)
class DryCure:
    """What to weigh [g] for dry salting in the bag, and what it comes to."""

    cure_g: float
    salt_g: float
    nitrite: Nitrite | None
    salt_on_meat_percent: float


def dry_salting(
    meat_g: float,
    salt_percent: float,
    cure: CuringSalt | None = None,
    target: Nitrite | None = None,
    step_g: float = 0.01,
) -> DryCure:
    """Salt and curing salt for meat that is rubbed, sealed and left until all of it has gone in.

    `meat_g` [g]; `salt_percent`: all salt, that of the curing salt with it, in % of the raw meat [%];
    `target`: nitrite going in, on the raw meat; `step_g` [g]: of the balance.
    Equations: cure = t M/n, salt = p M − s cure. How long it takes is not reckoned: the salt must first
    dissolve in what the meat gives off.
    Errors: :class:`RangeError` where the curing salt alone brings more salt than is wanted.
    """
    meat = _number(meat_g, "The meat", "g")
    if salt_percent > 100.0:
        raise RangeError("Salt is a part of the meat's weight; give it in % of the raw meat.")
    wanted = _number(salt_percent, "Salt on the meat", "%") * meat / 100
    if (cure is None) != (target is None):
        raise RangeError("Give both the curing salt and the nitrite wanted, or neither.")
    cure_g, brought, figure = 0.0, Fraction(0), None
    if cure is not None and target is not None:
        cure_g = cure_for(target, cure, meat_g, step_g=step_g)
        brought = exact(cure_g) * exact(cure.salt_percent) / 100
        figure = ingoing(cure, cure_g, meat_g)
    if brought > wanted:
        raise RangeError(
            f"The curing salt alone brings {float(brought):.4g} g of salt, more than the "
            f"{float(wanted):.4g} g wanted. Take a stronger curing salt or more salt."
        )
    salt_g = _weight(wanted - brought, step_g)
    return DryCure(cure_g, salt_g, figure, float((exact(salt_g) + brought) * 100 / meat))
