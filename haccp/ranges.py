"""A value that is known only within limits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haccp.errors import RangeError


@dataclass(frozen=True)
class Range:
    """Least, most likely and greatest value of one quantity: low <= best <= high."""

    low: float
    best: float
    high: float

    def __post_init__(self) -> None:
        if not all(math.isfinite(each) for each in (self.low, self.best, self.high)):
            raise RangeError("A range needs three finite numbers: low, best, high.")
        if not self.low <= self.best <= self.high:
            raise RangeError(
                f"A range runs from low over best to high; {self.low}, {self.best}, {self.high} does not."
            )
