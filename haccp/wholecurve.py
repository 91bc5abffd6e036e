"""What a whole curve is worth where no row of a table was kept.

Two ways, the second weaker than the first.

**Along the table.** Each moment earns the share of the hold that the table asks at that temperature
(:func:`haccp.holdtables.share_along`), or on the process on which the table is published to rest; nothing
below its lowest row. A share of the table is that share of the reduction that the table stands for.

**By D and z** of the organisms whose reduction the country of the regime asks of the food
(:mod:`haccp.targets`). That is a model; it lifts no rule, unless the regime's own text says so.

Either way what can have grown of the organism on the way up, at the very most, is added to what is
asked. On a proven lower curve the worth is a lower bound. It passes nothing: a competent person decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haccp.bounds import ProvenCurves
from haccp.case import Case
from haccp.growth import bag_growth
from haccp.growthrules import hot_from_s
from haccp.holds import table_minutes
from haccp.holdtables import share_along
from haccp.limits import Limit, Table
from haccp.targets import MOST_GROWTH, Target, grows_by, reduction_along, required_log, targets_for

__all__ = ["Worth", "along_the_table", "by_targets"]

_FROM_THE_ROWS = "nothing below its lowest row"
_ALL_OF_IT = "all of the curve that the evidence for D and z covers"


@dataclass(frozen=True)
class Worth:
    """A reduction [log10] of an organism: what is proven of it, what the food is asked for, and what grew.

    `way` says how it was reckoned, `counted` from where. `grown` [log10] is what can have grown on the way
    up, at most.
    """

    way: str
    counted: str
    organism: str
    proven: float
    target: float
    grown: float

    @property
    def asked(self) -> float:
        """Target and growth together [log10]."""
        return required_log(self.target, self.grown)

    @property
    def enough(self) -> bool:
        """Whether the proven reduction comes to what is asked; a millionth is an error of floats."""
        return self.proven >= self.asked - 1e-6


def along_the_table(case: Case, table: Table, rows: Sequence[Limit], curves: ProvenCurves) -> Worth | None:
    """What the proven curve is worth by a table's own basis or along its rows; None if neither is known."""
    printed = case.ruleset.between_rows(rows[0])
    if printed is None:
        asked = max(_asked(case, rows[0]), key=lambda each: each.log10, default=None)
        if asked is None:
            return None
        organism, target = asked.organism, asked.log10
    else:
        organism, target = printed.organism, printed.log10
    minutes = table_minutes(table, rows, curves.times_s, curves.low_c)
    if minutes is not None and table.minutes is not None:
        share, way = minutes / table.minutes, f"On the table's own basis ({table.basis})"
    elif printed is not None:
        share, way = (
            share_along(curves.times_s, curves.low_c, printed),
            "Added up along the rows of the table",
        )
    else:
        return None
    return Worth(way, _FROM_THE_ROWS, organism, share * target, target, _grown(organism, curves))


def by_targets(case: Case, row: Limit, curves: ProvenCurves) -> list[Worth]:
    """What the proven curve is worth by D and z, for each organism that the country of `row` asks about."""
    found = []
    for each in _asked(case, row):
        if each.resistance:
            proven = reduction_along(each, curves.times_s, curves.low_c)
            grown = _grown(each.organism, curves)
            found.append(Worth("By D and z", _ALL_OF_IT, each.organism, proven, each.log10, grown))
    return found


def _asked(case: Case, row: Limit) -> list[Target]:
    """The targets of the country under whose law a row is."""
    country = row.regime.partition("-")[0]
    return [each for each in targets_for(case.words, country) if each.where == country]


def _grown(organism: str, curves: ProvenCurves) -> float:
    """How much of an organism can have grown until core and surface were too hot for it [log10]."""
    model = grows_by().get(organism)
    if model is None:
        return 0.0
    return min(bag_growth(curves, model, until_s=hot_from_s(curves, model)).high, MOST_GROWTH)
