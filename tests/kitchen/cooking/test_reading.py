"""A bath reading through its page: kept, questioned, refused, sent twice, out of reach for a stranger."""

from decimal import Decimal

import pytest

from kitchen.cooking import actions
from kitchen.cooking.models import BathReading
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def log(factory):
    """Bath 1 at 60 °C, started a quarter of an hour ago."""
    bath = factory.bath()
    log = actions.start_bath(bath=bath, set_point_c=Decimal(60), hand=factory.hand())
    factory.pass_time(15)
    return log


def address(log):
    return f"/bench/logs/{log.pk}/read/"


def read(client, log, celsius, **more):
    return send(client, address(log), celsius=celsius, probe=log.bath.probe_id, **more)


@pytest.mark.parametrize(
    ("typed", "celsius", "place"),
    [
        ("60.2", "60.2", "in its band"),
        ("60,2", "60.2", "in its band"),
        ("59.4", "59.4", "below its band"),
        ("61.0", "61", "above its band"),
        ("140 F", "60", "in its band"),  # 140 °F is 60 °C exactly: (140 - 32) / 1.8
    ],
)
def test_a_reading_is_kept_and_says_where_it_lies(as_cook, log, typed, celsius, place):
    answer = read(as_cook, log, typed)
    assert answer.url == "/bench/"
    assert place in kept(as_cook, answer)
    assert BathReading.objects.get().celsius == Decimal(celsius)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("140", "60.0 °C (typed in °F)"), ("600", "60.0 °C (the decimal point is missing)"), ("-60", "60.0 °C")],
)
def test_a_reading_far_from_the_set_point_is_asked_about_and_nothing_is_kept(as_cook, log, typed, meant):
    answer = read(as_cook, log, typed)
    assert answer.status_code == 422
    assert meant in words(answer)
    assert f'value="{typed}"' in words(answer)
    assert count("bath.read") == 0


def test_it_is_kept_as_typed_when_that_was_confirmed(as_cook, log):
    answer = read(as_cook, log, "48.5", sure="on")
    assert "below its band" in kept(as_cook, answer)
    assert BathReading.objects.get().celsius == Decimal("48.5")


@pytest.mark.parametrize("typed", ["600", "106", "-60"])
def test_what_no_water_bath_can_have_is_refused_even_when_confirmed(as_cook, log, typed):
    answer = read(as_cook, log, typed, sure="on")
    assert answer.status_code == 422
    assert "Read it again" in words(answer)
    assert count("bath.read") == 0


@pytest.mark.parametrize("typed", ["", "hot", "60.0.1", "60 mm"])
def test_what_is_no_temperature_is_refused_with_what_to_type(as_cook, log, typed):
    answer = read(as_cook, log, typed)
    assert answer.status_code == 422
    assert count("bath.read") == 0


def test_a_reading_without_a_probe_is_refused(as_cook, log):
    answer = send(as_cook, address(log), celsius="60.1")
    assert "a reading without a probe proves nothing" in words(answer)
    assert count("bath.read") == 0


def test_a_probe_of_another_kitchen_is_refused(as_cook, factory, log):
    from kitchen.equipment.actions import add_probe

    theirs = add_probe(name="Theirs", tolerance_k=Decimal("0.3"), hand=factory.hand(factory.stranger))
    answer = send(as_cook, address(log), celsius="60.1", probe=theirs.pk)
    assert answer.status_code == 422
    assert count("bath.read") == 0


def test_the_same_form_sent_twice_is_kept_once(as_cook, log):
    assert read(as_cook, log, "60.1", twice=True).status_code == 302
    assert count("bath.read") == 1


def test_a_reading_half_an_hour_ago_is_a_late_entry_and_is_told_so(as_cook, factory, log):
    factory.pass_time(45)
    answer = read(as_cook, log, "60.1", at="2026-11-16T08:30")
    assert "Late entry: 30 min after." in kept(as_cook, answer)


def test_a_reading_ten_minutes_ago_is_not_late(as_cook, factory, log):
    factory.pass_time(45)
    answer = read(as_cook, log, "60.1", at="2026-11-16T08:50")
    assert "Late entry" not in kept(as_cook, answer)


def test_a_time_that_has_not_come_is_refused(as_cook, log):
    answer = read(as_cook, log, "60.1", at="2026-11-16T11:00")
    assert "has not come yet" in words(answer)
    assert count("bath.read") == 0


def test_a_time_before_the_log_began_is_refused(as_cook, log):
    answer = read(as_cook, log, "60.1", at="2026-11-16T07:00")
    assert "before this bath log began" in words(answer)
    assert count("bath.read") == 0


def test_the_page_shows_the_band_and_no_last_value(as_cook, factory, log):
    factory.read(log, "60.3")
    page = words(as_cook.get(address(log)))
    assert 'data-low="59.5"' in page
    assert 'data-high="60.5"' in page
    assert "60.3" not in page


def test_a_stranger_finds_no_such_bath(as_stranger, log):
    assert as_stranger.get(address(log)).status_code == 404
    assert read(as_stranger, log, "60.1").status_code == 404
    assert count("bath.read") == 0


def test_the_form_opens_the_pad_and_keeping_sends_it(as_cook, log):
    page = words(as_cook.get(address(log)))
    assert "data-pad-opens" in page
    assert 'data-pad-sends="Keep"' in page
