"""Correct an entry at the Bench: the old value in sight, the reason asked for, both kept."""

from decimal import Decimal

import pytest

from kitchen.batches.models import Sealing
from kitchen.cooking import actions as cooking
from kitchen.cooking.models import BagIn, BathReading, CoreCheck
from kitchen.ledger.models import Entry, standing
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def batch(factory):
    """Two bags in a bath, one reading typed wrong."""
    batch = factory.batch(bags=2)
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(64), hand=factory.hand())
    factory.read(log, "46.0")
    cooking.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=10))
    factory.pass_time(30)
    return batch


def entry(kind):
    return Entry.objects.get(kind=kind)


def address(batch, kind):
    return f"/bench/{batch.code}/entry/{entry(kind).pk}/"


def same(kind):
    """What a reading's form carries where only something else is changed."""
    return {"probe": entry(kind).said["probe"]}


def test_a_mistyped_reading_is_corrected_and_both_stay_in_sight(as_cook, batch):
    page = words(as_cook.get(address(batch, "bath.read")))
    assert "It was 46.0 °C. Leave blank to keep it." in page
    typed = {"celsius": "64.0", "reason": "digits swapped", **same("bath.read")}
    answer = send(as_cook, address(batch, "bath.read"), twice=True, **typed)
    page = kept(as_cook, answer)
    assert "What it said before stays in sight." in page
    assert "<del>Bath 1 read 46.0 °C" in page
    assert "(corrected: digits swapped)" in page
    (now,) = standing(BathReading.objects.all())
    assert (now.celsius, now.at) == (Decimal(64), entry("bath.read").happened_at)
    assert count("correction") == 1


def test_the_reason_is_needed(as_cook, batch):
    answer = send(as_cook, address(batch, "bath.read"), celsius="64.0", **same("bath.read"))
    assert "Say why it is corrected" in words(answer)
    assert count("correction") == 0


def test_the_new_value_is_asked_about_like_the_first(as_cook, batch):
    typed = {"celsius": "640", "reason": "digits swapped", **same("bath.read")}
    answer = send(as_cook, address(batch, "bath.read"), **typed)
    assert "64.0 °C (the decimal point is missing)" in words(answer)
    assert count("correction") == 0


def test_a_correction_that_changes_nothing_is_refused(as_cook, batch):
    answer = send(as_cook, address(batch, "bath.read"), reason="hm", **same("bath.read"))
    assert "Nothing was changed." in words(answer)


def test_a_time_is_corrected_but_not_out_of_order(as_cook, factory, batch):
    where = address(batch, "bags.in")
    early = send(as_cook, where, at="2026-11-16T07:00", reason="wrong hour")
    assert "before this bath log began" in words(early)
    cooking.bags_out_of_bath(bags=list(batch.bags.all()), hand=factory.hand())
    factory.pass_time(60)
    late = send(as_cook, where, at="2026-11-16T09:10", reason="wrong hour")
    assert "That is after the bags came out." in words(late)
    answer = send(as_cook, where, at="2026-11-16T08:20", reason="logged later than it was")
    assert answer.status_code == 302
    assert {f"{each.at:%H:%M}" for each in standing(BagIn.objects.all())} == {"08:20"}


def test_what_should_not_have_been_made_is_withdrawn(as_cook, batch):
    typed = {"withdraw": "on", "reason": "read the wrong bath", **same("bath.read")}
    page = kept(as_cook, send(as_cook, address(batch, "bath.read"), **typed))
    assert "Withdrawn: read the wrong bath" in page
    assert not standing(BathReading.objects.all()).exists()


def test_a_sealing_is_corrected(as_cook, batch):
    answer = send(as_cook, address(batch, "bags.seal"), thickness_mm="28", reason="measured again")
    assert answer.status_code == 302
    assert {each.thickness_mm for each in standing(Sealing.objects.all())} == {Decimal(28)}
    assert {each.start_c for each in standing(Sealing.objects.all())} == {Decimal(5)}


def test_a_core_check_gets_its_right_probe(as_cook, factory, batch):
    probe, right = factory.probe("P1"), factory.probe("P2")
    cooking.check_core(
        bag=batch.bags.first(), step="cook", celsius=Decimal(50), probe=probe, hand=factory.hand()
    )
    answer = send(as_cook, address(batch, "core.check"), probe=right.name, reason="other probe")
    assert answer.status_code == 302
    (now,) = standing(CoreCheck.objects.all())
    assert (now.probe, now.celsius) == (right, Decimal(50))


def test_an_entry_is_corrected_once_then_its_correction(as_cook, batch):
    typed = {"celsius": "64.0", "reason": "digits swapped", **same("bath.read")}
    send(as_cook, address(batch, "bath.read"), **typed)
    assert as_cook.get(address(batch, "bath.read")).status_code == 404
    again = f"/bench/{batch.code}/entry/{entry('correction').pk}/"
    assert "It was 64.0 °C" in words(as_cook.get(again))
    answer = send(as_cook, again, **{**typed, "celsius": "63.8"})
    assert answer.status_code == 302
    (now,) = standing(BathReading.objects.all())
    assert now.celsius == Decimal("63.8")


def test_what_is_no_entry_of_this_batch_or_cannot_be_corrected_is_not_there(as_cook, factory, batch):
    assert as_cook.get(address(batch, "batch.open")).status_code == 404
    other = factory.bath("Bath 2")
    log = cooking.start_bath(bath=other, set_point_c=Decimal(60), hand=factory.hand())
    elsewhere = factory.read(log, "60.0")
    assert as_cook.get(f"/bench/{batch.code}/entry/{elsewhere.pk}/").status_code == 404


def test_a_stranger_corrects_nothing(as_stranger, batch):
    assert as_stranger.get(address(batch, "bath.read")).status_code == 404
    typed = {"celsius": "64.0", "reason": "x", **same("bath.read")}
    assert send(as_stranger, address(batch, "bath.read"), **typed).status_code == 404
    assert count("correction") == 0
