"""Verification names the first entry that was changed, removed or put in between."""

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection

from kitchen.ledger import guards
from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify

pytestmark = pytest.mark.django_db


@pytest.fixture
def chain(factory):
    factory.bath("Bath 1")
    factory.fridge("Fridge 1")
    assert verify(factory.site).flaw is None
    guards.lift()  # who owns the file can do this; the chain must show it all the same
    return factory.site


def sql(statement, *values):
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


@pytest.mark.parametrize("seq", [1, 4, 7])
def test_one_changed_byte_is_found(chain, seq):
    entry = Entry.objects.get(site=chain, seq=seq)
    place = len(entry.body) // 2
    changed = entry.body[:place] + chr(ord(entry.body[place]) ^ 1) + entry.body[place + 1 :]
    sql("UPDATE kitchen_entry SET body = %s WHERE id = %s", changed, entry.pk.hex)
    assert verify(chain).flaw.seq == seq
    with pytest.raises(CommandError, match=rf"entry no\. {seq}"):
        call_command("verify_records", verbosity=0)


def test_a_removed_entry_is_found(chain):
    sql("DELETE FROM kitchen_entry WHERE seq = 3 AND site_id = %s", chain.pk)
    flaw = verify(chain).flaw
    assert flaw.seq == 3
    assert "missing" in flaw.reason


def test_a_changed_column_is_found(chain):
    sql(
        "UPDATE kitchen_entry SET happened_at = '2026-01-01 00:00:00' WHERE seq = 5 AND site_id = %s",
        chain.pk,
    )
    flaw = verify(chain).flaw
    assert flaw.seq == 5
    assert "happened_at" in flaw.reason


def test_an_entry_forged_with_a_fitting_digest_breaks_the_next(chain):
    from kitchen.ledger import canonical

    entry = Entry.objects.get(site=chain, seq=4)
    forged = entry.body.replace(f'"kind":"{entry.kind}"', f'"kind":"{entry.kind}"', 1).replace(
        '"v":1', '"v":2'
    )
    sql(
        "UPDATE kitchen_entry SET body = %s, digest = %s WHERE id = %s",
        forged,
        canonical.digest(forged),
        entry.pk.hex,
    )
    assert verify(chain).flaw.seq == 5


def test_a_swap_is_found(chain):
    sql("UPDATE kitchen_entry SET seq = 1000 WHERE seq = 3 AND site_id = %s", chain.pk)
    sql("UPDATE kitchen_entry SET seq = 3 WHERE seq = 4 AND site_id = %s", chain.pk)
    sql("UPDATE kitchen_entry SET seq = 4 WHERE seq = 1000 AND site_id = %s", chain.pk)
    assert verify(chain).flaw.seq == 3
