"""`manage.py verify_records`: does every site's chain hold?"""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kitchen.ledger.verification import verify
from kitchen.people.models import Site


class Command(BaseCommand):
    """Verify the chain of every site and name the first bad entry."""

    help = "Verify the chain of every site; name the first entry that does not hold."

    def handle(self, *args: Any, **options: Any) -> None:
        flaws = []
        for site in Site.objects.order_by("slug"):
            verdict = verify(site)
            if verdict.flaw:
                flaws.append(f"{site.name}: {verdict.flaw.reason}.")
            else:
                self.stdout.write(f"{site.name}: {verdict.count} entries hold, head {verdict.head[:16]}.")
        if flaws:
            raise CommandError(" ".join(flaws))
