"""Triggers by which the database itself refuses to change or remove an entry.

They stop mistakes and careless SQL; who owns the file can drop them, and then the chain
shows it. SQLite rebuilds a table for some migrations and loses its triggers without a word,
so they are put back after every migrate, and a system check counts them.
"""

from __future__ import annotations

from typing import Any

from django.db import connections

TABLES = {"kitchen_entry": "id", "kitchen_logfile": "id"}

_SQLITE = """
CREATE TRIGGER IF NOT EXISTS {table}_no_update BEFORE UPDATE ON {table}
  BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END;
CREATE TRIGGER IF NOT EXISTS {table}_no_delete BEFORE DELETE ON {table}
  BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END;
CREATE TRIGGER IF NOT EXISTS {table}_no_replace BEFORE INSERT ON {table}
  WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key})
  BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END;
"""


def names() -> set[str]:
    """The triggers that must be there."""
    return {f"{table}_no_{what}" for table in TABLES for what in ("update", "delete", "replace")}


def put_in_place(using: str = "default", **_: Any) -> None:
    """Install the triggers; to do so twice is harmless."""
    with connections[using].cursor() as cursor:
        for table, key in TABLES.items():
            for statement in _SQLITE.format(table=table, key=key).strip().split("END;"):
                if statement.strip():
                    cursor.execute(statement + "END")


def lift(using: str = "default") -> None:
    """Drop the triggers. Only the test suite does, to empty the tables between tests."""
    with connections[using].cursor() as cursor:
        for name in sorted(names()):
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}")


def missing(using: str = "default") -> set[str]:
    """The triggers that should be there and are not."""
    with connections[using].cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        return names() - {row[0] for row in cursor.fetchall()}
