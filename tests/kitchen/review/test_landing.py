"""An entry has those batches judged again that it tells something of, and not the whole past."""

from decimal import Decimal

import pytest

from kitchen.equipment import actions as equipment
from kitchen.equipment.models import Fridge, Probe
from kitchen.finishing import actions as finishing
from kitchen.ledger.corrections import correct
from kitchen.review.actions import sign_batch
from kitchen.review.assessing import State, refresh, state
from kitchen.review.landing import quiet, touched
from kitchen.storing import actions as storing


@pytest.fixture
def kept(factory):
    """A batch that lies in Fridge 1."""
    with quiet():
        return factory.chilled()


def read_fridge(factory, minutes):
    fridge = Fridge.objects.get(name="Fridge 1")
    hand = factory.hand(minutes=minutes)
    return storing.read_fridge(fridge=fridge, celsius=Decimal("2.0"), probe=fridge.probe, hand=hand)


def check(factory, probe, celsius, minutes=10):
    found = Probe.objects.get(name=probe)
    hand = factory.hand(minutes=minutes)
    return equipment.check_probe(probe=found, medium="ice", celsius=Decimal(celsius), hand=hand).entry


def serve(factory, batch):
    finishing.finish_bags(bags=list(batch.bags.all()), kind="served", hand=factory.hand(minutes=60))


def test_a_fridge_reading_touches_what_lies_in_it(factory, kept):
    assert list(touched(read_fridge(factory, 60))) == [kept]


def test_a_fridge_reading_leaves_alone_what_was_served(factory, kept):
    serve(factory, kept)
    assert not touched(read_fridge(factory, 60)).exists()


def test_a_reading_from_before_the_serving_still_counts_when_it_is_told_later(factory, kept):
    told = factory.now
    serve(factory, kept)
    fridge = Fridge.objects.get(name="Fridge 1")
    late = storing.read_fridge(
        fridge=fridge, celsius=Decimal("6.0"), probe=fridge.probe, hand=factory.hand(minutes=60), at=told
    )
    assert list(touched(late)) == [kept]


@pytest.mark.parametrize("probe", ["Bath 1 probe", "Ice slurry probe", "Fridge 1 probe"])
def test_a_probe_check_reaches_back_to_the_last_one(factory, kept, probe):
    assert list(touched(check(factory, probe, "3.0"))) == [kept]
    serve(factory, kept)
    # Nothing was read with it since that check, so the next one tells nothing of this batch.
    with quiet():
        check(factory, probe, "0.0", minutes=24 * 60)
    assert not touched(check(factory, probe, "3.0", minutes=24 * 60)).exists()


def test_a_check_of_another_probe_touches_nothing(factory, kept):
    factory.probe("Spare")
    assert not touched(check(factory, "Spare", "3.0")).exists()


def test_a_corrected_check_is_judged_again(factory, kept):
    first = check(factory, "Bath 1 probe", "3.0")
    said = {**first.said, "celsius": "0.3", "passed": True}
    entry = correct(first.pk, said, reason="Typed 3.0 for 0.3.", hand=factory.hand(factory.chef, minutes=1))
    assert list(touched(entry)) == [kept]


def test_what_a_place_reads_later_reopens_nothing_and_a_failed_check_does(factory, kept):
    serve(factory, kept)
    sign_batch(batch=kept, hand=factory.hand(factory.chef, minutes=120), now=factory.now)
    read_fridge(factory, 60)
    check(factory, "Fridge 1 probe", "0.1")
    refresh(kept, factory.now)
    assert state(kept) == State.SIGNED
    check(factory, "Ice slurry probe", "3.0")
    assert state(kept) == State.REOPENED
