"""A session that ends in the middle of a form: nothing is kept unsaid, nothing typed is lost."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from kitchen.ledger.models import Entry
from tests.kitchen.factory import CHEF_PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def sign_in(page):
    page.get_by_label("Sign-in name").fill("chef")
    page.get_by_label("Password").fill(CHEF_PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def test_what_was_typed_stands_in_the_form_again(transactional_db, factory, browser, live_server):
    context = browser.new_context(base_url=live_server.url)
    page = context.new_page()
    page.goto("/larder/lots/new/")
    sign_in(page)
    page.get_by_label("Product").fill("cod loin")
    page.get_by_label("Lot code").fill("TG-9")
    page.get_by_label("reject", exact=True).check()
    before = Entry.objects.count()
    context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Keep the delivery").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert Entry.objects.count() == before
    sign_in(page)
    expect(page.get_by_role("status")).to_contain_text("What you typed is back")
    assert page.get_by_label("Product").input_value() == "cod loin"
    assert page.get_by_label("Lot code").input_value() == "TG-9"
    assert page.get_by_label("reject", exact=True).is_checked()
    # Once only: the next form is empty.
    page.goto("/larder/lots/new/")
    assert page.get_by_label("Product").input_value() == ""
    context.close()
