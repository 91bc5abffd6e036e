"""What the tests of a tablet without network share."""

from __future__ import annotations

from decimal import Decimal

import pytest

from kitchen.base import moments
from kitchen.cooking import actions as cooking
from tests.browser.offline_tablet import LYING, Tablet


@pytest.fixture
def kitchen(transactional_db, factory):
    """The factory, its clock at two hours ago."""
    factory.now = moments.now()
    factory.pass_time(-120)
    return factory


@pytest.fixture
def log(kitchen):
    """Bath 1 at 64 °C, read a minute ago."""
    log = cooking.start_bath(bath=kitchen.bath(), set_point_c=Decimal(64), hand=kitchen.hand(minutes=1))
    kitchen.pass_time(100)
    kitchen.read(log, "64.0")
    return log


@pytest.fixture
def batch(kitchen, log):
    """Three sealed bags for that bath."""
    return kitchen.batch(bags=3)


@pytest.fixture
def tablets(browser, live_server, kitchen):
    """Makes tablets; a page's own errors fail the test."""
    made: list[Tablet] = []

    def make(name="By the baths", **options):
        context = browser.new_context(viewport=LYING, **options)
        made.append(Tablet(context, live_server.url, kitchen, name))
        return made[-1]

    yield make
    for each in made:
        each.context.close()
    assert [error for each in made for error in each.errors] == []


@pytest.fixture
def tablet(tablets, batch):
    """One tablet that the cook signed in on while there was a network."""
    made = tablets()
    made.sign_in()
    return made
