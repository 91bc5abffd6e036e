"""At a limit, just under it and just over it: every row that prints a number, in its unit of print.

The edge is worked out here from the reference, not from the loaded row: °F by °C = (°F − 32) × 5/9.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from haccp.limits import all_limits
from haccp.words import TOPICS

ROWS = [limit for limit in all_limits() if limit.value is not None]
HAIR = Fraction(1, 10**9)


def edges(limit) -> tuple[Fraction | None, Fraction | None]:
    """Lower and upper edge in the unit of print."""
    lower = limit.value if limit.operator in (">=", "within") else None
    upper = limit.value if limit.operator == "<=" else limit.upper.value if limit.upper else None
    return lower, upper


@pytest.mark.parametrize("limit", ROWS, ids=lambda limit: limit.id)
def test_at_just_under_and_just_over_every_limit(limit):
    lower, upper = edges(limit)
    assert lower is not None or upper is not None
    for edge, outward in ((lower, -1), (upper, 1)):
        if edge is None:
            continue
        assert limit.admits(edge) is not limit.strict
        assert not limit.admits(edge + outward * HAIR)
        if lower != upper:
            assert limit.admits(edge - outward * HAIR)


@pytest.mark.parametrize(
    "limit", [each for each in ROWS if each.unit in ("degC", "degF")], ids=lambda limit: limit.id
)
def test_a_temperature_in_celsius_is_judged_at_the_printed_degree(limit):
    for edge, outward in zip(edges(limit), (-1, 1), strict=True):
        if edge is not None:
            celsius = edge if limit.unit == "degC" else (edge - 32) * Fraction(5, 9)
            assert limit.admits_celsius(celsius) is not limit.strict
            assert not limit.admits_celsius(celsius + outward * HAIR)


def test_each_topic_has_rows_and_most_have_a_number():
    topics = {limit.topic for limit in all_limits()}
    assert topics == set(TOPICS)
    assert topics - {limit.topic for limit in ROWS} == set()
