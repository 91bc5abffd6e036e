"""A lot that is used up or discarded leaves the list, and can be opened again."""

from datetime import date, timedelta

import pytest

from kitchen.base.refusals import Refused
from kitchen.batches.actions import open_batch
from kitchen.batches.forms import NewBatchForm
from kitchen.larder import ledger_page
from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify
from kitchen.review.wording import say
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


def page(factory):
    return ledger_page.of(factory.site, factory.now)


def test_a_lot_that_is_used_up_is_past_and_no_batch_takes_it(as_cook, factory, site):
    lot, method = factory.lot("SP-1"), factory.method()
    factory.pass_time(30)
    answer = send(as_cook, f"/larder/lots/{lot.pk}/close/", twice=True, how="used up", note="last tray")
    assert "chicken breast, lot SP-1: used up." in kept(as_cook, answer)
    assert count("lot.close") == 1
    assert say(Entry.objects.get(kind="lot.close")) == "Lot SP-1 used up: last tray"
    assert page(factory).lots == []
    assert [line.due for line in page(factory).past_lots] == ["used up 08:30: last tray"]
    assert "1 past lot</summary>" in words(as_cook.get("/larder/"))
    assert not NewBatchForm(site=site, method=method).fields["lots"].queryset.exists()
    with pytest.raises(Refused, match="is used up"):
        open_batch(method=method, lots=[lot], hand=factory.hand())
    # What was begun before the lot was closed may still be logged late.
    assert open_batch(method=method, lots=[lot], hand=factory.hand(), at=lot.at + timedelta(minutes=5))
    assert verify(site).flaw is None


def test_a_lot_past_its_use_by_folds_away_and_waits_to_be_closed(as_cook, factory):
    factory.lot("SP-1", use_by=date(2026, 11, 17))
    factory.pass_time(3 * 24 * 60)
    shown = page(factory)
    assert (shown.lots, shown.not_closed) == ([], 1)
    assert "1 past its use-by and not closed" in words(as_cook.get("/larder/"))


def test_a_closing_by_mistake_is_withdrawn_with_its_reason(as_cook, factory, site):
    lot = factory.lot("SP-1")
    send(as_cook, f"/larder/lots/{lot.pk}/close/", how="discarded")
    assert "Say why" in words(send(as_cook, f"/larder/lots/{lot.pk}/open/"))
    answer = send(as_cook, f"/larder/lots/{lot.pk}/open/", twice=True, reason="The wrong line.")
    assert "is open again." in kept(as_cook, answer)
    assert [line.thing.code for line in page(factory).lots] == ["SP-1"]
    assert verify(site).flaw is None


def test_what_can_not_be_is_refused(as_cook, as_stranger, factory, stranger, cook):
    lot = factory.lot("SP-1")
    as_cook.force_login(cook)
    assert send(as_cook, f"/larder/lots/{lot.pk}/close/", how="lost").status_code == 422
    assert "Choose used up or discarded." in words(send(as_cook, f"/larder/lots/{lot.pk}/close/"))
    early = {"how": "used up", "at": "2026-11-15T08:00"}
    assert "before the lot was received" in words(send(as_cook, f"/larder/lots/{lot.pk}/close/", **early))
    send(as_cook, f"/larder/lots/{lot.pk}/close/", how="used up")
    again = send(as_cook, f"/larder/lots/{lot.pk}/close/", how="used up")
    assert "is closed already." in words(again)
    as_stranger.force_login(stranger)
    assert as_stranger.get(f"/larder/lots/{lot.pk}/close/").status_code == 404
