r"""Growth models as data: how fast an organism grows at a temperature, and how well each figure is known.

Three forms of the rate, each with one peak:

* cardinal (rosso-1995), specific rate [1/h], zero outside Tmin to Tmax, with D = Topt − Tmin:
  mu = mu_opt (T − Tmax)(T − Tmin)² / {D [D (T − Topt) − (Topt − Tmax)(Topt + Tmin − 2T)]}
* square (mejlholm-dalgaard-2009), log10 per hour, zero below Tmin:
  the rate at 5 °C times ((T − Tmin)/(5 − Tmin))²
* share (skinner-larkin-1998), parts of the shortest time to toxin per hour: 1/t, with
  t = 24 · 10^(a + b T + c/T) hours above `from_c`, nothing at or below it

Every figure carries its provenance. In print, what was read, what is from memory and what was
derived or chosen here are told apart by a mark.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache, cached_property
from typing import Any, Final

import numpy as np

from haccp.curves import FloatArray
from haccp.datafiles import choose, load, pedigree
from haccp.errors import DataError, RangeError
from haccp.record import Outcome

_HOURS_A_DAY: Final = 24.0


class Mark(StrEnum):
    """How well a figure is known, as it is printed."""

    PUBLISHED = "P"
    MEMORY = "M"
    DERIVED = "D"

    @property
    def words(self) -> str:
        """The mark in words."""
        return _MARK_WORDS[self]


_MARK_WORDS: Final = {
    Mark.PUBLISHED: "read in the source",
    Mark.MEMORY: "from memory of the source, to be checked there",
    Mark.DERIVED: "derived or chosen here",
}


@dataclass(frozen=True)
class Figure:
    """One number of a model with its unit and pedigree; `unit` is empty for a pure number."""

    name: str
    value: float
    unit: str
    sources: tuple[str, ...]
    provenance: str
    note: str

    @property
    def mark(self) -> Mark:
        """How well the figure is known."""
        if self.provenance.startswith("page seen"):
            return Mark.PUBLISHED
        return Mark.MEMORY if self.provenance == "from memory" else Mark.DERIVED

    def __str__(self) -> str:
        number = f"{self.value:g}".replace("-", "−")
        return f"{self.name} {number}{' ' + self.unit if self.unit else ''} [{self.mark}]"


@dataclass(frozen=True)
class Hurdles:
    """What was measured of a food: its highest pH and its highest water activity.

    The figure nearest to what the organism likes counts, so give the highest measured one.
    None leaves the term out, which is the cautious case. Errors: :class:`RangeError`.
    """

    ph: float | None = None
    water_activity: float | None = None

    def __post_init__(self) -> None:
        if self.ph is not None and not 0.0 < self.ph < 14.0:
            raise RangeError(f"A pH lies between 0 and 14, not at {self.ph}.")
        if self.water_activity is not None and not 0.0 < self.water_activity <= 1.0:
            raise RangeError(f"A water activity lies between 0 and 1, not at {self.water_activity}.")


@dataclass(frozen=True)
class Strain:
    """The rate of one set of strains. `form` is cardinal, square or share."""

    name: str
    form: str
    figures: dict[str, Figure] = field(hash=False)

    def value(self, name: str) -> float:
        """A figure by name; :class:`DataError` if the set has none of that name."""
        return choose(self.figures, name, "figure").value

    @cached_property
    def lag(self) -> float:
        """h0, the work to be done before growth [-]; 0 for a form without lag."""
        return self.value("h0") if self.form == "cardinal" else 0.0

    @cached_property
    def ceiling(self) -> float:
        """Greatest growth [log10]; infinite for a share."""
        return math.inf if self.form == "share" else self.value("cap")

    @cached_property
    def smooth_between(self) -> tuple[float, ...]:
        """Temperatures [°C] that part the rate into smooth pieces; nothing grows below the first."""
        if self.form == "cardinal":
            return self.value("t_min"), self.value("t_opt"), self.value("t_max")
        return (self.value("t_min" if self.form == "square" else "from_c"), math.inf)

    @cached_property
    def peak_c(self) -> float:
        """Where it grows fastest [°C]; infinite where the rate rises all the way."""
        return self.value("t_opt") if self.form == "cardinal" else math.inf

    def rate(self, celsius: FloatArray) -> FloatArray:
        """Rate per hour at `celsius` [°C], any shape: 1/h, log10/h or share/h by form."""
        temps = np.asarray(celsius, dtype=np.float64)
        if self.form == "cardinal":
            return self._cardinal(temps)
        low = self.smooth_between[0]
        inside = np.where(temps > low, temps, low + 1.0)
        if self.form == "square":
            rate = self.value("per_day_at_5") * ((inside - low) / (5.0 - low)) ** 2
        else:
            rate = 10.0 ** -(self.value("a") + self.value("b") * inside + self.value("c") / inside)
        return np.where(temps > low, rate / _HOURS_A_DAY, 0.0)

    def _cardinal(self, temps: FloatArray) -> FloatArray:
        low, best, high = self.smooth_between
        inside = np.where((temps > low) & (temps < high), temps, best)
        span = best - low
        under = span * (span * (inside - best) - (best - high) * (best + low - 2.0 * inside))
        rate = self.value("mu_opt") * (inside - high) * (inside - low) ** 2 / under
        return np.where((temps > low) & (temps < high), rate, 0.0)

    def slowed_by(self, hurdles: Hurdles) -> float:
        """Factor on the rate for what was measured of the food, 0 to 1.

        Cardinal: g(pH) = (pH − min)(pH − max)/[(pH − min)(pH − max) − (pH − opt)²], 1 above the
        optimum; g(aw) = (aw − min)/(opt − min). Square: mu at 25 °C times (aw − min)/(1 − min)
        and 1 − 10^(min − pH), over the fail-safe rate. Share: 1. Never above 1. Values below those
        that a model covers earn no more than its edge.
        """
        factor = 1.0
        ph = self._within(hurdles.ph, "ph_from")
        activity = self._within(hurdles.water_activity, "aw_from")
        if self.form == "square" and hurdles != Hurdles():
            per_day = self.value("mu_25") * _HOURS_A_DAY / math.log(10.0)
            reach = (5.0 - self.value("t_min")) / (25.0 - self.value("t_min"))
            factor = per_day * reach**2 / self.value("per_day_at_5")
        if ph is not None and "ph_min" in self.figures:
            least = self.value("ph_min")
            if self.form == "square":
                factor *= max(0.0, 1.0 - 10.0 ** (least - ph))
            elif ph < self.value("ph_opt"):
                product = (ph - least) * (ph - self.value("ph_max"))
                factor *= product / (product - (ph - self.value("ph_opt")) ** 2)
        if activity is not None and "aw_min" in self.figures:
            least = self.value("aw_min")
            most = self.value("aw_opt") if self.form == "cardinal" else 1.0
            factor *= (activity - least) / (most - least)
        return min(max(factor, 0.0), 1.0)

    def _within(self, measured: float | None, edge: str) -> float | None:
        if measured is None or edge not in self.figures:
            return measured
        return max(measured, self.value(edge))


@dataclass(frozen=True)
class Band:
    """An edge of judgement: `figure`, and whether the figure itself is still on the better side (`over`)."""

    figure: Figure
    over: bool

    def reached(self, amount: float) -> bool:
        """Whether `amount` lies on the worse side."""
        return amount > self.figure.value if self.over else amount >= self.figure.value


@dataclass(frozen=True)
class GrowthModel:
    """One organism in one step: its strains, the bands of judgement and what must be said with it.

    `measure` is ``log10`` or ``share``; `holds` [°C] is where the figures are meant to hold.
    """

    key: str
    name: str
    step: str
    what: str
    measure: str
    strains: tuple[Strain, ...]
    holds: tuple[float, float]
    covers: str
    not_covered: str
    cautions: tuple[str, ...]
    to_review: Band
    fails: Band | None

    def judge(self, amount: float) -> Outcome:
        """What the bands say of a growth [log10] or share; no limit of law, a rule comes first."""
        if not math.isfinite(amount):
            raise RangeError("A growth must be a number.")
        if self.fails is not None and self.fails.reached(amount):
            return Outcome.FAILS
        return Outcome.TO_REVIEW if self.to_review.reached(amount) else Outcome.MEETS

    @property
    def printed_figures(self) -> tuple[str, ...]:
        """Every figure as it is printed, with its mark: ``mu_opt 6.06 1/h [P]``."""
        return tuple(
            f"{strain.name + ': ' if strain.name else ''}{figure}"
            for strain in self.strains
            for figure in strain.figures.values()
        )


def _figure(name: str, table: Any, where: str) -> Figure:
    try:
        value, unit = float(table["value"]), str(table["unit"])
    except (KeyError, TypeError, ValueError):
        raise DataError(f"{where} {name} needs a value, a unit and a provenance.") from None
    return Figure(name, value, unit, *pedigree(table, f"{where} {name}"))


def _strain(table: dict[str, Any], form: str, tables: dict[str, Any], where: str) -> Strain:
    own = table["figures"]
    if "like" in table:
        like = next(
            each for each in tables[table["like"]]["strain"] if each.get("name", "") == table.get("name", "")
        )
        own = like["figures"] | own
    strain = Strain(
        str(table.get("name", "")), form, {name: _figure(name, each, where) for name, each in own.items()}
    )
    edges = strain.smooth_between
    if list(edges) != sorted(edges) or not strain.ceiling > 0.0 or strain.lag < 0.0:
        raise DataError(f"{where}: temperatures rise, the cap is above zero and the lag not below it.")
    return strain


def _band(table: dict[str, Any], name: str, where: str) -> Band:
    return Band(_figure(name, table[name], f"{where} bands"), bool(table[name]["over"]))


@cache
def growth_models() -> dict[str, GrowthModel]:
    """All models of ``data/growth.toml`` by key, in the order of the file."""
    found = {}
    tables = load("growth")
    for key, table in tables.items():
        where = f"haccp/data/growth.toml [{key}]"
        try:
            form = str(table["form"])
            if form not in ("cardinal", "square", "share"):
                raise DataError(f"{where}: form is cardinal, square or share.")
            low, high = table["holds"]
            found[key] = GrowthModel(
                key=key,
                name=str(table["name"]),
                step=str(table["step"]),
                what=str(table["what"]),
                measure="share" if form == "share" else "log10",
                strains=tuple(_strain(each, form, tables, where) for each in table["strain"]),
                holds=(float(low), float(high)),
                covers=str(table["covers"]),
                not_covered=str(table["not_covered"]),
                cautions=tuple(table["cautions"]),
                to_review=_band(table["bands"], "to_review", where),
                fails=_band(table["bands"], "fails", where) if "fails" in table["bands"] else None,
            )
        except KeyError as error:
            raise DataError(f"{where} lacks {error}.") from None
    return found


def growth_model(key: str) -> GrowthModel:
    """The model with this key; raises :class:`DataError` naming the choices."""
    return choose(growth_models(), key, "growth model")
