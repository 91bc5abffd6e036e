"""Bags into a chill and out of it, and the reading of its medium."""

from decimal import Decimal

import pytest

from kitchen.chilling.models import ChillIn, ChillReading
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def batch(factory):
    return factory.cooked(bags=2)


@pytest.fixture
def ice(factory):
    return factory.chiller()


def step(batch, slug):
    return f"/bench/{batch.code}/{slug}/"


def test_bags_go_into_ice_and_come_out(as_cook, factory, batch, ice):
    factory.pass_time(5)
    answer = send(as_cook, step(batch, "chill"), bags=[1, 2], chiller=ice.pk, twice=True)
    assert "Bags 1 and 2 into Ice slurry." in kept(as_cook, answer)
    assert ChillIn.objects.count() == 2
    factory.pass_time(60)
    answer = send(as_cook, step(batch, "chill-out"), bags=[1, 2], twice=True)
    assert "Bags 1 and 2 out of the chill." in kept(as_cook, answer)
    assert count("chill.in") == count("chill.out") == 1


def test_another_chill_than_the_methods_is_asked_about(as_cook, factory, batch, ice):
    sink = factory.chiller("Sink", medium="running_water")
    answer = send(as_cook, step(batch, "chill"), bags=[1], chiller=sink.pk)
    assert "The method says ice slurry; Sink is not that." in words(answer)
    assert count("chill.in") == 0
    assert send(as_cook, step(batch, "chill"), bags=[1], chiller=sink.pk, sure="on").status_code == 302


def test_a_bag_in_no_chill_does_not_come_out(as_cook, batch):
    answer = send(as_cook, step(batch, "chill-out"), bags=[1])
    assert "Bag 1 is in no chiller." in words(answer)


def test_a_bag_does_not_go_into_two_chills(as_cook, batch, ice):
    send(as_cook, step(batch, "chill"), bags=[1], chiller=ice.pk)
    answer = send(as_cook, step(batch, "chill"), bags=[1, 2], chiller=ice.pk)
    assert "Bag 1 is in Ice slurry already." in words(answer)


def test_a_reading_of_the_medium(as_cook, ice):
    address = f"/bench/chillers/{ice.pk}/read/"
    answer = send(as_cook, address, celsius="0.4", probe=ice.probe_id, twice=True)
    assert "Ice slurry at 0.4 °C kept." in kept(as_cook, answer)
    assert ChillReading.objects.get().celsius == Decimal("0.4")
    odd = send(as_cook, address, celsius="33", probe=ice.probe_id)
    assert "0.6 °C (typed in °F)" in words(odd)
    assert count("chill.read") == 1


def test_a_stranger_reads_nothing(as_stranger, ice):
    address = f"/bench/chillers/{ice.pk}/read/"
    assert as_stranger.get(address).status_code == 404
    assert send(as_stranger, address, celsius="0.4").status_code == 404
