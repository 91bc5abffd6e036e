"""A tablet in Chromium that is enrolled, signed in and has kept what it needs; its network comes and goes."""

from __future__ import annotations

import re
import time
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.core.signing import get_cookie_signer
from django.test import Client

from kitchen.people.actions import enrol_tablet
from kitchen.people.sign_in import COOKIE

LYING, UPRIGHT = {"width": 1180, "height": 820}, {"width": 820, "height": 1180}
OUTBOX = """async () => {
  const base = await new Promise((done) => {
    const asked = indexedDB.open('bathbook', 1);
    asked.onsuccess = () => done(asked.result);
  });
  return await new Promise((done) => {
    const asked = base.transaction('outbox').objectStore('outbox').getAll();
    asked.onsuccess = () => done(asked.result);
  });
}"""
KEPT = "async () => (await (await caches.open('pages')).keys()).map((each) => new URL(each.url).pathname)"


class Tablet:
    """One browser context; its pages are those of one tablet."""

    def __init__(self, context: Any, url: str, factory: Any, name: str = "By the baths") -> None:
        self.context, self.url, self.factory = context, url, factory
        self.errors: list[str] = []
        enrolled = enrol_tablet(name=name, hand=factory.hand(factory.chef))
        signed = get_cookie_signer(salt=COOKIE).sign(str(enrolled.pk))
        context.add_cookies([{"name": COOKIE, "value": signed, "url": url, "expires": time.time() + 43_200}])
        self.page = self.open_page()

    def open_page(self) -> Any:
        """A page whose own errors fail the test."""
        page = self.context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        return page

    def session_of(self, person: Any) -> None:
        """Sign a person in, as if they had done so a moment ago."""
        client = Client()
        client.force_login(person)
        key, until = client.cookies[settings.SESSION_COOKIE_NAME].value, time.time() + 43_200
        cookie = {"name": settings.SESSION_COOKIE_NAME, "value": key, "url": self.url, "expires": until}
        self.context.add_cookies([cookie])

    def sign_in(self, person: Any = None) -> None:
        """Sign in and wait until what is needed without network is kept."""
        self.session_of(person or self.factory.cook)
        self.go("/bench/")
        self.all_kept()

    def all_kept(self) -> None:
        """Wait until the worker has kept the pages."""
        self.page.wait_for_selector("html[data-pages-kept]", state="attached", timeout=30_000)

    def go(self, path: str) -> None:
        """Open an address."""
        self.page.goto(self.url + path)

    @contextmanager
    def no_network(self):
        """The network is away; it comes back after."""
        self.context.set_offline(True)
        yield
        self.context.set_offline(False)

    def pad(self, typed: str) -> None:
        """Type a figure on the open pad, and keep it."""
        for sign in typed:
            self.page.locator(f'dialog[open] [data-key="{sign}"]').click()
        self.page.locator('dialog[open] [data-do="keep"]').click()

    def type_code(self, code: str) -> None:
        """Pick the cook's name and type a code."""
        self.page.locator(".people").get_by_text("Ben Test").click()
        self.pad(code)

    def read(self, log: Any, typed: str) -> None:
        """Read a bath, and go back to the Bench."""
        self.go(f"/bench/logs/{log.pk}/read/")
        self.pad(typed)
        self.kept()

    def kept(self) -> None:
        """The cook reads that it is kept."""
        self.page.get_by_role("status").get_by_text(
            re.compile("Kept on this tablet, not sent yet")
        ).wait_for()

    def step(self, batch: Any, slug: str, button: str, bags: str = "") -> None:
        """One step of a batch's bags."""
        self.go(f"/bench/{batch.code}/{slug}/{f'?bags={bags}' if bags else ''}")
        self.page.locator("main").get_by_role("button", name=button, exact=True).click()
        self.kept()

    def outbox(self) -> list[dict[str, Any]]:
        """What waits on the tablet."""
        return self.page.evaluate(OUTBOX)

    def all_sent(self) -> None:
        """Wait until nothing waits any more."""
        self.page.locator("[data-unsent-count]", has_text="all sent").wait_for(timeout=30_000)
