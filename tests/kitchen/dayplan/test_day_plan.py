"""The day plan on page and paper; its figures against the method's own numbers, by hand."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from haccp.dayplan import SPARE
from haccp.limits import ruleset
from kitchen.base.refusals import Refused
from kitchen.cooking import actions as cooking
from kitchen.dayplan import actions, planning
from kitchen.dayplan.loads import chill_min, load_kg
from kitchen.dayplan.models import DishWanted
from kitchen.ledger.verification import verify

pytestmark = pytest.mark.usefixtures("on_time")


def ask(factory, method, hours=10, bags=4, grams=500):
    ready = factory.now + timedelta(hours=hours)
    hand = factory.hand(factory.chef)
    return actions.want_dish(method=method, bags=bags, grams=grams, ready_at=ready, hand=hand)


def plan(factory):
    return planning.plan_of(factory.site, factory.now.date(), factory.now)


def test_a_dish_is_reckoned_back_from_when_it_is_ready(factory):
    factory.bath()
    method = factory.method()
    line = ask(factory, method)
    (placed,) = plan(factory).placed
    chill = chill_min(
        method, ruleset("UK", factory.now.date()), {"poultry", "cook-chill", "sealed", "chilled"}
    )
    assert placed.rack.out_at == line.ready_at - SPARE - timedelta(minutes=chill)
    assert placed.rack.in_at == placed.rack.out_at - timedelta(minutes=180)
    # The thickest bag in ice slurry takes the better part of an hour, and no more than the limit allows.
    assert 30 < chill <= 150


def test_a_bath_of_known_power_takes_less_than_one_that_has_more(factory):
    method = factory.method()
    small, large = (factory.bath(f"Bath {watts}", heater_w=watts) for watts in (1000, 2000))
    assert load_kg(method, factory.bath("Bath unknown")) is None
    assert 0 < load_kg(method, small) < load_kg(method, large) < 20


def test_a_bath_of_unknown_power_is_said_to_be_unchecked(factory):
    factory.bath()
    ask(factory, factory.method())
    assert plan(factory).loads_unknown == ["Bath 1"]


def test_a_batch_that_has_begun_is_no_longer_planned(factory):
    factory.bath()
    method = factory.method()
    line = ask(factory, method)
    factory.pass_time(5)
    factory.batch()
    now = plan(factory)
    assert now.begun == {line.pk}
    assert not now.placed


def test_bags_that_are_in_a_bath_keep_it(factory):
    """A bath at another set point is free when its bags are out by their method."""
    bath = factory.bath()
    batch = factory.batch()
    log = cooking.start_bath(bath=bath, set_point_c=Decimal(64), hand=factory.hand())
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=1))
    ask(
        factory,
        factory.method("Carrots", set_point_c=Decimal(85), material="vegetable", attributes=["vegetable"]),
    )
    (placed,) = plan(factory).placed
    busy = planning._bath(bath, factory.now)
    assert busy.busy_until is not None
    assert placed.rack.in_at >= busy.busy_until


def test_only_the_head_chef_plans_and_a_cook_reads(client, factory, site):
    factory.bath()
    method = factory.method()
    at = (factory.now + timedelta(hours=9)).strftime("%Y-%m-%dT%H:%M")
    said = {"method": method.pk, "bags": "6", "grams": "450", "ready_at": at}
    client.force_login(factory.cook)
    assert client.post("/bench/plan/add/", said).status_code == 403
    client.force_login(factory.chef)
    assert client.post("/bench/plan/add/", said, follow=True).status_code == 200
    client.force_login(factory.cook)
    page = client.get("/bench/plan/").content.decode()
    assert "6 × 450 g" in page
    assert verify(site).flaw is None


def test_a_time_that_has_passed_is_refused(factory):
    with pytest.raises(Refused, match="between now and two weeks"):
        ask(factory, factory.method(), hours=-1)


def test_a_dish_is_taken_off_with_a_reason_and_stays_in_the_chain(as_chef, factory, site):
    factory.bath()
    line = ask(factory, factory.method())
    assert as_chef.post(f"/bench/plan/{line.pk}/drop/", {"reason": ""}).status_code == 422
    as_chef.post(f"/bench/plan/{line.pk}/drop/", {"reason": "table cancelled"})
    assert not plan(factory).wanted
    assert DishWanted.objects.get(pk=line.pk).withdrawn_by.said["reason"] == "table cancelled"


def test_a_stranger_finds_no_such_line(client, factory):
    line = ask(factory, factory.method())
    client.force_login(factory.stranger)
    assert client.get(f"/bench/plan/{line.pk}/drop/").status_code == 404


def test_the_paper_is_the_same_twice_and_a_wrong_day_is_today(as_chef, factory):
    factory.bath()
    ask(factory, factory.method())
    one, two = (as_chef.get("/file/day-plan/?day=nonsense").content for _ in range(2))
    assert one.startswith(b"%PDF")
    assert one == two
