"""Every page of a kitchen at work can be used by everyone: no fault of axe, focus in sight, 48 px to touch.

axe-core's rules are the outside judge; 48 px is our own choice, above the 44 px of WCAG 2.2, 2.5.5 (from
memory).
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings

from kitchen.base import moments
from kitchen.batches.actions import open_batch, seal_bags
from kitchen.brining.actions import make_brine
from kitchen.cooking import actions as cooking
from kitchen.review.landing import quiet

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SIZES = {"lying": {"width": 1180, "height": 820}, "upright": {"width": 820, "height": 1180}}
PAGES = """
/bench/ /bench/new/ /bench/{cold}/ /bench/{cold}/1/ /bench/{hot}/ /bench/{hot}/1/ /bench/{hot}/out/
/bench/{hot}/core/ /bench/{cold}/serve/ /bench/brines/new/ /pass/ /pass/{cold}/ /file/ /file/{cold}/
/larder/ /larder/lots/new/ /larder/lots/{lot}/close/ /larder/import/ /larder/probes/check/ /larder/people/
/larder/people/new/ /larder/tablets/ /larder/methods/ /larder/methods/new/
"""
# What can be touched and is lower than 48 px; a box or a ring counts with its label.
SMALL = """[...document.querySelectorAll(
  'button, .button, summary, input, select, textarea, main li > a, td > a')]
  .filter(each => each.checkVisibility() && each.type !== 'hidden')
  .map(each => each.matches('[type=checkbox], [type=radio]') ? each.closest('label') ?? each : each)
  .map(each => [each.textContent.trim().slice(0, 30) || each.name, each.getBoundingClientRect().height])
  .filter(([, height]) => height && height < 47.5).map(each => each.join(' '))"""
# What the keyboard reaches and does not show that it did.
UNSEEN = """[...document.querySelectorAll('main a, main button, main input, main select, main summary')]
  .filter(each => each.checkVisibility() && !each.disabled && each.type !== 'hidden')
  .filter(each => {
    each.focus({ focusVisible: true });
    const style = getComputedStyle(each);
    const drawn = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
    return document.activeElement !== each || !drawn;
  })
  .map(each => each.outerHTML.slice(0, 80))"""
OVERFLOW = "document.documentElement.scrollWidth > innerWidth ? ['overflow'] : []"


@pytest.fixture
def kitchen(transactional_db, factory):
    """One batch in a fridge whose bath sagged, one in a bath, a brine, a lot past its use-by."""
    factory.now = moments.now() - timedelta(hours=9)
    with quiet():
        readings = [*["64"] * 4, *["55"] * 6, *["64"] * 2]
        cold = factory.chilled(bags=2, readings=readings)
        probe = factory.checked_probe("Bath 2 probe")
        log = cooking.start_bath(
            bath=factory.bath("Bath 2", probe=probe), set_point_c=Decimal(64), hand=factory.hand()
        )
        factory.read(log, "64.0")
        hot = open_batch(method=cold.method, lots=[factory.lot("L2")], hand=factory.hand())
        sealed = {"count": 3, "thickness_mm": Decimal(24), "start_c": Decimal(5)}
        bags = seal_bags(batch=hot, hand=factory.hand(minutes=2), **sealed)
        cooking.bags_into_bath(bags=bags, bath_log=log, hand=factory.hand(minutes=1))
        make_brine(code="B1", salt_g=Decimal(600), water_g=Decimal(9400), hand=factory.hand())
        old = factory.lot("old", use_by=(factory.now - timedelta(days=2)).date())
    return {"cold": cold.code, "hot": hot.code, "lot": old.pk}


@pytest.mark.parametrize("size", SIZES)
def test_every_page_can_be_seen_heard_and_touched(size, kitchen, browser, live_server, client, factory):
    client.force_login(factory.chef)
    key = client.cookies[settings.SESSION_COOKIE_NAME].value
    context = browser.new_context(viewport=SIZES[size], base_url=live_server.url)
    context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": key, "url": live_server.url}])
    page, wrong = context.new_page(), {}
    for address in PAGES.split():
        answer = page.goto(address.format(**kitchen))
        if page.locator("dialog[open]").count():
            page.locator('dialog [data-do="cancel"]').click()
        page.evaluate("document.querySelectorAll('main details').forEach(each => each.open = true)")
        found = [each["id"] for each in Axe().run(page).response["violations"]]
        found += [*page.evaluate(OVERFLOW), *page.evaluate(SMALL), *page.evaluate(UNSEEN)]
        if answer.status != 200 or page.locator("h1").count() != 1:
            found.append(f"status {answer.status}, or not one h1")
        wrong[address] = found
    context.close()
    assert {address: found for address, found in wrong.items() if found} == {}
