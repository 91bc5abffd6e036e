"""A hold: time with the core at or above a temperature, against the rows of one table.

Every row counts alike: any one of them that is met meets the table. There is nothing
below its lowest row.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from haccp.curves import FloatArray
from haccp.lethality import lethal_minutes, spans_at_or_above
from haccp.limits import Limit, Table


@dataclass(frozen=True)
class Held:
    """How one row of a table was kept by one curve.

    `held_s` [s] is the total time at or above the row's temperature, `needed_s` [s] the
    row's hold; `spans` [s] are when. `highest_c` [°C] is the highest point of the curve.
    """

    row: Limit
    needed_s: float
    spans: tuple[tuple[float, float], ...]
    highest_c: float

    @cached_property
    def held_s(self) -> float:
        """Total time [s] at or above the row's temperature."""
        return math.fsum(end - start for start, end in self.spans)

    @property
    def met(self) -> bool:
        """Whether the row is met; a hold of nothing is met by reaching the temperature."""
        if self.needed_s == 0.0:
            return self.highest_c >= self.row.amount.celsius
        # Seconds are summed in floats: a millionth of one is not a missed hold.
        return self.held_s >= self.needed_s - 1e-6

    @property
    def share(self) -> float:
        """Hold over hold needed; infinite for a row of no hold that was reached."""
        if self.needed_s == 0.0:
            return math.inf if self.met else 0.0
        return self.held_s / self.needed_s

    @property
    def ends_s(self) -> float | None:
        """When the hold was complete [s]; None if it never was."""
        if not self.met:
            return None
        left = self.needed_s
        for start, end in self.spans:
            if end - start >= left - 1e-6:
                return start + left
            left -= end - start
        return self.spans[-1][1] if self.spans else None

    @property
    def starts_s(self) -> float | None:
        """When the core was first at the row's temperature [s]."""
        return self.spans[0][0] if self.spans else None


def held(row: Limit, times_s: FloatArray, celsius: FloatArray) -> Held:
    """How a curve (n,) kept one row; the row's temperature is converted exactly."""
    spans = spans_at_or_above(times_s, celsius, row.amount.celsius)
    needed = 0.0 if row.hold is None else row.hold.seconds
    return Held(row, needed, tuple(spans), float(np.max(celsius)))


def best_held(rows: Sequence[Limit], times_s: FloatArray, celsius: FloatArray) -> Held:
    """The row that a curve keeps with the greatest share; of equal ones the hotter row.

    Where no row was reached at all, the lowest row of the table.
    """
    every = [held(row, times_s, celsius) for row in rows]
    reached = [each for each in every if each.share > 0.0]
    if not reached:
        return min(every, key=lambda each: each.row.amount.celsius)
    met = [each for each in reached if each.met and math.isfinite(each.share)]
    # A timed row says more than an instantaneous one where both are met.
    return max(met or reached, key=lambda each: (each.share, each.row.amount.celsius))


def first_met(rows: Sequence[Limit], times_s: FloatArray, celsius: FloatArray) -> Held | None:
    """The row that a curve completes first, or None."""
    done = [each for each in (held(row, times_s, celsius) for row in rows) if each.met]
    timed = [(each.ends_s, each) for each in done if each.ends_s is not None]
    return min(timed, key=lambda pair: pair[0])[1] if timed else None


def table_minutes(
    table: Table, rows: Sequence[Limit], times_s: FloatArray, celsius: FloatArray
) -> float | None:
    """Equivalent minutes of a curve by the table's own published process; None if it has none.

    Nothing counts below the lowest row: a table is not extrapolated.
    """
    if table.reference_c is None or table.z_c is None:
        return None
    return lethal_minutes(
        times_s,
        celsius,
        reference_c=table.reference_c,
        z_c=table.z_c,
        z_above_c=table.z_above_c,
        counts_from_c=min(row.amount.celsius for row in rows),
    )
