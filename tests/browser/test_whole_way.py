"""The whole way in Chromium, by the screens alone: from an empty kitchen to a signed batch and its PDF.

Everything is clicked and typed as people do; only the server's clock is moved. The kitchen, its food and
its figures are invented; that such a batch meets the limits is what the tests of haccp check outside.
"""

from __future__ import annotations

import io
import re

import pytest
from django.core.management import call_command
from playwright.sync_api import expect
from pypdf import PdfReader

from kitchen.base import moments
from tests.kitchen.factory import CHEF_PASSWORD, COOK_CODE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LYING, UPRIGHT = {"width": 1180, "height": 820}, {"width": 820, "height": 1180}


class Hands:
    """Someone at the tablet."""

    def __init__(self, page, factory):
        self.page, self.factory = page, factory

    def wait(self, minutes):
        """Let time pass, and look again."""
        self.factory.pass_time(minutes)
        self.page.reload()

    def go(self, *names):
        """Follow links by what they say."""
        for name in names:
            self.page.get_by_role("link", name=re.compile(f"^{name}")).first.click()

    def pad(self, typed):
        """Type a figure on the pad that is open, and keep it."""
        for sign in typed:
            self.page.locator(f'dialog[open] [data-key="{sign}"]').click()
        self.page.locator('dialog[open] [data-do="keep"]').click()

    def fill(self, **said):
        """Fill a form: figures by the pad, words by the keyboard, choices by their label."""
        for name, value in said.items():
            field = self.page.locator(f"#id_{name}")
            if not field.count() or field.evaluate("each => each.tagName") == "DIV":
                self.page.locator(f"[name={name}]").and_(self.page.get_by_label(value)).first.check()
            elif field.get_attribute("data-pad") is not None:
                field.click()
                self.pad(value)
            elif field.evaluate("each => each.tagName") == "SELECT":
                field.select_option(label=value)
            else:
                field.fill(value)

    def press(self, name, says=None):
        """Press a button and read what was kept."""
        self.page.get_by_role("button", name=name, exact=True).click()
        self.told(says or "kept")

    def told(self, says):
        """What the page says was kept; nothing lies beyond its right edge."""
        expect(self.page.get_by_role("status").first).to_contain_text(says)
        assert self.page.evaluate("document.documentElement.scrollWidth <= innerWidth")

    def read(self, place, typed, minutes=0):
        """Read a bath, a chiller or a fridge from the Bench."""
        self.factory.pass_time(minutes)
        self.go("Bench")
        self.go(f"Read {place}")
        self.pad(typed)
        self.told(place)

    def next(self, verb):
        """The step that comes next, from the Bench."""
        self.go("Bench")
        self.page.locator(".next").get_by_role("link", name=re.compile(verb)).first.click()

    def by_password(self):
        """Sign in as the head chef."""
        folded = self.page.locator("details:not([open]) > summary")
        if folded.count():
            folded.click()
        self.page.get_by_label("Sign-in name").fill("chef")
        self.page.get_by_label("Password").fill(CHEF_PASSWORD)
        self.page.locator(".password-sign-in").get_by_role("button", name="Sign in").click()
        expect(self.page.get_by_text("Ada Test")).to_be_visible()

    def sign_out(self):
        """Hand the tablet over."""
        self.page.get_by_role("button", name="Sign out").click()
        self.page.wait_for_url("**/sign-in/")

    def by_code(self):
        """Sign in as the cook."""
        self.page.get_by_text("Ben Test").click()
        self.pad(COOK_CODE)
        expect(self.page.get_by_role("heading", name="Bench")).to_be_visible()


@pytest.fixture(params=[LYING, UPRIGHT], ids=["lying", "upright"])
def hands(request, browser, live_server, transactional_db, factory, monkeypatch):
    """A tablet in a kitchen of which only the people are known; a page's own errors fail the test."""
    monkeypatch.setattr(moments, "now", lambda: factory.now)
    context = browser.new_context(viewport=request.param, base_url=live_server.url, accept_downloads=True)
    page = context.new_page()
    page.set_default_timeout(8000)
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto("/")
    yield Hands(page, factory)
    context.close()
    assert errors == []


def the_head_chef_fits_the_kitchen_out(hands):
    """Tablet, probes, bath, chiller, fridge, and the method with its signature."""
    hands.by_password()
    hands.go("Larder", "Tablets")
    hands.fill(name="By the baths")
    hands.page.get_by_role("button", name="Enrol this tablet").click()
    expect(hands.page.get_by_text("· the one in your hand")).to_be_visible()
    hands.go("Larder", "New probe")
    hands.fill(name="Needle", tolerance_k="0.3")
    hands.press("Take into use", "Needle")
    hands.go("Larder", "New bath")
    hands.fill(name="Bath 1", probe="Needle", every_min="30", volume_l="20", band_k="0.5")
    hands.press("Take into use", "Bath 1")
    hands.go("Larder", "New chiller")
    hands.fill(name="Ice slurry", probe="Needle", every_min="30")
    hands.press("Take into use", "Ice slurry")
    hands.go("Larder", "New fridge")
    hands.fill(name="Fridge 1", probe="Needle", every_min="720", low_c="0", high_c="3")
    hands.press("Take into use", "Fridge 1")
    hands.go("Larder", "New method")
    hands.fill(dish="Chicken breast", material="Poultry")
    hands.fill(attributes="poultry:")
    hands.fill(attributes="cook-chill:")
    hands.fill(thickness_mm="24", thickness_max_mm="28", thickness_tolerance_mm="1")
    hands.fill(start_max_c="8", set_point_c="64", bath_min="150", chill_medium="Ice slurry", life_days="5")
    hands.fill(brine_percent="6", brine_min="30")
    hands.press("Keep as a draft", "kept as a draft")
    hands.go("Sign")
    hands.fill(password=CHEF_PASSWORD)
    hands.press("Sign this version", "is signed")
    hands.sign_out()


def a_cook_takes_the_batch_to_the_bath(hands):
    """Lot, probe check, brine, new batch, into the brine and out of it, sealed, into the bath."""
    hands.by_code()
    hands.go("Larder", "Check a probe")
    hands.fill(medium="ice")
    hands.fill(celsius="0.1")
    hands.press("Keep the check", "meets the limit")
    hands.go("Larder", "Receive a lot")
    hands.fill(product="chicken breast", supplier="Saltmeadow Poultry", code="SP-7", material="Poultry")
    hands.fill(celsius="2.4", probe="Needle")
    hands.press("Keep the delivery")
    hands.go("Larder", "Make a brine")
    hands.fill(code="B1", salt_g="600", water_g="9400")
    hands.press("Keep the brine")
    hands.go("Bench", "New batch", "Choose Chicken breast")
    hands.page.get_by_text("chicken breast, lot SP-7").click()
    hands.press("Begin the batch", "begun")
    hands.next("Into brine")
    hands.page.get_by_text("B1:").click()
    hands.press("Into brine", "into brine B1")
    hands.factory.pass_time(30)
    hands.next("Out of brine")
    hands.page.get_by_label("Rinsed in cold running water").check()
    hands.press("Out of brine", "out of the brine")
    hands.next("Seal bags")
    hands.fill(count="3", thickness_mm="24", start_c="4.5")
    hands.press("Seal bags", "Bags 1 to 3 sealed.")
    hands.go("Bench", "Start Bath 1")
    hands.fill(set_point_c="64")
    hands.press("Start", "Bath 1")
    hands.read("Bath 1", "64.0", minutes=20)
    hands.next("Bag in")
    hands.press("Bag in", "Bags 1 to 3 into Bath 1.")
    hands.wait(1)
    expect(hands.page.locator(".in-hand")).to_contain_text("in the bath, hold proven")


def and_through_the_chill_into_the_fridge(hands):
    """Readings over the hours, a core, out, into ice, a core of each bag, into the fridge."""
    for typed in ("63.9", "64.1", "64.0", "63.8", "64.1"):
        hands.read("Bath 1", typed, minutes=29)
    hands.go("Chicken breast", "Bag 1$", "Probe core")
    hands.pad("63.7")
    hands.told("Core of bag 1 at 63.7 °C kept.")
    hands.factory.pass_time(4)
    hands.next("Bag out")
    hands.press("Bag out", "Bags 1 to 3 out of the bath.")
    hands.factory.pass_time(4)
    hands.next("Into ice")
    hands.press("Into ice", "into Ice slurry")
    hands.read("Ice slurry", "0.4", minutes=28)
    expect(hands.page.locator(".in-hand")).to_contain_text("chilling, 3 °C due by")
    for typed in ("0.6", "0.5"):
        hands.read("Ice slurry", typed, minutes=28)
    for number in (1, 2, 3):
        hands.go("Chicken breast", f"Bag {number}$", "Probe core")
        hands.pad(f"1.{number}")
        hands.told(f"Core of bag {number}")
        hands.go("Bench")
    hands.next("Into fridge")
    hands.press("Into fridge", "Bags 1 to 3 into Fridge 1.")
    hands.read("Fridge 1", "2.0", minutes=2)
    hands.sign_out()


def test_from_an_empty_kitchen_to_the_signed_record(hands, site):
    the_head_chef_fits_the_kitchen_out(hands)
    a_cook_takes_the_batch_to_the_bath(hands)
    and_through_the_chill_into_the_fridge(hands)
    page, code = hands.page, "TK-261116-A"
    hands.by_password()
    hands.go("Pass", f"Look {code}")
    expect(page.locator(".heading")).to_contain_text("meets limits")
    page.get_by_label("Your password, once more").fill(CHEF_PASSWORD)
    page.get_by_role("button", name="Sign off").click()
    expect(page.locator("aside")).to_contain_text("This batch is closed.")
    hands.go("Batch record")
    expect(page.locator("main")).to_contain_text("Nothing: the record is complete and signed.")
    printed = []

    def keep(route):
        """Chromium shows a PDF in a viewer of its own, so the answer is kept on its way there."""
        printed.append(route.fetch())
        route.fulfill(response=printed[-1])

    page.route("**/print/**", keep)
    page.get_by_role("button", name=f"Print batch record {code}").click()
    page.wait_for_url("**/print/**")
    assert printed[0].headers["content-type"] == "application/pdf"
    paper = "\n".join(each.extract_text() for each in PdfReader(io.BytesIO(printed[0].body())).pages)
    for fact in ("Chicken breast", "SP-7", "meets limits", "Ada Test", "Ben Test", code):
        assert fact in paper
    assert not re.search("unproven|fails limits|to review", paper.split("Bags 1 to 3")[0])
    said = io.StringIO()
    call_command("verify_records", stdout=said)
    assert re.search(r"Test kitchen: \d+ entries hold", said.getvalue())
