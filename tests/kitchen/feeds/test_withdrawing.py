"""A logger file that was imported wrongly is withdrawn with its reason, and may be imported anew."""

import pytest

from kitchen.cooking.models import BathReading
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.verification import verify
from tests.kitchen.bench.sending import count, kept, send, words
from tests.kitchen.feeds.test_import import into, lines, log, upload

__all__ = ["log"]
pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def imported(as_cook, log):
    """Three readings of a file in the log of Bath 1."""
    as_cook.post(upload(as_cook, lines("63.8", "64.0", "64.1"))["Location"], into(log))
    return Entry.objects.get(kind="bath.import")


def test_it_is_listed_and_withdrawn_with_its_reason(as_cook, imported, log, site):
    address = f"/larder/imports/{imported.pk}/withdraw/"
    assert f'href="{address}"' in words(as_cook.get("/larder/import/"))
    assert "3 readings from file bath.csv" in words(as_cook.get(address))
    assert "Say why" in words(send(as_cook, address))
    answer = send(as_cook, address, twice=True, reason="The file of another bath.")
    assert "Withdrawn: the 3 readings of bath.csv count no more." in kept(as_cook, answer)
    assert count("correction") == 1
    assert not standing(BathReading.objects.all()).exists()
    assert BathReading.objects.count() == 3
    assert address not in words(as_cook.get("/larder/import/"))
    assert as_cook.get(address).status_code == 404
    assert verify(site).flaw is None


def test_the_file_can_be_imported_anew(as_cook, imported, log):
    send(as_cook, f"/larder/imports/{imported.pk}/withdraw/", reason="Wrong probe named.")
    as_cook.post(upload(as_cook, lines("63.8", "64.0", "64.1"))["Location"], into(log))
    assert standing(BathReading.objects.all()).count() == 3


def test_it_can_be_withdrawn_from_the_trail_of_a_batch(as_cook, imported, log, factory):
    from kitchen.cooking.actions import bags_into_bath

    batch = factory.batch()
    bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand(minutes=1))
    assert f"/larder/imports/{imported.pk}/withdraw/" in words(as_cook.get(f"/bench/{batch.code}/"))


def test_a_stranger_finds_nothing(as_stranger, imported, stranger):
    as_stranger.force_login(stranger)
    assert as_stranger.get(f"/larder/imports/{imported.pk}/withdraw/").status_code == 404
    assert "bath.csv" not in words(as_stranger.get("/larder/import/"))
