"""Whose limits apply at a site: its regime from a day on, and limits that the head chef puts in force."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kitchen.base.refusals import Refused
from kitchen.batches.actions import open_batch
from kitchen.batches.models import Batch
from kitchen.ledger.models import Entry
from kitchen.people.actions import change_regime, choose_limit
from kitchen.people.models import Site
from kitchen.people.regime import chosen_on, regime_on, rules_of
from kitchen.review.gather import gather
from kitchen.review.wording import say

pytestmark = pytest.mark.usefixtures("on_time")
TODAY = date(2026, 11, 16)
STRICT = "UK-COOK-STRICT-60"


def fresh(site):
    return Site.objects.get(pk=site.pk)


def begun(factory, dish, **method):
    """A batch that is begun now."""
    lot = factory.lot(code=dish)
    return open_batch(method=factory.method(dish=dish, **method), lots=[lot], hand=factory.hand())


def change(factory, regime="UK-SCT", day=TODAY, reason="Moved north."):
    return change_regime(regime=regime, from_day=day, reason=reason, hand=factory.hand(factory.chef))


def test_a_change_holds_from_its_day_and_a_batch_keeps_the_regime_of_its_own(factory):
    before = begun(factory, "First")
    change(factory, day=TODAY + timedelta(days=1))
    today = begun(factory, "Second")
    factory.pass_time(24 * 60)
    after = begun(factory, "Third")
    kept = [Batch.objects.get(pk=each.pk) for each in (before, today, after)]
    assert [each.regime for each in kept] == ["UK", "UK", "UK-SCT"]
    assert [gather(each, factory.now).regime for each in kept] == ["UK", "UK", "UK-SCT"]
    assert kept[2].rules.regime == "UK-SCT"
    site = fresh(factory.site)
    assert [regime_on(site, TODAY + timedelta(days=each)) for each in (0, 1, 2)] == ["UK", "UK-SCT", "UK-SCT"]


def test_a_batch_that_was_begun_on_the_day_of_the_change_before_it_keeps_its_regime(factory):
    before = begun(factory, "First")
    change(factory)
    after = begun(factory, "Second")
    assert (Batch.objects.get(pk=before.pk).regime, Batch.objects.get(pk=after.pk).regime) == ("UK", "UK-SCT")


def test_a_late_batch_of_a_day_before_the_change_is_judged_by_its_day(factory):
    change(factory)
    method, lot = factory.method(), factory.lot(at=factory.now - timedelta(days=1))
    batch = open_batch(method=method, lots=[lot], hand=factory.hand(), at=factory.now - timedelta(hours=20))
    assert (batch.made_on, batch.regime) == (TODAY - timedelta(days=1), "UK")


def test_a_later_change_that_begins_earlier_takes_the_place_of_the_one_to_come(factory):
    change(factory, "US-FDA", TODAY + timedelta(days=5))
    change(factory, "UK-SCT", TODAY + timedelta(days=2))
    site = fresh(factory.site)
    days = (TODAY, TODAY + timedelta(days=2), TODAY + timedelta(days=9))
    assert [regime_on(site, each) for each in days] == ["UK", "UK-SCT", "UK-SCT"]


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"regime": "XX"}, "from the list"),
        ({"day": TODAY - timedelta(days=1)}, "today or later"),
        ({"regime": "UK"}, "applies on that day already"),
        ({"reason": "  "}, "reason"),
    ],
)
def test_a_change_that_can_not_be_is_refused(factory, said, why):
    before = Entry.objects.count()
    with pytest.raises(Refused, match=why):
        change(factory, **said)
    assert Entry.objects.count() == before


def test_only_the_head_chef_chooses(factory, client, cook):
    with pytest.raises(Refused, match="head chef"):
        change_regime(regime="UK-SCT", from_day=TODAY, reason="No.", hand=factory.hand(factory.cook))
    client.force_login(cook)
    assert client.get("/larder/site/").status_code == 200
    for address in ("/larder/site/regime/", f"/law/{STRICT}/choose/"):
        assert client.get(address).status_code == 403
        assert client.post(address, {"reason": "x"}).status_code == 403


def test_the_page_asks_before_signed_methods_would_fail(as_chef, factory):
    # The US Food Code prints no row for poultry below 165 °F but the whole-muscle and USDA tables; a
    # method whose bath stands at 60.8 °C for three hours meets the UK list and is asked about there.
    factory.method(dish="Chicken breast")
    said = {"regime": "US-FDA", "from_day": "2026-11-16", "reason": "Moved west."}
    answer = as_chef.post("/larder/site/regime/", said)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Chicken breast, version 1 would fail there" in page
    assert not Entry.objects.filter(kind="site.regime").exists()
    assert as_chef.post("/larder/site/regime/", {**said, "sure": "on"}).status_code == 302
    site = as_chef.get("/larder/site/").content.decode()
    assert "United States, FDA Food Code" in site
    assert "Moved west." in site


def test_a_chosen_limit_is_in_force_for_what_is_begun_after(factory):
    before = begun(factory, "First")
    entry = choose_limit(
        limit=STRICT, on=True, reason="Our officer asks for it.", hand=factory.hand(factory.chef)
    )
    after = begun(factory, "Second", set_point_c="66", bath_min=400)
    ids = [{each.id for each in Batch.objects.get(pk=batch.pk).rules.rows} for batch in (before, after)]
    assert [STRICT in each for each in ids] == [False, True]
    assert say(entry) == f"Limit {STRICT} put in force: Our officer asks for it."
    site = fresh(factory.site)
    assert STRICT in {each.id for each in rules_of(site, TODAY).rows}
    assert chosen_on(site, TODAY - timedelta(days=1)) == frozenset()


def test_it_is_chosen_and_taken_out_through_its_page(as_chef, factory):
    page = as_chef.get(f"/law/{STRICT}/").content.decode()
    assert "Switched off here." in page
    address = f"/law/{STRICT}/choose/"
    assert as_chef.post(address, {"reason": ""}).status_code == 422
    assert as_chef.post(address, {"reason": "Asked for."}).status_code == 302
    page = as_chef.get(f"/law/{STRICT}/").content.decode()
    assert "In force here." in page
    assert "Asked for." in page
    assert "Put in force by the head chef." in as_chef.get("/law/").content.decode()
    assert as_chef.post(address, {"reason": "No longer."}).status_code == 302
    assert chosen_on(fresh(factory.site), TODAY) == frozenset()


def test_a_limit_that_is_on_anyway_is_not_chosen(as_chef, factory):
    assert as_chef.get("/law/UK-CHILL-8/choose/").status_code == 404
    with pytest.raises(Refused, match="ships switched off"):
        choose_limit(limit="UK-CHILL-8", on=True, reason="x", hand=factory.hand(factory.chef))
    with pytest.raises(Refused, match="not chosen already"):
        choose_limit(limit=STRICT, on=False, reason="x", hand=factory.hand(factory.chef))


def test_the_same_choice_sent_twice_is_one_entry(as_chef):
    said = {"reason": "Asked for.", "entry_id": "01936f3c-0000-7000-8000-00000000000a"}
    for _ in range(2):
        as_chef.post(f"/law/{STRICT}/choose/", said)
    assert Entry.objects.filter(kind="limit.choose").count() == 1


def test_what_one_site_chooses_is_nothing_to_another(factory, as_stranger):
    choose_limit(limit=STRICT, on=True, reason="Ours.", hand=factory.hand(factory.chef))
    change(factory)
    assert regime_on(fresh(factory.other_site), TODAY) == "UK"
    assert chosen_on(fresh(factory.other_site), TODAY) == frozenset()
    assert "Ours." not in as_stranger.get(f"/law/{STRICT}/").content.decode()


def test_a_limit_that_is_no_longer_in_the_data_is_left_out(factory):
    batch = factory.batch()
    Batch.objects.filter(pk=batch.pk).update(chosen=["GONE-ROW"])
    assert Batch.objects.get(pk=batch.pk).rules.digest == rules_of(fresh(factory.site), TODAY).digest
