"""Figures in words: rounded to the side that does not flatter, with units, in the site's time."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from haccp.errors import DataError
from haccp.wording import Clock, difference, listed, plural, span, temperature


@pytest.mark.parametrize(
    ("seconds", "rounding", "said"),
    [
        (6, "down", "6 s"),
        (5.9, "down", "5 s"),
        (5.1, "up", "6 s"),
        (60, "down", "1 min"),
        (569.5, "down", "9 min 29 s"),
        (44.99 * 60, "down", "44 min"),
        (44.01 * 60, "up", "45 min"),
        (45 * 60 - 1e-9, "down", "45 min"),  # a rest of floats is not a missing minute
        (119.99 * 60, "down", "119 min"),
        (120 * 60, "down", "2 h"),
        (125 * 60, "down", "2 h 05 min"),
        (49 * 3600, "down", "2 days 1 h"),
        (48 * 3600, "down", "2 days"),
        (-3, "down", "0 s"),
    ],
)
def test_a_time_is_said_and_rounded_to_its_side(seconds, rounding, said):
    assert span(seconds, rounding) == said


def test_a_temperature_under_its_limit_is_never_shown_as_equal_to_it():
    assert temperature(59.98, "degC", "down") == "59.9 °C"
    assert temperature(3.04, "degC", "up") == "3.1 °C"
    assert temperature(54.43, "degF", "down") == "129.9 °F"


def test_a_difference_is_rounded_up_and_scaled_without_an_offset():
    assert difference(0.01) == "0.1 °C"
    assert difference(-1.0) == "1.0 °C"
    assert difference(10.0, "degF") == "18.0 °F"


def test_a_time_is_local_and_carries_its_date_on_another_day():
    clock = Clock.at("Europe/London", date(2026, 7, 1))
    assert clock.time(datetime(2026, 7, 1, 12, 5, tzinfo=UTC)) == "13:05"
    assert clock.time(datetime(2026, 7, 1, 23, 30, tzinfo=UTC)) == "00:30 on 2 July 2026"
    assert clock.local_day(datetime(2026, 7, 1, 23, 30, tzinfo=UTC)) == date(2026, 7, 2)


def test_a_moment_until_which_something_must_last_is_rounded_up():
    clock = Clock.at("UTC", date(2026, 7, 1))
    assert clock.time_up(datetime(2026, 7, 1, 12, 5, 0, tzinfo=UTC)) == "12:05"
    assert clock.time_up(datetime(2026, 7, 1, 12, 5, 1, tzinfo=UTC)) == "12:06"


def test_an_unknown_zone_is_said():
    with pytest.raises(DataError, match="correct the site"):
        Clock.at("Mars/Olympus", date(2026, 7, 1))


def test_lists_and_plurals():
    assert [listed(list("abc")[:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]
    assert plural(1, "day") == "1 day"
    assert plural(0, "day") == "0 days"
    assert plural(2, "piece of fish", "pieces of fish") == "2 pieces of fish"
