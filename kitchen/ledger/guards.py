"""Triggers by which the database itself refuses to change or remove an entry or a kept file.

They stop mistakes and careless SQL; who owns the database can drop them, and then the chain
shows it. SQLite rebuilds a table for some migrations and loses its triggers without a word,
so they are put back after every migrate, and a check at the start counts them. On PostgreSQL
the app may also sign in with a role that may not change these tables at all (`roles`).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connections

# Table and primary key: the entries, and what entries name by its digest.
TABLES = {
    "kitchen_entry": "id",
    "kitchen_logfile": "id",
    "kitchen_approvalpaper": "id",
    "kitchen_keptruleset": "digest",
}

_SQLITE = {
    "update": "BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END",
    "delete": "BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END",
    # INSERT OR REPLACE removes a row unseen by the trigger on DELETE, unless the connection asks for it.
    "replace": (
        "BEFORE INSERT ON {table} WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key}) "
        "BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
    ),
}
_POSTGRESQL = {
    "update": "BEFORE UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION kitchen_append_only()",
    "delete": "BEFORE DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION kitchen_append_only()",
    "truncate": "BEFORE TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION kitchen_append_only()",
}
_BODY = "BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'restrict_violation'; END"


def _triggers(using: str) -> dict[str, tuple[str, str]]:
    """Name of each trigger, its table and its definition, for the database in use."""
    kinds = _POSTGRESQL if connections[using].vendor == "postgresql" else _SQLITE
    return {
        f"{table}_no_{what}": (table, definition.format(table=table, key=key))
        for table, key in TABLES.items()
        for what, definition in kinds.items()
    }


def names(using: str = "default") -> set[str]:
    """The triggers that must be there."""
    return set(_triggers(using))


def put_in_place(using: str = "default", **_: Any) -> None:
    """Install the triggers; to do so twice is harmless."""
    connection = connections[using]
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            _nothing_pending(using)
            cursor.execute(
                "CREATE OR REPLACE FUNCTION kitchen_append_only() RETURNS trigger LANGUAGE plpgsql "
                f"AS $guard${_BODY}$guard$"
            )
        for name, (table, definition) in _triggers(using).items():
            if table not in there:
                continue
            if connection.vendor == "postgresql":
                cursor.execute(f"CREATE OR REPLACE TRIGGER {name} {definition}")
                # An ordinary trigger sleeps while a session plays the part of a replica; this one does not.
                cursor.execute(f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {name}")
            else:
                cursor.execute(f"CREATE TRIGGER IF NOT EXISTS {name} {definition}")


def lift(using: str = "default") -> None:
    """Drop the triggers. Only tests do, to empty the tables between them and to play the forger."""
    with connections[using].cursor() as cursor:
        _nothing_pending(using)
        for name, (table, _) in _triggers(using).items():
            on = f" ON {table}" if connections[using].vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on}")


def _nothing_pending(using: str) -> None:
    """PostgreSQL alters no table while a row of this transaction still waits for its foreign keys."""
    if connections[using].vendor == "postgresql":
        connections[using].check_constraints()


@contextmanager
def lifted(using: str = "default") -> Iterator[None]:
    """The triggers dropped for a moment. Only tests do."""
    lift(using)
    try:
        yield
    finally:
        put_in_place(using)


def missing(using: str = "default") -> set[str]:
    """The triggers that should be there and are not, sleep, or do something else than they should."""
    found = _awake(using) if connections[using].vendor == "postgresql" else _as_written(using)
    return names(using) - found


def _awake(using: str) -> set[str]:
    with connections[using].cursor() as cursor:
        cursor.execute(
            "SELECT t.tgname FROM pg_trigger t JOIN pg_proc p ON p.oid = t.tgfoid "
            "WHERE t.tgenabled = 'A' AND t.tgqual IS NULL AND p.prosrc = %s "
            "AND t.tgrelid::regclass::text = ANY(%s)",
            [_BODY, list(TABLES)],
        )
        return {row[0] for row in cursor.fetchall()}


def _as_written(using: str) -> set[str]:
    with connections[using].cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        there = dict(cursor.fetchall())
    return {
        name
        for name, (_, definition) in _triggers(using).items()
        if there.get(name) == f"CREATE TRIGGER {name} {definition}"
    }
