"""The list at the Pass is short, but nothing that waits for a signature drops off it."""

import pytest

from kitchen.batches import actions as batches
from kitchen.review import board
from kitchen.review.actions import sign_batch

pytestmark = pytest.mark.django_db


def test_an_old_batch_that_was_never_signed_stays_on_the_list(factory, monkeypatch):
    monkeypatch.setattr(board, "NEWEST", 2)
    signed = factory.chilled(bags=1)
    sign_batch(batch=signed, hand=factory.hand(factory.chef), now=factory.now)
    waiting = batches.open_batch(method=signed.method, lots=[signed.lots.get().lot], hand=factory.hand())
    newer = []
    for _ in range(3):
        factory.pass_time(1440)
        lot = factory.lot(f"N{len(newer)}")
        newer.append(batches.open_batch(method=signed.method, lots=[lot], hand=factory.hand()))
    shown = board.on_the_board(factory.site)
    assert waiting in shown
    assert set(newer) <= set(shown)
    assert signed not in shown
