"""The database refuses to change or remove an entry, whatever way is tried."""

import pytest
from django.core.checks import run_checks
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from kitchen.checks import refuse_without_guards
from kitchen.feeds.models import LogFile
from kitchen.ledger import guards
from kitchen.ledger.models import Entry
from kitchen.methods.actions import keep_paper
from kitchen.people.kept import keep
from kitchen.people.regime import rules_of

pytestmark = pytest.mark.django_db

TRIES = {
    "update": ("both", "UPDATE kitchen_entry SET kind = 'x'"),
    "delete": ("both", "DELETE FROM kitchen_entry"),
    "insert or replace": (
        "sqlite",
        "INSERT OR REPLACE INTO kitchen_entry SELECT * FROM kitchen_entry LIMIT 1",
    ),
    "replace": ("sqlite", "REPLACE INTO kitchen_entry SELECT * FROM kitchen_entry LIMIT 1"),
    "upsert": (
        "both",
        "INSERT INTO kitchen_entry SELECT * FROM kitchen_entry WHERE true "
        "ON CONFLICT (id) DO UPDATE SET kind = 'x'",
    ),
    "truncate": ("postgresql", "TRUNCATE kitchen_entry CASCADE"),
    "as a replica": ("postgresql", "SET LOCAL session_replication_role = replica; DELETE FROM kitchen_entry"),
    "kept file": ("both", "UPDATE kitchen_logfile SET name = 'x'"),
    "kept paper": ("both", "DELETE FROM kitchen_approvalpaper"),
    "kept limits": ("both", "UPDATE kitchen_keptruleset SET content = ''"),
}


def kept(factory):
    """One row of each kind that is kept."""
    LogFile.objects.create(site=factory.site, digest="0", name="log", content=b"", kept_at=factory.now)
    keep_paper(site=factory.site, name="letter.pdf", content=b"%PDF-1.7", now=factory.now)
    keep(rules_of(factory.site, factory.now.date()), factory.now)


@pytest.mark.parametrize("name", TRIES)
def test_raw_sql_is_refused(factory, name):
    where, statement = TRIES[name]
    if where not in ("both", connection.vendor):
        pytest.skip(f"{where} only")
    kept(factory)
    connection.check_constraints()
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


def test_a_guard_that_does_nothing_is_found(factory):
    """A trigger of the right name that lets everything through is as good as none."""
    name = "kitchen_entry_no_update"
    connection.check_constraints()
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"ALTER TABLE kitchen_entry DISABLE TRIGGER {name}")
        else:
            cursor.execute(f"DROP TRIGGER {name}")
            cursor.execute(f"CREATE TRIGGER {name} BEFORE UPDATE ON kitchen_entry BEGIN SELECT 1; END")
    assert guards.missing() == {name}


def test_migrate_puts_the_guards_back(factory):
    guards.lift()
    assert guards.missing() == guards.names()
    call_command("migrate", verbosity=0)
    assert guards.missing() == set()


def test_a_check_finds_missing_guards(factory):
    assert not [each for each in run_checks(databases=["default"]) if each.id == "kitchen.E002"]
    guards.lift()
    assert [each for each in run_checks(databases=["default"]) if each.id == "kitchen.E002"]


def test_a_server_does_not_start_without_its_guards(factory, monkeypatch):
    monkeypatch.setattr(connection, "close", lambda: None)  # it belongs to the test
    refuse_without_guards()
    guards.lift()
    with pytest.raises(ImproperlyConfigured, match="kitchen_entry_no_update"):
        refuse_without_guards()
