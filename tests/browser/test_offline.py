"""The Bench without network, in Chromium: nothing is lost, nothing twice, all in the order of the work."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from kitchen.cooking.models import BagIn, BagOut, BathReading
from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify
from kitchen.review.held import Held
from tests.browser.offline_tablet import LYING, UPRIGHT
from tests.kitchen.factory import COOK_CODE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def landed(kind):
    """The entries of a kind, in the order in which things happened."""
    return list(Entry.objects.filter(kind=kind).order_by("happened_at"))


def test_the_bench_starts_and_works_without_network(tablet, log, batch):
    with tablet.no_network():
        tablet.page.close()
        tablet.page = tablet.open_page()
        tablet.go("/")
        expect(tablet.page.get_by_role("heading", name="Bench")).to_be_visible()
        expect(tablet.page.locator("#no-network")).to_contain_text("No network. This page is as it was at")
        tablet.page.get_by_role("link", name="Read Bath 1").first.click()
        tablet.pad("63.9")
        tablet.kept()
        expect(tablet.page.locator("#pending li")).to_contain_text("Read Bath 1: 63.9 °C")
        expect(tablet.page.locator("[data-unsent-count]")).to_have_text("1 not sent")
        assert BathReading.objects.count() == 1
    tablet.all_sent()
    assert BathReading.objects.latest("pk").celsius == Decimal("63.9")
    assert tablet.outbox() == []


def test_a_page_that_is_not_kept_says_so(tablet):
    with tablet.no_network():
        tablet.go("/larder/")
        expect(tablet.page.get_by_role("heading", name="No network")).to_be_visible()
        tablet.page.get_by_role("link", name="To the Bench").click()
        expect(tablet.page.get_by_role("heading", name="Bench")).to_be_visible()


def test_a_batch_goes_through_its_steps_without_network(tablet, log, batch):
    with tablet.no_network():
        tablet.step(batch, "in", "Bag in", "1,3")
        tablet.read(log, "63.8")
        tablet.go(f"/bench/{batch.code}/1/")
        expect(tablet.page.locator("#pending li")).to_have_count(1)
        tablet.go(f"/bench/{batch.code}/2/")
        expect(tablet.page.locator("#pending")).to_have_count(0)
        tablet.step(batch, "out", "Bag out", "1")
        tablet.go(f"/bench/{batch.code}/")
        expect(tablet.page.locator("#pending li")).to_have_count(2)
    tablet.all_sent()
    assert sorted(BagIn.objects.values_list("bag__number", flat=True)) == [1, 3]
    assert list(BagOut.objects.values_list("bag__number", flat=True)) == [1]
    assert Held.objects.count() == 0


def test_bags_that_are_sealed_without_network_go_into_the_bath_at_once(tablet, log, batch):
    with tablet.no_network():
        tablet.go(f"/bench/{batch.code}/seal/")
        for label, figure in (
            ("How many", "2"),
            ("Thickness at the thickest place", "24"),
            ("Temperature of", "4.5"),
        ):
            tablet.page.get_by_label(label).click()
            tablet.pad(figure)
        tablet.page.get_by_role("button", name="Seal bags").click()
        tablet.kept()
        tablet.go(f"/bench/{batch.code}/in/?bags=1")
        tablet.page.get_by_text("Bag 5 · sealed, not sent; its number may change").click()
        tablet.page.get_by_role("button", name="Bag in").click()
        tablet.kept()
    tablet.all_sent()
    assert sorted(BagIn.objects.values_list("bag__number", flat=True)) == [1, 5]


def test_a_double_tap_without_network_keeps_one_entry(tablet, log, batch):
    with tablet.no_network():
        tablet.go(f"/bench/{batch.code}/in/")
        tablet.page.get_by_role("button", name="Bag in").dblclick()
        tablet.kept()
        assert len(tablet.outbox()) == 1
    tablet.all_sent()
    assert len(landed("bags.in")) == 1


def test_the_same_page_twice_makes_two_entries(tablet, log):
    with tablet.no_network():
        tablet.read(log, "63.8")
        tablet.read(log, "63.7")
        assert len({each["id"] for each in tablet.outbox()}) == 2
    tablet.all_sent()
    assert BathReading.objects.count() == 3


def test_signing_in_without_network_by_a_code_that_the_server_checks_later(tablet, log, kitchen):
    with tablet.no_network():
        tablet.page.get_by_role("button", name="Sign out").click()
        expect(tablet.page.get_by_role("heading", name="Who is at the bench?")).to_be_visible()
        tablet.type_code(COOK_CODE)
        expect(tablet.page.get_by_role("status")).to_contain_text("Ben Test at the bench.")
        tablet.read(log, "63.8")
        (entry,) = tablet.outbox()
        assert entry["token"] == ""
        assert COOK_CODE not in str(entry)
    tablet.session_of(kitchen.chef)
    tablet.go("/bench/")
    tablet.all_sent()
    assert landed("bath.read")[-1].person == kitchen.cook
    assert Held.objects.count() == 0


def test_a_wrong_code_without_network_makes_held_entries(tablet, log, kitchen):
    with tablet.no_network():
        tablet.page.get_by_role("button", name="Sign out").click()
        tablet.type_code("1234")
        expect(tablet.page.get_by_role("status")).to_contain_text("Ben Test at the bench.")
        tablet.read(log, "63.8")
    tablet.session_of(kitchen.chef)
    tablet.go("/bench/")
    tablet.all_sent()
    assert Held.objects.get().why == "The cook code that was typed for Ben Test does not match."
    assert BathReading.objects.count() == 1
    tablet.go("/bench/")
    tablet.page.get_by_role("link", name="1 held").click()
    tablet.page.get_by_role("link", name="Settle").click()
    tablet.page.get_by_role("button", name="Keep").click()
    expect(tablet.page.get_by_text("Bath 1 at 63.8 °C kept: in its band.")).to_be_visible()
    assert BathReading.objects.count() == 2
    assert verify(kitchen.site).flaw is None


def test_signed_out_meanwhile_nothing_is_lost(tablet, log, kitchen):
    with tablet.no_network():
        tablet.read(log, "63.8")
        tablet.context.clear_cookies(name="sessionid")
    tablet.page.get_by_role("link", name="Sign in to send").click()
    tablet.page.locator(".people").wait_for()
    assert len(tablet.outbox()) == 1
    tablet.type_code(COOK_CODE)
    tablet.all_sent()
    assert landed("bath.read")[-1].person == kitchen.cook


def test_a_session_that_ended_under_an_open_form_keeps_what_was_typed(tablet, log, kitchen):
    tablet.go(f"/bench/logs/{log.pk}/read/")
    tablet.context.clear_cookies(name="sessionid")
    tablet.pad("63.8")
    expect(tablet.page.get_by_role("heading", name=re.compile("Who is at the bench"))).to_be_visible()
    tablet.type_code(COOK_CODE)
    tablet.all_sent()
    assert BathReading.objects.count() == 2


@pytest.mark.parametrize("size", [LYING, UPRIGHT], ids=["lying", "upright"])
def test_every_page_of_the_outbox_can_be_seen_heard_and_touched(tablet, log, batch, kitchen, size):
    """axe-core is the outside judge."""
    tablet.page.set_viewport_size(size)
    wrong = {}

    def look(path):
        tablet.go(path)
        tablet.page.wait_for_timeout(200)
        found = [each["id"] for each in Axe().run(tablet.page).response["violations"]]
        wrong[path] = [*found, *tablet.page.evaluate(LARGE_AND_WITHIN)]

    with tablet.no_network():
        tablet.step(batch, "out", "Bag out", "1")
        look("/bench/")
        look(f"/bench/{batch.code}/")
        look("/outbox/")
        look("/larder/")
    tablet.session_of(kitchen.chef)
    tablet.go("/bench/")
    tablet.all_sent()
    look("/held/")
    look(f"/held/{Held.objects.get().of}/")
    assert {path: found for path, found in wrong.items() if found} == {}


LARGE_AND_WITHIN = """[...document.querySelectorAll('main button, .button, .unsent, main input, main label')]
  .filter((each) => each.checkVisibility() && each.type !== 'hidden')
  .map((each) => each.matches('[type=checkbox], [type=radio]') ? each.closest('label') : each)
  .filter((each) => !each.matches('label') || each.querySelector('input'))
  .map((each) => [each.textContent.trim().slice(0, 30), each.getBoundingClientRect().height])
  .filter(([, height]) => height < 47.5).map((each) => each.join(' '))
  .concat(document.documentElement.scrollWidth > innerWidth ? ['overflow'] : [])"""
