"""A new batch from its method and its lots, and sealing bags."""

from datetime import date
from decimal import Decimal

import pytest

from kitchen.batches.models import Bag, Batch, Sealing
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")

SEALED = {"count": "3", "thickness_mm": "25", "start_c": "5"}


def test_only_the_newest_signed_version_of_a_dish_is_offered(as_cook, factory):
    old = factory.method("Salmon loin", material="fatty_fish", attributes=["fish"])
    new = factory.method("Salmon loin", material="fatty_fish", attributes=["fish"], bath_min=150)
    factory.method("Draft dish", signed=False)
    page = words(as_cook.get("/bench/new/"))
    assert "Draft dish" not in page
    assert f"/bench/new/{new.pk}/" in page
    assert f"/bench/new/{old.pk}/" not in page
    assert "up to 30 mm" in page.replace("\u202f", " ")
    assert "64.0 °C" in page
    assert "2 h 30 min" in page


def test_a_batch_begins_from_its_lots(as_cook, factory):
    method, lot = factory.method(), factory.lot("L1")
    answer = send(as_cook, f"/bench/new/{method.pk}/", lots=[lot.pk])
    batch = Batch.objects.get()
    assert answer.url == f"/bench/{batch.code}/"
    assert f"Batch {batch.code} begun." in kept(as_cook, answer)
    assert [each.lot for each in batch.lots.all()] == [lot]


def test_a_batch_sent_twice_is_begun_once(as_cook, factory):
    method, lot = factory.method(), factory.lot("L1")
    answer = send(as_cook, f"/bench/new/{method.pk}/", lots=[lot.pk], twice=True)
    assert answer.url == f"/bench/{Batch.objects.get().code}/"
    assert count("batch.open") == 1


def test_lots_that_may_not_be_used_are_not_offered(as_cook, factory):
    method = factory.method()
    factory.lot("REJECTED", accepted=False, reason="bag torn")
    past = factory.lot("PAST", use_by=date(2026, 11, 15))
    factory.lot("TODAY", use_by=date(2026, 11, 16))
    page = words(as_cook.get(f"/bench/new/{method.pk}/"))
    assert "TODAY" in page
    assert "REJECTED" not in page
    assert "lot PAST" not in page
    assert send(as_cook, f"/bench/new/{method.pk}/", lots=[past.pk]).status_code == 422
    assert "without them nothing can be traced" in words(send(as_cook, f"/bench/new/{method.pk}/"))
    assert count("batch.open") == 0


def test_without_any_lot_the_page_says_what_to_do(as_cook, factory):
    page = words(as_cook.get(f"/bench/new/{factory.method().pk}/"))
    assert "Receive a delivery first." in page


def test_a_method_that_is_not_signed_begins_nothing(as_cook, factory):
    method = factory.method(signed=False)
    assert as_cook.get(f"/bench/new/{method.pk}/").status_code == 404


@pytest.fixture
def batch(factory):
    from kitchen.batches.actions import open_batch

    return open_batch(method=factory.method(), lots=[factory.lot()], hand=factory.hand())


def seal(client, batch, **more):
    return send(client, f"/bench/{batch.code}/seal/", **{**SEALED, **more})


def test_bags_are_sealed(as_cook, batch):
    answer = seal(as_cook, batch, grams="240", doubts=["floating", "half sunk"], twice=True)
    assert "Bags 1 to 3 sealed." in kept(as_cook, answer)
    assert Bag.objects.count() == 3
    one = Sealing.objects.first()
    assert (one.thickness_mm, one.start_c, one.grams) == (Decimal(25), Decimal(5), 240)
    assert one.doubts == ["floating", "half sunk"]


def test_thickness_is_read_in_other_units(as_cook, batch):
    assert seal(as_cook, batch, thickness_mm="2.5 cm").status_code == 302
    assert Sealing.objects.first().thickness_mm == Decimal(25)


@pytest.mark.parametrize(
    ("typed", "question"),
    [
        ({"thickness_mm": "31"}, "31 mm is more than the 30 mm of the method"),
        ({"thickness_mm": "2.5"}, "2.5 mm is very thin. Was it measured in cm?"),
        ({"start_c": "9.5"}, "9.5 °C is warmer than the 8.0 °C that the method allows"),
        ({"start_c": "41"}, "5.0 °C (typed in °F)"),  # 41 °F is 5 °C exactly
    ],
)
def test_what_the_method_does_not_allow_is_asked_about(as_cook, batch, typed, question):
    answer = seal(as_cook, batch, **typed)
    assert answer.status_code == 422
    assert question in words(answer)
    assert count("bags.seal") == 0
    assert seal(as_cook, batch, **typed, sure="on").status_code == 302


@pytest.mark.parametrize(
    "typed", [{"count": "0"}, {"count": "61"}, {"count": "x"}, {"thickness_mm": "thin"}, {"start_c": ""}]
)
def test_what_cannot_be_is_refused(as_cook, batch, typed):
    assert seal(as_cook, batch, **typed).status_code == 422
    assert count("bags.seal") == 0


def test_a_stranger_finds_neither_method_nor_batch(as_stranger, factory, batch):
    assert as_stranger.get(f"/bench/new/{batch.method_id}/").status_code == 404
    assert as_stranger.get(f"/bench/{batch.code}/").status_code == 404
    assert seal(as_stranger, batch).status_code == 404
    assert "Chicken breast" not in words(as_stranger.get("/bench/new/"))
