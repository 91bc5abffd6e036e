"""The Pass and the File in Chromium: decide, act, sign with the password, print; lying and upright."""

from __future__ import annotations

import io
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from pypdf import PdfReader

from kitchen.base import moments
from kitchen.review.actions import decide
from kitchen.review.assessing import State, state
from kitchen.review.landing import quiet
from tests.kitchen.factory import CHEF_PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LYING, UPRIGHT = {"width": 1180, "height": 820}, {"width": 820, "height": 1180}


@pytest.fixture
def failing(transactional_db, factory):
    """Two bags whose bath sank to 55 °C: they came out half an hour ago."""
    factory.now = moments.now()
    factory.pass_time(-300)
    with quiet():
        return factory.cooked(bags=2, minutes=180, readings=["57", "56", *["55"] * 10])


@pytest.fixture(params=[LYING, UPRIGHT], ids=["lying", "upright"])
def tablet(request, browser, live_server, client, factory):
    """A tablet of the head chef; a page's own errors fail the test."""
    client.force_login(factory.chef)
    key = client.cookies[settings.SESSION_COOKIE_NAME].value
    context = browser.new_context(viewport=request.param, base_url=live_server.url)
    context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": key, "url": live_server.url}])
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    yield page
    context.close()
    assert [each for each in errors if "422" not in each] == []


def wide(page) -> int:
    """By how much a page must be moved sideways to be read."""
    return page.evaluate("document.documentElement.scrollWidth - window.innerWidth")


def test_from_the_list_to_the_decision_and_its_corrective_actions(tablet, failing):
    page = tablet
    page.goto("/pass/")
    assert wide(page) <= 0
    page.get_by_role("link", name=f"Look and decide {failing.code}").click()
    assert page.get_by_role("heading", level=1).inner_text() == failing.dish
    assert "wait for a decision" in page.locator(".hindrances").inner_text()
    assert wide(page) <= 0

    # Both failing bags are ticked already.
    page.get_by_label("discard").check()
    page.get_by_label("Reason").fill("Too cold for three hours.")
    page.get_by_role("button", name="Decide", exact=True).click()
    assert "Bags 1 and 2: discard." in page.get_by_role("status").inner_text()

    waiting = page.locator(".deviation", has=page.get_by_text("Say what was done about it"))
    for _ in range(waiting.count()):
        first = waiting.first
        if not first.get_by_label("Cause").is_visible():
            first.locator("summary").click()
        first.get_by_label("Cause").fill("The heater failed.")
        first.get_by_label("What was done about it").fill("Bags discarded.")
        first.get_by_role("button", name="Keep the corrective action").click()
        page.get_by_text("Corrective action kept.").wait_for()
    assert waiting.count() == 0
    assert "No corrective action yet" not in page.locator(".hindrances").inner_text()
    assert "log that it was" in page.locator(".hindrances").inner_text()


def test_signing_asks_for_the_password(tablet, transactional_db, factory):
    factory.now = moments.now()
    factory.pass_time(-360)
    with quiet():
        batch = factory.chilled()
        bags = list(batch.bags.all())
        decide(bags=bags, decision="release", reason="Read through.", hand=factory.hand(factory.chef))
    page = tablet
    page.goto(f"/pass/{batch.code}/")
    page.get_by_label("Your password, once more").fill("wrong")
    page.get_by_role("button", name="Sign off").click()
    assert page.get_by_label("Your password, once more").get_attribute("aria-invalid") == "true"
    page.get_by_label("Your password, once more").fill(CHEF_PASSWORD)
    page.get_by_role("button", name="Sign off").click()
    assert "This batch is closed." in page.locator("aside").inner_text()
    assert state(batch) == State.SIGNED
    page.goto("/pass/")
    signed = page.locator("details.signed")
    assert not signed.get_by_text("I have read this record").is_visible()
    signed.locator("summary").click()
    assert signed.get_by_text("I have read this record").is_visible()


def test_whose_limit_it_is_opens_at_a_touch(tablet, failing):
    page = tablet
    page.goto(f"/pass/{failing.code}/")
    limit = page.locator("details.limit").first
    limit.locator("summary").click()
    text = limit.inner_text()
    assert re.search(r"Source: .+ \((law|guidance|model code|research)\)", text)
    assert "last confirmed" in text


def test_the_file_prints_a_pdf(tablet, failing):
    page = tablet
    page.goto("/file/")
    assert wide(page) <= 0
    form = page.locator("form", has=page.get_by_role("button", name=f"Print batch record {failing.code}"))
    entry_id = form.locator("input[name=entry_id]").input_value()
    token = form.locator("input[name=csrfmiddlewaretoken]").input_value()
    response = page.request.post(
        form.get_attribute("action"),
        form={"entry_id": entry_id, "csrfmiddlewaretoken": token},
        headers={"Referer": page.url},
    )
    assert response.headers["content-type"] == "application/pdf"
    assert f"Batch record {failing.code}" in PdfReader(io.BytesIO(response.body())).pages[0].extract_text()


def test_every_page_can_be_used_by_everyone(tablet, failing):
    for address in ("/pass/", f"/pass/{failing.code}/", "/file/", f"/file/{failing.code}/"):
        tablet.goto(address)
        found = Axe().run(tablet)
        assert found.violations_count == 0, found.generate_report()
        for touched in tablet.locator("main button:visible, aside button:visible, summary:visible").all():
            box = touched.bounding_box()
            assert box
            assert box["height"] >= 48
