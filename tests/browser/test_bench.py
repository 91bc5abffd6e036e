"""The Bench in Chromium: touches counted, slips asked about, double taps harmless, lying and upright."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings

from kitchen.base import moments
from kitchen.cooking import actions as cooking
from kitchen.cooking.models import BagIn, BathReading
from kitchen.ledger.models import Entry

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LYING, UPRIGHT = {"width": 1180, "height": 820}, {"width": 820, "height": 1180}


@pytest.fixture
def now_factory(transactional_db, factory):
    """The factory, its clock at two hours ago."""
    factory.now = moments.now()
    factory.pass_time(-120)
    return factory


@pytest.fixture
def log(now_factory):
    """Bath 1 at 60 °C, read a minute ago; its next reading is not due yet."""
    log = cooking.start_bath(
        bath=now_factory.bath(), set_point_c=Decimal(60), hand=now_factory.hand(minutes=1)
    )
    now_factory.pass_time(110)
    now_factory.read(log, "60.0")
    return log


@pytest.fixture
def batch(now_factory, log):
    """Three sealed bags for that bath."""
    return now_factory.batch(bags=3)


@pytest.fixture
def sign_in(client, live_server):
    """Give a browser context the session of the cook."""

    def sign(context, cook):
        client.force_login(cook)
        key = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": key, "url": live_server.url}])

    return sign


@pytest.fixture
def bench(browser, live_server, now_factory, sign_in):
    """Open pages of the Bench on a tablet; a page's own errors fail the test."""
    contexts, problems = [], []

    def open_at(path="/bench/", size=LYING, **options):
        context = browser.new_context(viewport=size, has_touch=True, **options)
        contexts.append(context)
        sign_in(context, now_factory.cook)
        page = context.new_page()
        page.set_default_timeout(8000)
        page.on("pageerror", lambda error: problems.append(str(error)))
        page.goto(live_server.url + path)
        return page

    yield open_at
    for context in contexts:
        context.close()
    assert problems == []


class Touches:
    """Counts every touch but the digits of a figure."""

    def __init__(self, page):
        self.page, self.count = page, 0

    def on(self, locator):
        locator.tap()
        self.count += 1

    def figure(self, text):
        for sign in text:
            self.page.locator(f'dialog [data-key="{sign}"]').tap()

    def keep(self):
        self.on(self.page.locator('dialog [data-do="keep"]'))


def place(page, name):
    return page.locator(".place", has=page.get_by_role("heading", name=name, exact=True))


def test_a_bath_reading_takes_at_most_three_touches(bench, log):
    page = bench()
    touch = Touches(page)
    touch.on(place(page, "Bath 1").get_by_role("link", name="Read Bath 1"))
    touch.figure("60.2")
    touch.keep()
    page.get_by_text("Bath 1 at 60.2 °C kept: in its band.").wait_for()
    assert page.url.endswith("/bench/")
    assert touch.count <= 3
    assert BathReading.objects.latest("pk").celsius == Decimal("60.2")


def test_a_bag_in_takes_at_most_four_touches(bench, batch, now_factory):
    cooking.start_bath(bath=now_factory.bath("Bath 2"), set_point_c=Decimal(64), hand=now_factory.hand())
    page = bench()
    touch = Touches(page)
    touch.on(page.locator(".next").get_by_role("link", name=re.compile("Bag in")))
    touch.on(page.get_by_role("button", name="Bag in"))
    page.get_by_text("Bags 1 to 3 into Bath 2.").wait_for()
    assert touch.count <= 4
    assert BagIn.objects.count() == 3


def test_a_core_check_takes_at_most_four_touches(bench, batch, now_factory, log):
    bags = list(batch.bags.all())
    cooking.bags_into_bath(bags=bags, bath_log=log, hand=now_factory.hand())
    cooking.check_core(
        bag=bags[0], step="cook", celsius=Decimal(30), probe=now_factory.probe(), hand=now_factory.hand()
    )
    page = bench(f"/bench/{batch.code}/1/")
    touch = Touches(page)
    touch.on(page.get_by_role("link", name="Probe core"))
    touch.figure("55.1")
    touch.keep()
    page.get_by_text("Core of bag 1 at 55.1 °C kept.").wait_for()
    # From the Bench it is one touch more: the bar of the bag.
    assert touch.count + 1 <= 4


def test_600_is_asked_about_and_60_0_is_one_touch_away(bench, log):
    page = bench(f"/bench/logs/{log.pk}/read/")
    touch = Touches(page)
    touch.figure("600")
    touch.keep()
    page.get_by_text("600 °C? Did you mean 60.0 °C?").wait_for()
    touch.on(page.locator('dialog [data-do="meant"]'))
    touch.keep()
    page.get_by_text("Bath 1 at 60.0 °C kept").wait_for()
    assert BathReading.objects.count() == 2


def test_what_the_cook_keeps_all_the_same_is_asked_about_once(bench, log):
    page = bench(f"/bench/logs/{log.pk}/read/")
    touch = Touches(page)
    touch.figure("41.5")
    touch.keep()
    page.get_by_role("button", name="Keep 41.5 °C").tap()
    page.get_by_text("Bath 1 at 41.5 °C kept: below its band.").wait_for()


def test_without_script_a_slip_is_asked_about_and_kept_when_confirmed(bench, log):
    page = bench(java_script_enabled=False)
    place(page, "Bath 1").get_by_role("link", name="Read Bath 1").tap()
    page.get_by_label("Bath 1").fill("140")
    page.get_by_role("button", name="Keep").tap()
    page.get_by_text("Did you mean 60.0 °C (typed in °F)?").wait_for()
    assert page.get_by_label("Bath 1").input_value() == "140"
    page.get_by_label("Bath 1").fill("140 F")
    page.get_by_role("button", name="Keep").tap()
    page.get_by_text("Bath 1 at 60.0 °C kept: in its band.").wait_for()


def test_a_double_tap_keeps_one_entry(bench, batch, now_factory):
    cooking.start_bath(bath=now_factory.bath("Bath 2"), set_point_c=Decimal(64), hand=now_factory.hand())
    page = bench(f"/bench/{batch.code}/in/")
    page.get_by_role("button", name="Bag in").dblclick()
    page.get_by_text("Bags 1 to 3 into Bath 2.").wait_for()
    assert Entry.objects.filter(kind="bags.in").count() == 1


def test_back_and_sent_again_keeps_one_entry(bench, batch, now_factory):
    cooking.start_bath(bath=now_factory.bath("Bath 2"), set_point_c=Decimal(64), hand=now_factory.hand())
    page = bench(f"/bench/{batch.code}/in/")
    page.get_by_role("button", name="Bag in").tap()
    page.get_by_text("Bags 1 to 3 into Bath 2.").wait_for()
    page.go_back()
    page.get_by_role("button", name="Bag in").tap()
    # The form either comes back as it was left, with its id, or anew, and then the bags are in already.
    page.get_by_text(re.compile("Bags 1 to 3 into Bath 2.|Bag 1 is in Bath 2 already.")).wait_for()
    page.wait_for_load_state("networkidle")
    assert Entry.objects.filter(kind="bags.in").count() == 1
    assert BagIn.objects.count() == 3


def test_a_batch_from_its_lot_into_the_bath(bench, now_factory, log):
    now_factory.lot("SP-1182")
    now_factory.method()
    second = cooking.start_bath(
        bath=now_factory.bath("Bath 2"), set_point_c=Decimal(64), hand=now_factory.hand()
    )
    now_factory.read(second, "64.0")
    page = bench()
    page.get_by_role("link", name="New batch").tap()
    page.get_by_role("link", name="Choose Chicken breast").tap()
    page.get_by_text("chicken breast, lot SP-1182").tap()
    page.get_by_role("button", name="Begin the batch").tap()
    page.get_by_role("link", name="Seal bags").tap()
    touch = Touches(page)
    for label, figure in (
        ("How many", "4"),
        ("Thickness at the thickest place", "24"),
        ("Temperature of the food", "4.5"),
    ):
        page.get_by_label(label).tap()
        touch.figure(figure)
        touch.keep()
    page.get_by_role("button", name="Seal bags").tap()
    page.get_by_text("Bags 1 to 4 sealed.").wait_for()
    page.get_by_role("link", name="Bag in").tap()
    page.get_by_role("button", name="Bag in").tap()
    page.get_by_text("Bags 1 to 4 into Bath 2.").wait_for()
    page.get_by_role("link", name="Bag 1", exact=True).tap()
    count_down = page.locator(".number.huge time")
    assert re.fullmatch(r"\d+ h \d\d", count_down.inner_text())
    assert page.locator("svg.chart").is_visible()


def test_the_bench_keeps_itself_fresh(bench, log, now_factory):
    page = bench()
    page.clock.install()
    page.reload()
    assert "60.0 °C" in place(page, "Bath 1").inner_text()
    now_factory.pass_time(1)
    now_factory.read(log, "58.8")
    page.clock.fast_forward("01:01")
    place(page, "Bath 1").get_by_text("58.8 °C").wait_for()
    assert page.locator("svg.lanes").count() == 1


@pytest.mark.parametrize("size", [LYING, UPRIGHT], ids=["lying", "upright"])
def test_every_page_fits_and_can_be_touched_and_heard(bench, batch, now_factory, log, size):
    bags = list(batch.bags.all())
    cooking.bags_into_bath(bags=bags[:2], bath_log=log, hand=now_factory.hand())
    now_factory.chiller()
    now_factory.fridge()
    entry = Entry.objects.filter(kind="bags.in").get()
    page = bench(size=size)
    base = page.url.removesuffix("/bench/")
    wrong = {}
    for path in (
        "/bench/",
        "/bench/new/",
        f"/bench/new/{batch.method_id}/",
        f"/bench/{batch.code}/",
        f"/bench/{batch.code}/1/",
        f"/bench/{batch.code}/seal/",
        f"/bench/{batch.code}/in/",
        f"/bench/{batch.code}/out/",
        f"/bench/{batch.code}/core/",
        f"/bench/{batch.code}/brine-in/",
        f"/bench/{batch.code}/entry/{entry.pk}/",
        f"/bench/logs/{log.pk}/read/",
    ):
        page.goto(base + path)
        if page.locator("dialog[open]").count():
            page.locator('dialog [data-do="cancel"]').tap()
        wrong[path] = [
            *page.evaluate(OVERFLOW),
            *page.evaluate(SMALL),
            *[each["id"] for each in Axe().run(page).response["violations"]],
            *([] if page.locator("h1").count() == 1 else ["not one h1"]),
        ]
    assert {path: found for path, found in wrong.items() if found} == {}


OVERFLOW = "document.documentElement.scrollWidth > innerWidth ? ['overflow'] : []"
# Whatever can be touched is 48 px high; a box's or a ring's label counts with it.
SMALL = """[...document.querySelectorAll('main button, .button, main a, main label:has(input)')]
  .filter(each => each.checkVisibility())
  .filter(each => each.matches('button, .button, label') || !each.closest('p, figure'))
  .map(each => [each.textContent.trim().slice(0, 30), each.getBoundingClientRect().height])
  .filter(([, height]) => height < 47.5).map(each => each.join(' '))"""
