"""`manage.py app_role NAME`: a role of PostgreSQL that may add entries and never change them."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from kitchen.ledger.roles import statements


class Command(BaseCommand):
    """Print the SQL, or run it with --apply; signed in as the owner of the tables."""

    help = "The SQL for a PostgreSQL role with which the app may add to the records and never change them."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("role", help="name of the role; it is made if it is not there")
        parser.add_argument("--apply", action="store_true", help="run it, in place of printing it")

    def handle(self, *args: Any, **options: Any) -> None:
        if connection.vendor != "postgresql":
            raise CommandError("Only PostgreSQL has roles. On SQLite the file's owner is the role.")
        try:
            sql = statements(options["role"], connection.settings_dict["NAME"])
        except ValueError as trouble:
            raise CommandError(str(trouble)) from trouble
        if not options["apply"]:
            self.stdout.write(";\n".join(sql) + ";")
            return
        with transaction.atomic(), connection.cursor() as cursor:
            for each in sql:
                cursor.execute(each)
        self.stdout.write(
            f"{options['role']} may read and add; it may not change entries, kept files and kept limits. "
            "Give it a way to sign in, and run this again after every migrate."
        )
