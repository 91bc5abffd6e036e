"""The way of an outbox to the server, in Chromium: restarts, lost answers, two tablets, a wrong clock."""

from __future__ import annotations

import json
import re
from datetime import timedelta

import pytest
from django.http import HttpResponse
from playwright.sync_api import expect

from kitchen.base import moments
from kitchen.cooking.models import BagIn, BagOut, BathReading
from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify
from kitchen.offline import views
from kitchen.offline.arriving import Outbox
from kitchen.review import trail
from kitchen.review.held import Arrival, Held
from tests.browser.offline_tablet import LYING, Tablet

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
TEN = ("63.9", "64.1", "63.8", "64.0", "63.7", "64.2", "63.6", "64.3", "63.5", "64.4")

# Chromium without a window gives every site ten GiB whatever it is told: the refusal is put in its place.
NO_ROOM = """IDBObjectStore.prototype.add = () => {
  throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
};"""


def ten_readings(tablet, log, batch, second):
    """Ten entries over two batches: bags of both into the bath, eight readings between."""
    tablet.step(batch, "in", "Bag in", "1,2,3")
    for typed in TEN[:4]:
        tablet.read(log, typed)
    tablet.step(second, "in", "Bag in", "1,2")
    for typed in TEN[4:8]:
        tablet.read(log, typed)


def all_landed(kitchen):
    """All ten are there once, in their order, and the chain holds."""
    found = Entry.objects.filter(kind__in=("bags.in", "bath.read")).order_by("seq")
    kept = [each for each in found if Arrival.objects.filter(of=each.pk).exists()]
    kinds = ["bags.in", *["bath.read"] * 4, "bags.in", *["bath.read"] * 4]
    assert [each.kind for each in kept] == kinds
    assert [each.said["celsius"] for each in kept if each.kind == "bath.read"] == [
        f"{float(typed):g}" for typed in TEN[:8]
    ]
    assert [each.happened_at for each in kept] == sorted(each.happened_at for each in kept)
    assert Held.objects.count() == 0
    assert verify(kitchen.site).flaw is None


@pytest.fixture
def second(batch, kitchen):
    """Another batch, of two bags."""
    from kitchen.batches.actions import open_batch, seal_bags

    made = open_batch(method=batch.method, lots=[kitchen.lot("L2")], hand=kitchen.hand())
    seal_bags(batch=made, count=2, thickness_mm=25, start_c=5, hand=kitchen.hand(minutes=1))
    return made


@pytest.fixture
def server(monkeypatch):
    """Lets the server fail: `fails` is asked before and after each sending, and may answer in its place."""
    arrive = views._arrive

    class Server:
        before = after = staticmethod(lambda number: None)
        sendings = 0

    def failing(request):
        Server.sendings += 1
        number = Server.sendings
        return Server.before(number) or Server.after_of(number, arrive(request))

    Server.after_of = staticmethod(lambda number, answer: Server.after(number) or answer)
    monkeypatch.setattr(views, "_arrive", failing)
    return Server


def test_ten_entries_outlive_the_browser(
    tmp_path, browser_type, browser_type_launch_args, live_server, kitchen, log, batch, second
):
    def start():
        return browser_type.launch_persistent_context(tmp_path, viewport=LYING, **browser_type_launch_args)

    context = start()
    tablet = Tablet(context, live_server.url, kitchen)
    tablet.sign_in()
    context.set_offline(True)
    ten_readings(tablet, log, batch, second)
    context.close()

    tablet.context = context = start()
    context.set_offline(True)
    tablet.page = tablet.open_page()
    tablet.go("/bench/")
    expect(tablet.page.locator("[data-unsent-count]")).to_have_text("10 not sent")
    expect(tablet.page.locator("#pending li")).to_have_count(10)
    context.set_offline(False)
    tablet.all_sent()
    context.close()
    assert tablet.errors == []
    all_landed(kitchen)


def test_the_server_is_killed_in_the_middle_of_a_sending(second, tablet, log, batch, kitchen, monkeypatch):
    """After the fourth entry the process is gone: nothing is answered, what was written stays written."""
    one, done = Outbox._one, []

    def killed(self, raw):
        if len(done) == 4:
            done.append("killed")
            raise SystemError("killed")
        done.append(raw["id"])
        return one(self, raw)

    monkeypatch.setattr(Outbox, "_one", killed)
    with tablet.no_network():
        ten_readings(tablet, log, batch, second)
    tablet.page.wait_for_timeout(500)
    tablet.page.reload()
    tablet.all_sent()
    assert "killed" in done
    all_landed(kitchen)


def test_every_answer_is_lost_once(second, tablet, log, batch, kitchen, server):
    server.after = staticmethod(lambda number: HttpResponse(status=502) if number % 2 else None)
    with tablet.no_network():
        ten_readings(tablet, log, batch, second)
    expect(tablet.page.locator("[data-unsent-count]")).to_have_text("10 not sent")
    tablet.page.reload()
    tablet.all_sent()
    assert server.sendings >= 2
    all_landed(kitchen)


def test_an_answer_that_is_lost_on_the_way_of_a_form_makes_no_second_entry(tablet, log):
    """The form reached the server; its answer did not reach the tablet."""
    tablet.go(f"/bench/logs/{log.pk}/read/")

    def drop(route):
        route.fetch()
        route.abort()

    tablet.page.route(
        "**/read/", lambda route: drop(route) if route.request.method == "POST" else route.continue_()
    )
    tablet.pad("63.8")
    tablet.kept()
    tablet.all_sent()
    assert BathReading.objects.count() == 2


def test_signed_out_in_the_middle_of_a_sending(second, tablet, log, batch, kitchen, server):
    signed_out = HttpResponse('{"error": "Sign in"}', status=401, content_type="application/json")
    server.before = staticmethod(lambda number: signed_out if number == 1 else None)
    with tablet.no_network():
        ten_readings(tablet, log, batch, second)
    expect(tablet.page.get_by_role("link", name="Sign in to send")).to_be_visible()
    assert len(tablet.outbox()) == 10
    tablet.page.reload()
    tablet.all_sent()
    all_landed(kitchen)


def test_two_tablets_on_one_batch_land_in_the_order_of_what_happened(tablets, log, batch, kitchen):
    """The one that logged what happened later sends first."""
    first, other = tablets("By the baths"), tablets("At the pass")
    first.sign_in()
    other.sign_in()
    first.context.set_offline(True)
    other.context.set_offline(True)
    first.step(batch, "in", "Bag in", "1,2")
    other.step(batch, "out", "Bag out", "1,2")
    other.context.set_offline(False)
    other.all_sent()
    assert Held.objects.get().why == "Bag 1 is in no bath. Log when it went in first."
    first.context.set_offline(False)
    first.all_sent()
    assert BagIn.objects.count() == BagOut.objects.count() == 2
    assert Held.objects.get().withdrawn_by.said["how"] == "taken after what it waited for"
    words = [line.words for line in trail.lines(batch) if line.entry.kind in ("bags.in", "bags.out")]
    assert words == ["Bags 1 to 2 into Bath 1", "Bags 1 to 2 out of Bath 1"]
    assert verify(kitchen.site).flaw is None


def test_what_two_tablets_contradict_is_held_and_stands_on_the_bench(tablets, log, batch, kitchen):
    first, other = tablets("By the baths"), tablets("At the pass")
    for each in (first, other):
        each.sign_in()
        each.context.set_offline(True)
        each.step(batch, "in", "Bag in", "1,2")
    for each in (first, other):
        each.context.set_offline(False)
        each.all_sent()
    assert BagIn.objects.count() == 2
    assert Held.objects.get().why == "Bag 1 is in Bath 1 already."
    first.go("/bench/")
    expect(first.page.get_by_role("link", name="1 held")).to_be_visible()


def test_a_clock_that_is_one_hour_wrong_is_put_right(tablets, log, batch, kitchen):
    tablet = tablets()
    tablet.context.clock.install(time=moments.now() + timedelta(hours=1))
    tablet.sign_in()
    tablet.context.set_offline(True)
    before = moments.now()
    tablet.step(batch, "in", "Bag in", "1")
    (entry,) = tablet.outbox()
    assert 3_590_000 < entry["ahead_ms"] < 3_610_000
    tablet.context.set_offline(False)
    tablet.all_sent()
    came_in = BagIn.objects.get()
    assert before - timedelta(seconds=5) < came_in.at < moments.now()
    line = next(line for line in trail.lines(batch) if line.entry.kind == "bags.in")
    assert "its clock was 60 min ahead, which is put right here" in line.note


def test_no_room_on_the_tablet_is_said_and_nothing_is_pretended(tablet, log):
    tablet.page.add_init_script(NO_ROOM)
    tablet.go(f"/bench/logs/{log.pk}/read/")
    with tablet.no_network():
        tablet.pad("63.8")
        status = tablet.page.get_by_role("status")
        expect(status).to_contain_text("storage is full: nothing was kept")
        assert tablet.page.locator("#id_celsius").input_value() == "63.8"
        assert tablet.outbox() == []
    # With the network back the same form goes to the server at once.
    tablet.page.get_by_role("button", name="Keep").click()
    tablet.page.get_by_text("Bath 1 at 63.8 °C kept: in its band.").wait_for()
    assert BathReading.objects.count() == 2


def test_an_outbox_is_saved_as_a_file_and_read_in_elsewhere(tablets, tablet, log, kitchen):
    tablet.context.set_offline(True)
    tablet.read(log, "63.8")
    tablet.go("/outbox/")
    expect(tablet.page.locator("#outbox-list li")).to_contain_text("Read Bath 1: 63.8 °C")
    with tablet.page.expect_download() as saved:
        tablet.page.get_by_role("button", name="Save as a file").click()
    path = saved.value.path()
    assert len(json.loads(path.read_text())["entries"]) == 1
    office = tablets("Office")
    office.session_of(kitchen.chef)
    office.go("/outbox/")
    office.page.locator("#id_outbox").set_input_files(path)
    office.page.get_by_role("button", name="Read in").click()
    expect(office.page.get_by_text(re.compile("taken Bath 1 at 63.8 °C kept"))).to_be_visible()
    assert BathReading.objects.latest("pk").entry.person == kitchen.cook
    tablet.context.set_offline(False)
    tablet.all_sent()
    assert BathReading.objects.count() == 2
