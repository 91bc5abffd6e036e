"""`manage.py demo`: lay the written week of the demo kitchen before the present moment."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from kitchen.base import moments
from kitchen.management.demo.replay import replay
from kitchen.management.demo.script import ScriptError, Week, read_week
from kitchen.management.demo.sign_ins import sign_ins
from kitchen.people.models import Site

FOLDER = Path(settings.HOME) / "fixtures" / "marram_quay"


class Command(BaseCommand):
    """Replay the demo week once; a database that has it is left as it is."""

    help = "Replay the written week of the demo kitchen through the actions, once, and verify its chain."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--sign-ins", action="store_true", help="only print who can sign in, and how")
        parser.add_argument("--address", default="127.0.0.1:8000", help="where the app is served")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            self._tell(read_week(FOLDER, moments.now()), options)
        except ScriptError as error:
            raise CommandError(str(error)) from error

    def _tell(self, week: Week, options: dict[str, Any]) -> None:
        if options["sign_ins"]:
            self.stdout.write(sign_ins(week.place, options["address"]))
            return
        name = week.place["site"]["name"]
        if Site.objects.filter(slug=week.place["site"]["slug"]).exists():
            self.stdout.write(f"{name} is there already: its data is kept. `make demo-reset` starts anew.")
            return
        begun = time.monotonic()
        self.stdout.write(f"Replaying a week of {name}; this takes less than a minute.")
        told = replay(week)
        self.stdout.write(
            f"{name}: {len(told.batches)} batches of {told.dishes} dishes, {told.entries} entries in "
            f"{time.monotonic() - begun:.0f} s. The chain holds, head {told.head[:16]}."
        )
