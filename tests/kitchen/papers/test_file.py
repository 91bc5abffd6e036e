"""The File: what exists, what is missing; print, and verify the chain."""

from __future__ import annotations

import io
import re
from datetime import timedelta
from functools import partial

import pytest
import time_machine
from django.db import connection
from django.urls import reverse
from pypdf import PdfReader

from kitchen.base.ids import new_id
from kitchen.ledger import guards
from kitchen.ledger.models import Entry


def text(response) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def codes(response) -> list[str]:
    return [row.batch.code for row in response.context["rows"]]


@pytest.fixture
def two(factory):
    """A batch of Monday, and another dish's of Wednesday."""
    first = factory.batch()
    factory.pass_time(2 * 24 * 60)
    factory.lot = partial(type(factory).lot, factory, "L2")
    return first, factory.batch(dish="Chicken thigh")


@pytest.mark.parametrize("name", ["file", "file_batch"])
def test_anyone_signed_in_may_look_and_nobody_else(client, factory, name):
    batch = factory.batch()
    address = reverse(name, args=[batch.code] if name == "file_batch" else [])
    assert client.get(address).status_code == 302
    client.force_login(factory.cook)
    assert client.get(address).status_code == 200


def test_a_stranger_finds_nothing(as_stranger, factory):
    batch = factory.batch()
    assert as_stranger.get(reverse("file_batch", args=[batch.code])).status_code == 404
    assert as_stranger.post(reverse("print_batch", args=[batch.code])).status_code == 404
    assert codes(as_stranger.get(reverse("file"))) == []
    assert not Entry.objects.filter(kind="batch.print").exists()


def test_a_period_and_a_dish_narrow_the_list(as_cook, two):
    first, second = two
    day = first.made_on
    address = reverse("file")
    assert codes(as_cook.get(address)) == [second.code, first.code]
    assert codes(as_cook.get(address, {"last": day.isoformat()})) == [first.code]
    assert codes(as_cook.get(address, {"first": (day + timedelta(days=1)).isoformat()})) == [second.code]
    assert codes(as_cook.get(address, {"dish": second.method.dish.pk})) == [second.code]
    none = as_cook.get(address, {"first": (day + timedelta(days=9)).isoformat()})
    assert "No batch was made in this period." in text(none)


def test_a_period_that_ends_before_it_begins_is_questioned(as_cook, two):
    response = as_cook.get(reverse("file"), {"first": "2026-11-20", "last": "2026-11-10"})
    assert response.status_code == 422
    assert "The period ends before it begins." in text(response)


def test_outcome_state_and_what_is_missing_are_listed(as_cook, factory):
    batch = factory.batch()
    page = text(as_cook.get(reverse("file")))
    assert "unproven" in page
    assert "open" in page
    assert "Bag 1 (unproven) waits for a decision." in page
    assert batch.code in page


def test_a_print_is_an_entry_and_its_digest_is_on_the_paper(client, factory):
    batch = factory.batch()
    client.force_login(factory.cook)
    said = {"entry_id": new_id()}
    with time_machine.travel(factory.now, tick=False):
        response = client.post(reverse("print_batch", args=[batch.code]), said)
        again = client.post(reverse("print_batch", args=[batch.code]), said)
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == f'inline; filename="batch-record-{batch.code}.pdf"'
    entry = Entry.objects.get(kind="batch.print")
    assert entry.person == factory.cook
    first = PdfReader(io.BytesIO(response.content)).pages[0].extract_text()
    assert f"Head no. {entry.seq}" in first
    assert again.content == response.content


def test_a_print_must_be_posted(as_cook, factory):
    batch = factory.batch()
    assert as_cook.get(reverse("print_batch", args=[batch.code])).status_code == 405


def test_head_and_count_are_shown_and_the_chain_is_verified_on_request(as_cook, factory):
    factory.batch()
    last = Entry.objects.filter(site=factory.site).order_by("-seq").first()
    page = text(as_cook.get(reverse("file")))
    assert last.digest in page
    assert f"Entries {last.seq}" in page
    response = as_cook.post(reverse("file_verify"), follow=True)
    assert f"The chain holds: {last.seq} entries" in text(response)


def test_one_changed_byte_is_told_with_its_number(as_cook, factory):
    factory.batch()
    entry = Entry.objects.get(kind="bags.seal")
    guards.lift()
    with connection.cursor() as cursor:
        changed = entry.body.replace('"thickness_mm":"25"', '"thickness_mm":"15"')
        assert changed != entry.body
        cursor.execute(
            "UPDATE kitchen_entry SET body = %s WHERE seq = %s AND site_id = %s",
            [changed, entry.seq, factory.site.pk],
        )
    guards.put_in_place()
    page = text(as_cook.post(reverse("file_verify"), follow=True))
    assert f"The chain does not hold: the content of entry no. {entry.seq}" in page
