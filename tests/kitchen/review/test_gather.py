"""Gathering: everything that was told about a batch reaches the rules, in few queries."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from haccp.record import Outcome
from kitchen.batches import actions as batches
from kitchen.brining import actions as brining
from kitchen.equipment.models import Fridge
from kitchen.ledger.corrections import correct
from kitchen.review.actions import sign_batch
from kitchen.review.assessing import State, current, refresh, state
from kitchen.review.gather import gather
from kitchen.storing import actions as storing

pytestmark = pytest.mark.django_db


def warm_lot(factory):
    """Chicken that came at 9.5 °C."""
    probe = factory.checked_probe("Needle")
    return factory.lot(
        celsius=Decimal("9.5"),
        probe=probe,
        attributes=("raw", "chilled"),
        reason="the van was warm, ice packs still hard",
    )


def test_a_warm_delivery_is_flagged_with_its_limit(factory):
    lot = warm_lot(factory)
    batch = batches.open_batch(method=factory.method(), lots=[lot], hand=factory.hand())
    found = [each for each in refresh(batch, factory.now).all_findings if each.step == "receive"]
    # Regulation (EC) 853/2004, Annex III Section II: poultry meat at 4 °C at most.
    assert [(each.limit, each.outcome) for each in found] == [("UK-RAW-POULTRY-4", Outcome.TO_REVIEW)]


@pytest.mark.parametrize("material", ["pork", "fatty_meat"])
def test_a_belly_is_red_meat_as_much_as_a_loin(factory, material):
    lot = factory.lot("L2", material=material, product="pork")
    batch = batches.open_batch(method=factory.method(), lots=[lot], hand=factory.hand())
    found = [each for each in refresh(batch, factory.now).all_findings if each.step == "receive"]
    # Regulation (EC) 853/2004, Annex III Section I: red meat at 7 °C at most.
    assert [each.limit for each in found] == ["UK-RAW-MEAT-7"]


def test_a_corrected_delivery_takes_the_place_of_the_first(factory):
    lot = warm_lot(factory)
    batch = batches.open_batch(method=factory.method(), lots=[lot], hand=factory.hand())
    correct(lot.entry_id, {**lot.entry.said, "celsius": "2.5"}, reason="typed 9 for 2", hand=factory.hand())
    (delivery,) = gather(batch, factory.now).deliveries
    assert delivery.reading.celsius == 2.5
    assert all(each.outcome == Outcome.MEETS for each in refresh(batch, factory.now).findings)


def test_a_stay_in_brine_has_its_two_ends(factory):
    batch = batches.open_batch(method=factory.method(), lots=[factory.lot()], hand=factory.hand())
    brine = brining.make_brine(code="B1", salt_g=Decimal(600), water_g=Decimal(9400), hand=factory.hand())
    into = brining.into_brine(batch=batch, brine=brine, hand=factory.hand(minutes=1))
    assert gather(batch, factory.now).brinings[0].out_at is None
    out = brining.out_of_brine(batch=batch, rinsed=True, dried=True, hand=factory.hand(minutes=30))
    (stay,) = gather(batch, factory.now).brinings
    assert (stay.brine, stay.into_at, stay.out_at) == ("B1", into.happened_at, out.happened_at)


def test_more_bags_cost_no_more_queries(factory):
    batch = factory.chilled(bags=1)
    with CaptureQueriesContext(connection) as one:
        gather(batch, factory.now)
    sealed = batches.seal_bags(
        batch=batch, count=30, thickness_mm=Decimal(25), start_c=Decimal(5), hand=factory.hand(minutes=1)
    )
    assert len(sealed) == 30
    with CaptureQueriesContext(connection) as thirty:
        gather(batch, factory.now)
    assert len(thirty) <= len(one)


def test_the_same_record_gives_the_same_assessment(factory):
    batch = factory.chilled(bags=2)
    assert refresh(batch, factory.now) == refresh(batch, factory.now)
    assert current(batch, factory.now) == refresh(batch, factory.now)


def test_an_entry_after_the_signature_reopens_the_batch(factory):
    batch = factory.chilled(bags=1)
    assert refresh(batch, factory.now).outcome == Outcome.MEETS
    sign_batch(batch=batch, hand=factory.hand(factory.chef), now=factory.now)
    assert state(batch) == State.SIGNED
    batches.seal_bags(
        batch=batch, count=1, thickness_mm=Decimal(25), start_c=Decimal(5), hand=factory.hand(minutes=1)
    )
    assert state(batch) == State.REOPENED


def read_fridge(factory, celsius, **when):
    """A reading of the fridge in which the bag lies."""
    fridge = Fridge.objects.get(site=factory.site)
    return storing.read_fridge(
        fridge=fridge, celsius=Decimal(celsius), probe=fridge.probe, hand=factory.hand(), **when
    )


def test_routine_fridge_readings_leave_a_signed_batch_closed(factory):
    batch = factory.chilled(bags=1)
    sign_batch(batch=batch, hand=factory.hand(factory.chef), now=factory.now)
    for _ in range(3):
        factory.pass_time(600)
        read_fridge(factory, "2.1")
    refresh(batch, factory.now)
    assert state(batch) == State.SIGNED


def test_a_warm_fridge_reopens_it(factory):
    batch = factory.chilled(bags=1)
    sign_batch(batch=batch, hand=factory.hand(factory.chef), now=factory.now)
    factory.pass_time(600)
    read_fridge(factory, "9.0")
    assert refresh(batch, factory.now).outcome == Outcome.FAILS
    assert state(batch) == State.REOPENED


def test_a_reading_told_late_for_the_time_before_the_signature_reopens_it(factory):
    batch = factory.chilled(bags=1)
    factory.pass_time(120)
    sign_batch(batch=batch, hand=factory.hand(factory.chef), now=factory.now)
    read_fridge(factory, "2.4", at=factory.now - timedelta(minutes=60))
    refresh(batch, factory.now)
    assert state(batch) == State.REOPENED
