"""The database refuses to change or remove an entry, whatever way is tried."""

import pytest
from django.core.checks import run_checks
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from kitchen.ledger import guards
from kitchen.ledger.models import Entry

pytestmark = pytest.mark.django_db

TRIES = [
    "UPDATE kitchen_entry SET kind = 'x'",
    "DELETE FROM kitchen_entry",
    "INSERT OR REPLACE INTO kitchen_entry SELECT * FROM kitchen_entry LIMIT 1",
    "REPLACE INTO kitchen_entry SELECT * FROM kitchen_entry LIMIT 1",
]


@pytest.mark.parametrize("statement", TRIES)
def test_raw_sql_is_refused(factory, statement):
    before = list(Entry.objects.values_list("pk", "kind"))
    with (
        pytest.raises(IntegrityError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert list(Entry.objects.values_list("pk", "kind")) == before


def test_the_model_is_refused_too(factory):
    entry = Entry.objects.first()
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        entry.save()
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        Entry.objects.all().delete()
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        Entry.objects.update(kind="x")


def test_migrate_puts_the_guards_back(factory):
    guards.lift()
    assert guards.missing() == guards.names()
    call_command("migrate", verbosity=0)
    assert guards.missing() == set()


def test_a_check_finds_missing_guards(factory):
    assert not [each for each in run_checks(databases=["default"]) if each.id == "kitchen.E002"]
    guards.lift()
    assert [each for each in run_checks(databases=["default"]) if each.id == "kitchen.E002"]
