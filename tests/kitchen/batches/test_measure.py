"""A figure of a meter is kept for a batch; a doubtful one is asked about."""

from decimal import Decimal

import pytest

from kitchen.batches.actions import open_batch
from kitchen.batches.models import BatchMeasured
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")
ADDRESS = "/larder/measure/"


def test_a_ph_is_kept_once(as_cook, factory):
    batch = open_batch(method=factory.method(), lots=[factory.lot()], hand=factory.hand())
    typed = {"batch": batch.pk, "quantity": "pH", "value": "4.82", "checked": "on"}
    assert batch.code in kept(as_cook, send(as_cook, ADDRESS, twice=True, **typed))
    row = BatchMeasured.objects.get()
    assert (row.value, row.tolerance, row.checked) == (Decimal("4.82"), Decimal(0), True)
    assert count("batch.measure") == 1


def test_a_decimal_in_the_wrong_place_is_asked_about(as_cook, factory):
    batch = open_batch(method=factory.method(), lots=[factory.lot()], hand=factory.hand())
    typed = {"batch": batch.pk, "quantity": "pH", "value": "48.2", "checked": "on"}
    assert "Is the decimal in its place?" in words(send(as_cook, ADDRESS, **typed))
    assert count("batch.measure") == 0


def test_a_stranger_sees_no_batch(as_stranger, factory):
    batch = open_batch(method=factory.method(), lots=[factory.lot()], hand=factory.hand())
    assert batch.code not in words(as_stranger.get(ADDRESS))
    assert send(as_stranger, ADDRESS, batch=batch.pk, quantity="pH", value="4.8").status_code == 422
