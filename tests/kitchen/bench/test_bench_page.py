"""The Bench: what is in hand, what comes next, who may see it, and how many queries it takes."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kitchen.batches.actions import open_batch, seal_bags
from kitchen.bench import next as coming
from kitchen.bench.queries import snapshot
from kitchen.brining.actions import into_brine, make_brine, out_of_brine
from kitchen.chilling.actions import into_chiller, out_of_chiller
from kitchen.cooking import actions as cooking
from kitchen.finishing.actions import finish_bags
from kitchen.review.actions import decide
from tests.kitchen.bench.sending import words

pytestmark = pytest.mark.usefixtures("on_time")


def lines(factory):
    return coming.lines(snapshot(factory.site, factory.now))


def verbs(factory):
    return [line.verb for line in lines(factory)]


def start(factory, set_point="64", name="Bath 1"):
    log = cooking.start_bath(bath=factory.bath(name), set_point_c=Decimal(set_point), hand=factory.hand())
    factory.read(log, set_point)
    return log


def probe_one(factory, bag, chiller):
    cooking.check_core(
        bag=bag, step="chill", celsius=Decimal("1.5"), probe=chiller.probe, hand=factory.hand(minutes=1)
    )


def test_an_empty_kitchen(as_cook, factory):
    page = words(as_cook.get("/bench/"))
    assert "Nothing is due." in page
    assert "No bath is in use yet." in page
    assert "No batch is in hand." in page


def test_the_next_step_of_a_batch_from_lot_to_fridge(factory):
    """The one button for what is in hand, at every step of the work."""
    method = factory.method(brine_min=30)
    batch = open_batch(method=method, lots=[factory.lot()], hand=factory.hand())
    assert verbs(factory) == ["Into brine"]
    brine = make_brine(code="B1", salt_g=Decimal(600), water_g=Decimal(9400), hand=factory.hand())
    into_brine(batch=batch, brine=brine, hand=factory.hand(minutes=1))
    assert verbs(factory) == ["Out of brine"]
    out_of_brine(batch=batch, rinsed=True, dried=True, hand=factory.hand(minutes=30))
    assert verbs(factory) == ["Seal bags"]
    bags = seal_bags(
        batch=batch, count=2, thickness_mm=Decimal(25), start_c=Decimal(5), hand=factory.hand(minutes=1)
    )
    assert verbs(factory) == ["Bag in"]
    log = start(factory)
    cooking.bags_into_bath(bags=bags, bath_log=log, hand=factory.hand(minutes=1))
    assert verbs(factory) == ["Read", "Bag out"]
    for _ in range(6):
        factory.pass_time(25)
        factory.read(log, "64.0")
    cooking.bags_out_of_bath(bags=bags, hand=factory.hand(minutes=20))
    assert verbs(factory)[0] == "Into ice"
    ice = factory.chiller()
    into_chiller(bags=bags, chiller=ice, hand=factory.hand(minutes=2))
    assert "Probe core" in verbs(factory)
    factory.pass_time(60)
    probe_one(factory, bags[0], ice)
    found = {line.verb: line.what for line in lines(factory)}
    assert found["Probe core"].startswith("Bag 2 ")
    assert found["Into fridge"].startswith("Bag 1 ")
    probe_one(factory, bags[1], ice)
    assert "Probe core" not in verbs(factory)
    out_of_chiller(bags=bags, hand=factory.hand(minutes=1))
    assert "Into fridge" in verbs(factory)


def test_bag_out_is_due_at_the_later_of_the_proven_hold_and_the_methods_time(factory):
    batch = factory.batch(bags=1, bath_min=180)
    log = start(factory)
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())
    went_in = factory.now
    line = next(line for line in lines(factory) if line.verb == "Bag out")
    assert line.due == went_in + timedelta(minutes=180)
    assert line.note.startswith("hold proven ")
    assert "Bag 1" in line.what
    assert line.where == "Bath 1"


def test_bag_out_follows_the_hold_where_that_takes_longer(factory):
    batch = factory.batch(bags=1, bath_min=180)
    log = start(factory)
    for _ in range(2):  # a bath that sags below the list's lowest row holds nothing while it does
        factory.read(log, "57.0")
        if not _:
            cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())
        factory.pass_time(150)
    factory.read(log, "64.0")
    in_hand = snapshot(factory.site, factory.now).batches[0]
    found = in_hand.found(in_hand.now.bags[1])
    line = next(line for line in lines(factory) if line.verb == "Bag out")
    assert found.hold_until > factory.now
    assert line.due == found.hold_until


def test_readings_become_due_and_overdue(factory):
    log = start(factory)
    (line,) = lines(factory)
    assert (line.what, line.verb) == ("Bath 1", "Read")
    assert line.due == factory.now + timedelta(minutes=log.bath.every_min)
    factory.pass_time(45)
    (place,) = snapshot(factory.site, factory.now).baths
    assert place.overdue
    assert place.age == "45 min"


def test_bags_in_a_bath_that_nobody_read_ask_for_a_reading_at_once(factory):
    batch = factory.batch(bags=1)
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(64), hand=factory.hand())
    assert next(line for line in lines(factory) if line.verb == "Read").due > factory.now
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())
    assert next(line for line in lines(factory) if line.verb == "Read").due <= factory.now


def test_an_empty_chiller_or_fridge_asks_for_no_reading(factory):
    factory.chiller()
    factory.fridge()
    assert lines(factory) == []


def test_overdue_comes_first_then_what_can_be_done_now_then_what_comes(factory):
    factory.batch(bags=1)  # waits for a bath
    start(factory)  # due in 30 min
    assert verbs(factory) == ["Bag in", "Read"]
    factory.pass_time(40)
    assert verbs(factory) == ["Read", "Bag in"]


def test_use_by_today_is_to_be_served_and_past_it_to_be_discarded(factory):
    batch = factory.chilled(bags=1)
    assert "Serve" not in verbs(factory)
    in_hand = snapshot(factory.site, factory.now).batches[0]
    last = in_hand.found(in_hand.now.bags[1]).use_by
    factory.pass_time((last - batch.made_on).days * 24 * 60)
    line = next(line for line in lines(factory) if line.verb == "Serve")
    assert line.note == "use-by today"
    factory.pass_time(24 * 60)
    assert "Discard" in verbs(factory)
    finish_bags(bags=list(batch.bags.all()), kind="discarded", note="use-by", hand=factory.hand())
    assert snapshot(factory.site, factory.now).batches == ()


def test_a_failed_limit_stands_there_for_the_head_chef(as_cook, as_chef, factory):
    batch = factory.cooked(bags=1, minutes=15)
    page = words(as_cook.get("/bench/"))
    assert "The head chef decides." in page
    assert batch.code in page


def test_what_the_head_chef_decided_to_discard_is_to_be_discarded(factory):
    batch = factory.cooked(bags=2, minutes=15)
    bags = list(batch.bags.all())
    decide(bags=bags[:1], decision="discard", reason="cooked too short", hand=factory.hand(factory.chef))
    line = next(line for line in lines(factory) if line.verb == "Discard")
    assert line.what.startswith("Bag 1 ")
    assert line.note == "the head chef decided"
    finish_bags(bags=bags[:1], kind="discarded", note="cooked too short", hand=factory.hand())
    assert "Discard" not in verbs(factory)


def test_at_most_five_lines_are_shown(as_cook, factory):
    for number in range(7):
        start(factory, name=f"Bath {number}")
    page = words(as_cook.get("/bench/"))
    assert page.count('class="button large"') == 5
    assert "2 more after these." in page


def test_a_bath_shows_its_reading_its_band_and_a_word(as_cook, factory):
    log = start(factory)
    factory.read(log, "62.9")
    page = words(as_cook.get("/bench/")).replace("\u202f", " ")
    assert "62.9 °C" in page
    assert "below its band" in page
    assert "63.5–64.5 °C" in page


def test_the_picture_has_a_lane_for_each_place_in_use(as_cook, factory):
    batch = factory.batch(bags=3)
    log = start(factory)
    factory.bath("Bath 2")
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())
    page = words(as_cook.get("/bench/"))
    assert "Bags 1 to 3 · Chicken breast" in page
    picture = page[page.index("<svg") : page.index("</svg>")]
    assert "Bath 1" in picture
    assert "Bath 2" not in picture


def test_another_kitchen_sees_nothing_of_it(as_stranger, factory):
    factory.batch(bags=1)
    start(factory)
    page = words(as_stranger.get("/bench/"))
    assert "Chicken breast" not in page
    assert "Bath 1" not in page


def test_signed_out_there_is_no_bench(client, factory):
    assert client.get("/bench/").status_code == 302


def _queries(client, address):
    client.get(address)
    with CaptureQueriesContext(
        connection,
    ) as seen:
        assert client.get(address).status_code == 200
    return len(seen)


def test_the_queries_do_not_grow_with_the_bags(as_cook, factory):
    few = factory.batch(bags=1)
    log = start(factory)
    cooking.bags_into_bath(bags=list(few.bags.all()), bath_log=log, hand=factory.hand())
    with_one = _queries(as_cook, "/bench/")
    many = open_batch(method=few.method, lots=[factory.lot("L2")], hand=factory.hand())
    bags = seal_bags(
        batch=many, count=40, thickness_mm=Decimal(25), start_c=Decimal(5), hand=factory.hand(minutes=1)
    )
    cooking.bags_into_bath(bags=bags[:20], bath_log=log, hand=factory.hand())
    assert _queries(as_cook, "/bench/") == with_one
    assert with_one <= 10
