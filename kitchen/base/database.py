"""Where the records are kept: a file of SQLite, or a database of PostgreSQL, from one setting."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

# What a connection's address may say after its question mark.
SAID = {"host", "port", "sslmode", "sslrootcert", "sslcert", "sslkey", "passfile", "connect_timeout"}
WAIT_S = 20


def _sqlite(path: str) -> dict[str, Any]:
    """IMMEDIATE, so that a transaction that reads and then appends waits for the lock in place of failing;
    FULL, because these are records and must outlive a power cut; recursive triggers, so that
    INSERT OR REPLACE meets the guards too."""
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": path,
        "OPTIONS": {
            "timeout": WAIT_S,
            "transaction_mode": "IMMEDIATE",
            "init_command": (
                "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; "
                "PRAGMA recursive_triggers=ON; PRAGMA journal_size_limit=67108864;"
            ),
        },
    }


def _postgresql(address: str) -> dict[str, Any]:
    """A commit waits for the disk whatever the server's default is, and nobody waits for a lock for ever.

    READ COMMITTED is what the chain needs: a statement after the chain's lock sees what the writer before
    committed. Connections are kept for a minute and tried before use, so that a restart of the database
    costs nobody an entry.
    """
    try:
        parts = urlsplit(address)
        said = dict(parse_qsl(parts.query, strict_parsing=True)) if parts.query else {}
        port = str(parts.port or "")
    except ValueError as trouble:
        raise ImproperlyConfigured(f"BATHBOOK_DATABASE can't be read: {trouble}.") from trouble
    unknown = sorted(set(said) - SAID)
    if unknown:
        raise ImproperlyConfigured(
            f"BATHBOOK_DATABASE says {', '.join(unknown)}, which is not known. Known are: "
            f"{', '.join(sorted(SAID))}."
        )
    name = unquote(parts.path.removeprefix("/"))
    if not name or "/" in name:
        raise ImproperlyConfigured(
            "BATHBOOK_DATABASE must name one database, as in postgresql://user@host:5432/bathbook."
        )
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": name,
        "USER": unquote(parts.username or ""),
        "PASSWORD": unquote(parts.password or ""),
        "HOST": said.pop("host", "") or unquote(parts.hostname or ""),
        "PORT": said.pop("port", "") or port,
        "CONN_MAX_AGE": 60,
        "CONN_HEALTH_CHECKS": True,
        "OPTIONS": {
            **said,
            "options": (
                f"-c lock_timeout={WAIT_S}s -c synchronous_commit=on "
                "-c default_transaction_isolation=read\\ committed"
            ),
        },
    }


def database(said: str) -> dict[str, Any]:
    """Django's settings of the database that `BATHBOOK_DATABASE` names: a path, or a postgresql address.

    Raises `ImproperlyConfigured` for an address that is not understood.
    """
    scheme, mark, _ = said.partition("://")
    if not mark:
        return _sqlite(said)
    if scheme not in ("postgresql", "postgres"):
        raise ImproperlyConfigured(
            f"BATHBOOK_DATABASE begins with {scheme}://. Give the path of a SQLite file, or an address "
            "postgresql://user@host:5432/name."
        )
    return _postgresql(said)
