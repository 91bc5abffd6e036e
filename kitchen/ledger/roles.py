"""The rights of a role of PostgreSQL that may add to the records and never change them.

Whoever owns the tables migrates them; the app signs in as this role. Then even a mistake in
the app's own code, or somebody who got hold of its password, meets a refusal before the triggers.
"""

from __future__ import annotations

import re

from kitchen.ledger.guards import TABLES

NAME = re.compile(r"[a-z_][a-z0-9_]{0,62}")


def statements(role: str, database: str) -> list[str]:
    """SQL that gives a role what the app needs: everything on facts, SELECT and INSERT on what is kept.

    Run by the owner of the tables, after every migrate. Raises `ValueError` for a name that PostgreSQL
    would want in quotes.
    """
    if not NAME.fullmatch(role):
        raise ValueError(f"{role!r} is no plain name of a role: small letters, digits and _ only.")
    kept = ", ".join(TABLES)
    quoted = database.replace('"', '""')
    return [
        f"DO $$ BEGIN IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = '{role}') "
        f"THEN CREATE ROLE {role} LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE; END IF; END $$",
        f'GRANT CONNECT ON DATABASE "{quoted}" TO {role}',
        f"GRANT USAGE ON SCHEMA public TO {role}",
        f"REVOKE CREATE ON SCHEMA public FROM {role}",
        f"GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {role}",
        f"GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {role}",
        f"REVOKE UPDATE, DELETE, TRUNCATE, REFERENCES, TRIGGER ON {kept} FROM {role}",
        f"REVOKE INSERT, UPDATE, DELETE, TRUNCATE ON django_migrations FROM {role}",
    ]


# What the role in use may do to the guarded tables that it should not be able to do.
TOO_MUCH = (
    "SELECT name || ': ' || what FROM unnest(%s::text[]) AS name, "
    "unnest(ARRAY['UPDATE', 'DELETE', 'TRUNCATE', 'TRIGGER']) AS what "
    "WHERE has_table_privilege(to_regclass(name), what) ORDER BY 1"
)
