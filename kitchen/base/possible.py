"""What a probe can't have read: refused outright, where a merely doubtful value is asked about."""

from __future__ import annotations

from decimal import Decimal

from kitchen.base.refusals import Refused

# Between ice that has just formed and water that boils under a cook's lid; food and air in a
# kitchen that chills and cooks in water. Common knowledge, no source.
BATH_C = (Decimal(-2), Decimal(105))
FOOD_C = (Decimal(-40), Decimal(250))
STORE_C = (Decimal(-60), Decimal(100))


def possible(celsius: Decimal, span: tuple[Decimal, Decimal], what: str) -> Decimal:
    """The reading, if it can be one."""
    low, high = span
    if not low <= celsius <= high:
        raise Refused(
            f"{what} can't be at {celsius:f} °C. Read it again and type what the probe shows.", "celsius"
        )
    return celsius
