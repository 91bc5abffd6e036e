"""The pages of a batch and of a bag."""

from decimal import Decimal

import pytest

from kitchen.batches.actions import open_batch
from kitchen.cooking import actions as cooking
from tests.kitchen.bench.sending import words

pytestmark = pytest.mark.usefixtures("on_time")


def in_bath(factory, minutes=20, bags=2):
    batch = factory.batch(bags=bags)
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(64), hand=factory.hand())
    factory.read(log, "64.0")
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=1))
    factory.pass_time(minutes)
    factory.read(log, "64.0")
    return batch


def test_a_batch_shows_its_bags_where_they_are_and_the_next_step_first(as_cook, factory):
    batch = in_bath(factory)
    page = words(as_cook.get(f"/bench/{batch.code}/"))
    assert page.count("in Bath 1") >= 2
    assert "Bag out" in page
    assert page.index("Bag out") < page.index("Probe core")
    assert "chicken breast" in page
    assert "bath.read" not in page


def test_a_batch_without_bags_is_to_be_sealed(as_cook, factory):
    batch = open_batch(method=factory.method(), lots=[factory.lot()], hand=factory.hand())
    page = words(as_cook.get(f"/bench/{batch.code}/"))
    assert "No bag is sealed yet." in page
    assert "Seal bags" in page
    assert "Bag out" not in page


def test_a_bag_counts_down_to_the_proven_end_of_its_hold(as_cook, factory):
    batch = in_bath(factory)
    page = words(as_cook.get(f"/bench/{batch.code}/2/"))
    assert "until the hold is proven, at <strong>" in page
    assert 'data-until="2026-11-16T' in page
    assert 'class="chart"' in page
    assert "45 min needed" in page
    assert f"/bench/{batch.code}/out/?bags=2" in page


def test_the_count_down_agrees_with_the_sentence_to_the_minute(as_cook, factory):
    import re

    batch = in_bath(factory)
    page = words(as_cook.get(f"/bench/{batch.code}/1/"))
    shown = re.search(r"until the hold is proven, at <strong>(\d\d:\d\d)", page).group(1)
    said = re.search(r"Keep it in the bath until (\d\d:\d\d)", page).group(1)
    assert shown == said


def test_a_bag_whose_hold_was_proven_says_when(as_cook, factory):
    batch = factory.cooked(bags=1)
    page = words(as_cook.get(f"/bench/{batch.code}/1/"))
    assert "The hold was proven at <strong" in page
    assert "Into ice" in page


def test_a_bag_that_was_cooked_too_short_says_so(as_cook, factory):
    batch = factory.cooked(bags=1, minutes=15)
    page = words(as_cook.get(f"/bench/{batch.code}/1/"))
    assert "The hold is not proven." in page


def test_a_sealed_bag_has_no_curve(as_cook, factory):
    batch = factory.batch(bags=1)
    page = words(as_cook.get(f"/bench/{batch.code}/1/"))
    assert 'class="chart"' not in page
    assert "Bag in" in page


def test_what_is_not_there_is_not_there(as_cook, as_stranger, factory):
    batch = factory.batch(bags=1)
    as_cook.force_login(factory.cook)
    assert as_cook.get(f"/bench/{batch.code}/2/").status_code == 404
    assert as_cook.get("/bench/TK-000000-A/").status_code == 404
    as_stranger.force_login(factory.stranger)
    assert as_stranger.get(f"/bench/{batch.code}/").status_code == 404
    assert as_stranger.get(f"/bench/{batch.code}/1/").status_code == 404
    assert as_stranger.get(f"/bench/{batch.code}/in/").status_code == 404


def test_back_leads_to_a_page_of_ours_only(as_cook, factory):
    batch = factory.batch(bags=1)
    ours = words(as_cook.get(f"/bench/{batch.code}/in/?back=/bench/"))
    assert 'href="/bench/">Back' in ours
    for elsewhere in (
        "https://elsewhere.test/",
        "//elsewhere.test/",
        "javascript:alert(1)",
        "/\\elsewhere.test",
    ):
        page = words(as_cook.get(f"/bench/{batch.code}/in/", {"back": elsewhere}))
        assert f'href="/bench/{batch.code}/">Back' in page
        assert "elsewhere" not in page


def test_bags_named_in_the_address_are_ticked(as_cook, factory):
    batch = factory.batch(bags=3)
    page = words(as_cook.get(f"/bench/{batch.code}/in/?bags=2,x,999999999"))
    assert page.count("checked") == 1
