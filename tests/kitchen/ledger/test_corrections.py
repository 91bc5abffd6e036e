"""A correction is a new entry with a reason; both stay visible and only the new one counts."""

from datetime import timedelta
from decimal import Decimal

import pytest

from kitchen.base.refusals import Refused
from kitchen.cooking import actions as cooking
from kitchen.cooking.models import BagIn, BathReading
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.verification import verify

pytestmark = pytest.mark.django_db


@pytest.fixture
def reading(factory):
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())
    return factory.read(log, "6.0")


def test_the_new_value_stands_and_the_old_one_stays(factory, reading):
    said = {**reading.said, "celsius": "60.0"}
    correction = correct(reading.pk, said, reason="a digit was missing", hand=factory.hand(minutes=2))
    old, new = BathReading.objects.order_by("pk")
    assert (old.withdrawn_by, new.withdrawn_by) == (correction, None)
    assert new.celsius == Decimal(60)
    assert new.at == reading.happened_at
    assert Entry.objects.get(pk=reading.pk).said["celsius"] == "6"
    assert verify(factory.site).flaw is None


def test_a_correction_can_be_corrected_but_only_the_newest(factory, reading):
    said = {**reading.said, "celsius": "60.0"}
    first = correct(reading.pk, said, reason="a digit was missing", hand=factory.hand())
    with pytest.raises(Refused, match="Correct the newer one"):
        correct(reading.pk, said, reason="again", hand=factory.hand())
    correct(first.pk, {**said, "celsius": "60.2"}, reason="read once more", hand=factory.hand())
    assert standing(BathReading.objects.all()).get().celsius == Decimal("60.2")


def test_what_should_not_have_been_made_is_withdrawn(factory):
    batch = factory.batch(bags=2)
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())
    entry = cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())
    correct(entry.pk, None, reason="these bags are not in yet", hand=factory.hand())
    assert not standing(BagIn.objects.all()).exists()
    assert BagIn.objects.count() == 2
    assert cooking.current_log(batch.bags.first()) is None


def test_the_moment_can_be_corrected(factory):
    batch = factory.batch()
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())
    entry = cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=20))
    earlier = entry.happened_at - timedelta(minutes=10)
    correct(entry.pk, entry.said, reason="logged ten minutes late", hand=factory.hand(), happened_at=earlier)
    assert standing(BagIn.objects.all()).get().at == earlier


@pytest.mark.parametrize("reason", ["", "   "])
def test_a_reason_is_wanted(factory, reading, reason):
    with pytest.raises(Refused, match="Say why"):
        correct(reading.pk, reading.said, reason=reason, hand=factory.hand())


def test_a_stranger_finds_no_such_entry(factory, reading):
    with pytest.raises(Refused, match="no such entry"):
        correct(reading.pk, reading.said, reason="mine", hand=factory.hand(factory.stranger))


def test_a_signature_can_not_be_corrected(factory):
    method = factory.method()
    with pytest.raises(Refused, match="can't be corrected"):
        correct(method.signed.pk, None, reason="oops", hand=factory.hand())
