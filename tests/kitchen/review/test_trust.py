"""A failed probe check reaches back to the last good one, and forward to the next."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest

from kitchen.review.trust import Trust

START = datetime(2026, 11, 1, tzinfo=UTC)


def trust(*checks: tuple[int, bool]) -> Trust:
    return Trust.of(
        SimpleNamespace(probe_id=1, at=START + timedelta(days=day), passed=passed) for day, passed in checks
    )


@pytest.mark.parametrize(
    ("checks", "day", "holds"),
    [
        ((), 3, True),
        (((0, True), (7, True)), 3, True),
        (((0, True), (7, False)), 3, False),  # some time before the failed check it went wrong
        (((0, True), (7, False)), -1, True),  # but not before the last good one
        (((0, True), (7, False)), 8, False),
        (((0, True), (7, False), (8, True)), 9, True),
        (((0, True), (7, False), (9, True)), 8, False),
        (((7, False),), 3, False),  # never checked before: everything back to the start is in doubt
    ],
)
def test_which_readings_hold(checks, day, holds):
    assert trust(*checks).holds(1, START + timedelta(days=day)) is holds


def test_another_probe_is_not_concerned():
    assert trust((0, True), (7, False)).holds(2, START + timedelta(days=3))
