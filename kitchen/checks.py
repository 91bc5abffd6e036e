"""System checks: settings that contradict each other, guards that are not in place."""

from __future__ import annotations

import logging
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.core.exceptions import ImproperlyConfigured
from django.db import connection
from django.db.utils import DatabaseError

from kitchen.ledger import guards, roles

log = logging.getLogger(__name__)


@register(Tags.database)
def guards_in_place(app_configs: Any, databases: Any = None, **_: Any) -> list[CheckMessage]:
    """The database must refuse to change entries."""
    if not databases:
        return []
    try:
        if "kitchen_entry" not in connection.introspection.table_names():
            return []
        missing = guards.missing()
    except DatabaseError as trouble:
        return [Error(f"The database can't be read: {trouble}", id="kitchen.E001")]
    if missing:
        hint = "Run manage.py migrate, which puts them back, and verify_records."
        return [Error(f"Guards are missing: {', '.join(sorted(missing))}.", hint=hint, id="kitchen.E002")]
    return []


def refuse_without_guards() -> None:
    """A server must not begin to take entries into a database that would let them be changed.

    A database that can't be reached just now does not stop the start: it may come back.
    """
    for each in guards_in_place(None, databases=["default"]):
        if each.id == "kitchen.E002":
            raise ImproperlyConfigured(f"{each.msg} {each.hint}")
        log.error("At the start the guards could not be looked for. %s", each.msg)
    connection.close()


@register(Tags.database, deploy=True)
def role_may_only_add(app_configs: Any, databases: Any = None, **_: Any) -> list[CheckMessage]:
    """On PostgreSQL the app should sign in as a role that can't change what is kept."""
    if not databases or connection.vendor != "postgresql":
        return []
    with connection.cursor() as cursor:
        cursor.execute(roles.TOO_MUCH, [list(guards.TABLES)])
        found = [row[0] for row in cursor.fetchall()]
    if not found:
        return []
    hint = (
        "Let the owner of the tables run manage.py app_role NAME --apply, and sign the app in as that role."
    )
    return [Warning(f"This role may do more than add: {', '.join(found)}.", hint=hint, id="kitchen.W006")]


@register(Tags.security, deploy=True)
def hosts_are_named(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """A server that is open to others must say under which names it answers."""
    if not settings.DEBUG and "*" in settings.ALLOWED_HOSTS:
        return [Warning("BATHBOOK_HOSTS is '*': name the hosts.", id="kitchen.W003")]
    return []


@register()
def settings_agree(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """Settings that contradict each other."""
    found: list[CheckMessage] = []
    if settings.DEBUG and settings.HTTPS:
        hint = "Set BATHBOOK_HTTPS=off, or BATHBOOK_DEBUG=off."
        found.append(
            Error(
                "DEBUG and HTTPS are both on: cookies would not reach this server.",
                hint=hint,
                id="kitchen.E004",
            )
        )
    if settings.DATABASES["default"].get("ATOMIC_REQUESTS"):
        found.append(
            Error("ATOMIC_REQUESTS would take the write lock for every page that is read.", id="kitchen.E005")
        )
    return found
