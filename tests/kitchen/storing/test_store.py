"""Bags into a fridge, straight from the chill too, and its reading."""

from decimal import Decimal

import pytest

from kitchen.chilling.actions import current_chiller, into_chiller
from kitchen.storing.actions import current_fridge
from kitchen.storing.models import FridgeReading, Stored
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def fridge(factory):
    return factory.fridge()


def test_from_the_chill_into_the_fridge_in_one_go(as_cook, factory, fridge):
    batch = factory.cooked(bags=2)
    bags = list(batch.bags.all())
    into_chiller(bags=bags, chiller=factory.chiller(), hand=factory.hand(minutes=5))
    factory.pass_time(80)
    answer = send(as_cook, f"/bench/{batch.code}/fridge/", bags=[1, 2], fridge=fridge.pk, twice=True)
    assert "Bags 1 and 2 into Fridge 1." in kept(as_cook, answer)
    assert count("chill.out") == count("bags.store") == 1
    assert [current_chiller(bag) for bag in bags] == [None, None]
    assert [current_fridge(bag) for bag in bags] == [fridge, fridge]


def test_nothing_is_half_kept_when_a_part_is_refused(as_cook, factory, fridge):
    batch = factory.cooked(bags=1)
    bags = list(batch.bags.all())
    into_chiller(bags=bags, chiller=factory.chiller(), hand=factory.hand(minutes=5))
    answer = send(as_cook, f"/bench/{batch.code}/fridge/", bags=[1], fridge=fridge.pk, at="2026-11-17T08:00")
    assert "has not come yet" in words(answer)
    assert count("chill.out") == count("bags.store") == 0


def test_a_move_to_another_fridge(as_cook, factory):
    batch = factory.chilled(bags=1)
    other = factory.fridge("Fridge 2")
    factory.pass_time(10)
    assert send(as_cook, f"/bench/{batch.code}/fridge/", bags=[1], fridge=other.pk).status_code == 302
    assert current_fridge(batch.bags.get()) == other
    assert Stored.objects.count() == 2


def test_a_reading_of_a_fridge(as_cook, fridge):
    address = f"/bench/fridges/{fridge.pk}/read/"
    answer = send(as_cook, address, celsius="2.4", probe=fridge.probe_id, twice=True)
    assert "Fridge 1 at 2.4 °C kept." in kept(as_cook, answer)
    assert FridgeReading.objects.get().celsius == Decimal("2.4")
    odd = send(as_cook, address, celsius="35", probe=fridge.probe_id)
    assert "1.7 °C (typed in °F)" in words(odd)
    assert count("fridge.read") == 1


def test_a_stranger_reads_and_stores_nothing(as_stranger, factory, fridge):
    batch = factory.cooked(bags=1)
    assert as_stranger.get(f"/bench/fridges/{fridge.pk}/read/").status_code == 404
    assert send(as_stranger, f"/bench/{batch.code}/fridge/", bags=[1], fridge=fridge.pk).status_code == 404
