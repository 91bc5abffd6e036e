"""Clocks: the hour that comes twice, the hour that never comes, midnight; in entries and in every list.

The moments are those of London in 2026: clocks go forward on 29 March at 01:00 UTC and back on 25 October at
01:00 UTC (tz database, which Python's zoneinfo reads; checked against its rule "last Sunday").
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from kitchen.base import moments
from kitchen.cooking.actions import bags_into_bath, start_bath
from kitchen.cooking.models import BathReading
from kitchen.review import trail
from kitchen.review.held import Held
from tests.kitchen.offline.tablet import FakeTablet

BACK = datetime(2026, 10, 25, 0, 30, tzinfo=UTC)  # 01:30 in summer time, which comes twice
FORWARD = datetime(2026, 3, 29, 0, 30, tzinfo=UTC)  # 00:30, half an hour before 01:00 to 02:00 is left out


@pytest.fixture
def at(factory, monkeypatch):
    """Lets a kitchen begin at a moment."""

    def begin(moment):
        factory.now = moment - timedelta(hours=2)
        monkeypatch.setattr(moments, "now", lambda: factory.now)
        return factory

    return begin


def bath(factory, moment):
    """A bath that runs, read once, at that moment."""
    log = start_bath(bath=factory.bath(), set_point_c=64, hand=factory.hand())
    factory.read(log, "64.0")
    factory.now = moment
    return log


@pytest.fixture
def twice(at, as_cook):
    """Two readings an hour apart, both at 01:30 on the kitchen's clock."""
    factory = at(BACK)
    log = bath(factory, BACK)
    tablet = FakeTablet(as_cook, factory)
    for minutes, typed in ((0, "63.9"), (60, "63.8")):
        tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=minutes, celsius=typed, probe=log.bath.probe.pk)
    factory.pass_time(60)
    return tablet


def test_the_hour_that_comes_twice_is_told_apart_by_the_tablet(twice):
    assert [what for what, _ in twice.answers()] == ["taken", "taken"]
    times = list(BathReading.objects.order_by("at").values_list("at", flat=True))[-2:]
    assert times == [BACK, BACK + timedelta(hours=1)]


def test_a_held_entry_of_that_hour_comes_back_with_the_right_one(at, as_cook):
    factory = at(BACK)
    log = bath(factory, BACK + timedelta(hours=1))
    tablet = FakeTablet(as_cook, factory)
    tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="6.4", probe=log.bath.probe.pk)
    factory.pass_time(60)
    tablet.answers()
    address = f"/held/{Held.objects.get().of}/"
    page = as_cook.get(address).content.decode()
    assert 'value="2026-10-25T01:30"' in page
    sent = {"celsius": "64.0", "probe": log.bath.probe.pk, "at": "2026-10-25T01:30"}
    asked = as_cook.post(address, sent)
    assert "Say which one" in asked.content.decode()
    assert as_cook.post(address, {**sent, "fold": "1"}).status_code == 302
    assert BathReading.objects.latest("pk").at == BACK + timedelta(hours=1)


def test_a_typed_time_that_never_came_is_held(at, as_cook):
    factory = at(FORWARD)
    log = bath(factory, FORWARD + timedelta(hours=2))
    tablet = FakeTablet(as_cook, factory)
    tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="64", probe=log.bath.probe.pk, at="2026-03-29T01:15")
    what, why = tablet.answers()[0]
    assert (what, "did not exist" in why) == ("held", True)


def test_the_trail_over_the_change_and_over_midnight_is_in_order(at, as_cook):
    start = datetime(2026, 10, 24, 22, 40, tzinfo=UTC)  # 23:40 in summer time
    factory = at(start)
    log = bath(factory, start)
    batch = factory.batch(bags=1)
    tablet = FakeTablet(as_cook, factory)
    tablet.keep(f"/bench/{batch.code}/in/", minutes=5, bags=["1"], bath_log=log.pk)
    for typed in ("63.9", "63.8", "64.0", "64.1"):
        tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=55, celsius=typed, probe=log.bath.probe.pk)
    # What happened last was sent first.
    assert {what for what, _ in tablet.answers(tablet.entries[::-1])} == {"taken"}
    lines = [line for line in trail.lines(batch) if line.entry.kind in ("bags.in", "bath.read")][-5:]
    zone = factory.site.timezone
    said = [moments.clock(line.entry.happened_at, zone) for line in lines]
    assert said == [
        *("Sat 24 Oct 23:50", "Sun 25 Oct 00:45", "Sun 25 Oct 01:40", "Sun 25 Oct 01:35", "Sun 25 Oct 02:30")
    ]
    page = as_cook.get(f"/bench/{batch.code}/").content.decode()
    places = [
        page.index(f">{moments.clock(line.entry.happened_at, zone, factory.now.date())}")
        for line in lines[:2]
    ]
    assert places == sorted(places)


@pytest.mark.parametrize("minutes", [-1, 1])
def test_the_bench_names_the_day_when_it_is_not_today(at, as_cook, minutes):
    midnight = datetime(2026, 11, 16, tzinfo=UTC)
    factory = at(midnight)
    log = bath(factory, midnight + timedelta(minutes=minutes))
    batch = factory.batch(bags=1)
    came = factory.now
    bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())
    factory.now = midnight + timedelta(minutes=30)
    page = as_cook.get(f"/bench/{batch.code}/").content.decode()
    words = f"{came:%H:%M}" if came >= midnight else f"Sun 15 Nov {came:%H:%M}"
    assert f'<td class="nowrap">{words}</td>' in page
