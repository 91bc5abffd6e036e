"""Appending: one chain per site, one entry however often it is sent."""

from datetime import timedelta
from decimal import Decimal
from itertools import pairwise

import pytest

from kitchen.base.ids import new_id
from kitchen.base.refusals import Refused
from kitchen.cooking import actions as cooking
from kitchen.cooking.models import BathReading
from kitchen.ledger.chain import Hand, genesis, head, record
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.verification import verify

pytestmark = pytest.mark.django_db


def test_each_entry_names_the_one_before(factory):
    factory.bath()
    entries = list(Entry.objects.of_site(factory.site))
    assert [each.seq for each in entries] == list(range(1, len(entries) + 1))
    assert entries[0].previous == genesis(factory.site)
    assert all(after.previous == before.digest for before, after in pairwise(entries))
    assert head(factory.site) == entries[-1]


def test_each_site_has_a_chain_of_its_own(factory):
    factory.bath()
    assert Entry.objects.of_site(factory.other_site).first().seq == 1
    assert verify(factory.site).flaw is None
    assert verify(factory.other_site).flaw is None


def test_a_resend_is_taken_once(factory):
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())
    hand = Hand(site=factory.site, person=factory.cook, now=factory.now, entry_id=new_id())
    first, second = (
        cooking.read_bath(bath_log=log, celsius=Decimal("60.1"), probe=log.bath.probe, hand=hand)
        for _ in range(2)
    )
    assert first == second
    assert BathReading.objects.count() == 1


def test_the_same_id_with_other_content_is_refused(factory):
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())
    hand = Hand(site=factory.site, person=factory.cook, now=factory.now, entry_id=new_id())
    cooking.read_bath(bath_log=log, celsius=Decimal("60.1"), probe=log.bath.probe, hand=hand)
    with pytest.raises(Refused, match="other content"):
        cooking.read_bath(bath_log=log, celsius=Decimal("59.1"), probe=log.bath.probe, hand=hand)
    assert BathReading.objects.count() == 1


def test_a_time_that_has_not_come_is_refused_and_nothing_is_kept(factory):
    before = Entry.objects.count()
    with pytest.raises(Refused, match="not come yet"):
        record("tablet.enrol", {}, hand=factory.hand(), happened_at=factory.now + timedelta(minutes=3))
    assert Entry.objects.count() == before


def test_an_entry_whose_facts_fail_is_not_kept(factory, monkeypatch):
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())
    before = Entry.objects.count()

    def fail(*args, **kwargs):
        raise RuntimeError("disk full")

    monkeypatch.setattr(BathReading.objects, "create", fail)
    with pytest.raises(RuntimeError, match="disk full"):
        factory.read(log, "60")
    assert Entry.objects.count() == before
    assert verify(factory.site).flaw is None


def test_three_times_are_kept(factory):
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())
    factory.pass_time(90)
    entry = cooking.read_bath(
        bath_log=log,
        celsius=Decimal(60),
        probe=log.bath.probe,
        hand=factory.hand(),
        at=factory.now - timedelta(minutes=60),
    )
    assert entry.delay_minutes == 60
    assert entry.person == factory.cook
    assert standing(BathReading.objects.all()).get().at == entry.happened_at
