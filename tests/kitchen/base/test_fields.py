"""What a cook types: temperatures in either unit, and moments on nights when the clocks change."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from kitchen.base.fields import MomentField, temperature_field
from kitchen.base.ids import new_id


@pytest.mark.parametrize(
    ("typed", "unit", "celsius"),
    [("60", "degC", "60.00"), ("60,5", "degC", "60.50"), ("140", "degF", "60.00"), ("131", "degF", "55.00")],
)
def test_temperatures_are_kept_in_celsius(typed, unit, celsius):
    assert temperature_field("Core", unit).clean(typed) == Decimal(celsius)


@pytest.mark.parametrize("typed", ["warm", "60 60", "--", "nan", "inf"])
def test_what_is_no_temperature_gets_advice(typed):
    with pytest.raises(ValidationError) as trouble:
        temperature_field("Core", "degC").clean(typed)
    assert len(trouble.value.messages[0]) > 10


def test_a_plain_moment_is_read_on_the_kitchens_clock():
    assert MomentField("Europe/London").clean("2026-07-01T14:30") == datetime(2026, 7, 1, 13, 30, tzinfo=UTC)
    assert MomentField("Europe/London").clean("") is None


def test_an_hour_that_never_was_is_refused():
    with pytest.raises(ValidationError, match="did not exist"):
        MomentField("Europe/London").clean("2026-03-29T01:30")


def test_an_hour_that_came_twice_is_asked_about():
    field = MomentField("Europe/London")
    with pytest.raises(ValidationError, match="came twice"):
        field.clean("2026-10-25T01:30")
    assert field.ambiguous
    for fold, hour in ((0, 0), (1, 1)):
        field.fold = fold
        assert field.clean("2026-10-25T01:30") == datetime(2026, 10, 25, hour, 30, tzinfo=UTC)


@pytest.mark.parametrize("typed", ["yesterday", "25/11", "2026-13-01T10:00"])
def test_what_is_no_moment_gets_advice(typed):
    with pytest.raises(ValidationError, match="like 2026-11-24"):
        MomentField("Europe/London").clean(typed)


def test_ids_are_version_7_and_sort_by_time():
    made = [new_id() for _ in range(50)]
    assert {each.version for each in made} == {7}
    assert {each.variant for each in made} == {"specified in RFC 4122"}
    assert [each.int >> 80 for each in made] == sorted(each.int >> 80 for each in made)
