"""A step that is still running is no outcome yet: the cook reads what is going on, and until when."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest

from haccp.record import Outcome
from kitchen.chilling.actions import into_chiller
from kitchen.cooking import actions as cooking
from kitchen.review import running
from kitchen.review.assessing import refresh
from kitchen.review.board import board
from tests.kitchen.bench.sending import words

pytestmark = pytest.mark.usefixtures("on_time")


def stands(factory, batch):
    return running.of_batch(refresh(batch, factory.now), batch, factory.now)


@pytest.fixture
def in_bath(factory):
    """One bag that went into Bath 1 a minute ago."""
    batch = factory.batch()
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(64), hand=factory.hand())
    factory.read(log, "64")
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=1))
    return batch


@pytest.fixture
def chilling(factory):
    """One bag that was cooked and lies in a blast chiller that nobody has read."""
    batch = factory.cooked()
    blast = factory.chiller("Blast chiller", medium="blast_chiller")
    into_chiller(bags=list(batch.bags.all()), chiller=blast, hand=factory.hand(minutes=5))
    factory.pass_time(1)
    return batch


def test_before_the_bath_there_is_no_outcome(factory):
    batch = factory.batch()
    assert stands(factory, batch) == running.Stands(None, "not in the bath yet")


def test_in_the_bath_the_end_of_the_hold_is_said(factory, in_bath):
    found = refresh(in_bath, factory.now)
    said = running.of_batch(found, in_bath, factory.now)
    assert said.outcome is None
    # The minute that is shown is the first whole one at which the hold is proven.
    at = re.fullmatch(r"in the bath, hold proven (\d\d:\d\d) if the bath stays in its band", said.words)[1]
    until = found.bags[0].hold_until
    assert at == f"{until + timedelta(seconds=59, microseconds=999999):%H:%M}"


def test_out_of_the_bath_the_chill_has_until_its_deadlines(factory):
    batch = factory.cooked()
    said = stands(factory, batch)
    assert said.waits
    assert re.fullmatch(r"out of the bath, into the chill by \d\d:\d\d; .+ due by \d\d:\d\d", said.words)


def test_in_the_chill_the_temperature_and_its_deadline_are_said(factory, chilling):
    said = stands(factory, chilling)
    assert said.waits
    assert re.fullmatch(r"chilling, \d+ °C due by \d\d:\d\d", said.words)


def test_when_its_time_has_passed_it_is_unproven(factory, chilling):
    factory.pass_time(600)
    assert stands(factory, chilling) == running.Stands(Outcome.UNPROVEN)


def test_what_is_wrong_beside_it_is_said_all_the_same(factory):
    batch = factory.batch(thickness="40")  # thicker than its method
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(64), hand=factory.hand())
    factory.read(log, "64")
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=1))
    said = stands(factory, batch)
    assert said.outcome == Outcome.TO_REVIEW
    assert said.words.startswith("in the bath, hold proven")


def test_no_page_calls_it_unproven(factory, chilling, as_cook, chef, client):
    for address in ("/bench/", f"/bench/{chilling.code}/", f"/bench/{chilling.code}/1/"):
        page = words(as_cook.get(address))
        assert "unproven" not in page, address
        assert "chilling, " in page, address
    rows = board(factory.site, factory.now)
    assert [each.batch for each in rows["in_hand"]] == [chilling]
    assert not rows["waiting"]
    client.force_login(chef)
    assert "chilling, " in words(client.get("/pass/"))


def test_the_bench_judges_again_when_a_deadline_has_come(factory, chilling, as_cook):
    """Kept assessments are looked at again after five minutes; a deadline within them counts at once."""
    found = refresh(chilling, factory.now)
    by = min(each.remedy_by for each in found.all_findings if each.remedy_by)
    factory.now = by - timedelta(minutes=1)
    refresh(chilling, factory.now)
    factory.now = by + timedelta(minutes=1)
    assert "unproven" in words(as_cook.get("/bench/"))
    assert [each.batch for each in board(factory.site, factory.now)["waiting"]] == [chilling]


def test_in_victoria_a_bag_in_the_bath_has_six_hours_to_be_at_60(factory, site):
    site.regime = "AU-VIC"
    site.save()
    batch = factory.batch(set_point_c=Decimal(73))
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(73), hand=factory.hand())
    factory.read(log, "73")
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=1))
    said = stands(factory, batch).words
    assert re.search(r"core to be at 60 °C, or out of the bath, by \d\d:\d\d", said)


def test_in_ireland_food_that_is_no_cook_chill_has_two_hours_to_be_in_the_store(factory, site):
    site.regime = "IE"
    site.save()
    batch = factory.cooked(attributes=["poultry"], set_point_c=Decimal(73), set_point="73")
    found = refresh(batch, factory.now)
    assert "cold and into the store by" in running.of_bag(found.bags[0], batch, factory.now).words
