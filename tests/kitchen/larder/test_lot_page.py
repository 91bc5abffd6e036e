"""The page of a lot: thawed through, and the paper on its freezing against parasites."""

import pytest

from kitchen.ledger.models import Entry
from kitchen.review.wording import say
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


def test_a_lot_has_a_page(as_cook, factory):
    lot = factory.lot("SP-1")
    assert f'href="/larder/lots/{lot.pk}/"' in words(as_cook.get("/larder/"))
    page = words(as_cook.get(f"/larder/lots/{lot.pk}/"))
    assert "Saltmeadow Poultry" in page
    assert "No paper on its freezing is on record." in page


def test_a_stranger_does_not_see_it(as_stranger, factory):
    lot = factory.lot("SP-1")
    for address in ("", "thaw/", "frozen/"):
        assert as_stranger.get(f"/larder/lots/{lot.pk}/{address}").status_code == 404


def test_a_thaw_is_kept_once_with_both_its_moments(as_cook, factory):
    lot = factory.lot("SP-1")
    factory.pass_time(600)
    typed = {"how": "in the fridge", "begun_at": "2026-11-16T09:00", "pack": "open"}
    answer = send(as_cook, f"/larder/lots/{lot.pk}/thaw/", twice=True, **typed)
    assert "thawed in the fridge" in kept(as_cook, answer)
    assert count("lot.thaw") == 1
    entry = Entry.objects.get(kind="lot.thaw")
    assert entry.said["pack_open"] is True
    assert say(entry) == "Lot SP-1 thawed through in the fridge"


def test_a_reading_of_a_thaw_needs_its_probe(as_cook, factory):
    lot = factory.lot("SP-1")
    factory.pass_time(600)
    typed = {"how": "in running water", "begun_at": "2026-11-16T09:00", "water_c": "12"}
    answer = send(as_cook, f"/larder/lots/{lot.pk}/thaw/", **typed)
    assert answer.status_code == 422
    assert "Say which probe was read" in words(answer)
    assert 'value="12"' in words(answer)


def test_the_paper_is_kept_and_shown(as_cook, factory):
    lot = factory.lot("SP-1")
    address = f"/larder/lots/{lot.pk}/frozen/"
    short = send(as_cook, address, statement="FZ 12", celsius="-20")
    assert (short.status_code, count("lot.frozen")) == (422, 0)
    answer = send(as_cook, address, twice=True, statement="FZ 12", celsius="-20", hours="24")
    assert "FZ 12" in kept(as_cook, answer)
    assert count("lot.frozen") == 1
    assert (
        say(Entry.objects.get(kind="lot.frozen"))
        == "Lot SP-1 was frozen at −20.0 °C for 24 h, by paper FZ 12"
    )
