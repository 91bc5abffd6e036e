"""`manage.py import_log`: bring in a logger file without the web form, by the same rules."""

from __future__ import annotations

from argparse import ArgumentParser
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kitchen.base import moments
from kitchen.base.refusals import Refused
from kitchen.cooking.models import BathLog
from kitchen.equipment.models import Bath, Probe
from kitchen.feeds.actions import import_log, keep_file
from kitchen.feeds.logger import look
from kitchen.feeds.shapes import LoggerFileError, Look
from kitchen.ledger.chain import Hand
from kitchen.people.models import Person, Site


class Command(BaseCommand):
    """Import a file; where it leaves something open, ask and import nothing."""

    help = (
        "Import a logger file as readings of a bath: into the log that runs, or with --set-point into a new "
        "one. What the file leaves open is printed; answer it with --answer KEY=VALUE and run again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """What has to be said beside the file."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--site", required=True, help="the site's slug")
        parser.add_argument("--person", required=True, help="staff code of the person who imports")
        parser.add_argument("--bath", required=True, help="name of the bath")
        parser.add_argument("--probe", required=True, help="name of the probe that stands for the logger")
        parser.add_argument("--set-point", help="set point in °C of a new bath log with the file's span")
        parser.add_argument(
            "--ended", action="store_true", help="the new log ends at the file's last reading"
        )
        parser.add_argument("--answer", action="append", default=[], metavar="KEY=VALUE")

    def handle(self, *args: Any, **options: Any) -> None:
        """Look, ask, import."""
        site = self._find(Site, slug=options["site"])
        person = self._find(Person, site=site, code=options["person"])
        bath = self._find(Bath, site=site, name=options["bath"])
        probe = self._find(Probe, site=site, name=options["probe"])
        if bad := [each for each in options["answer"] if "=" not in each]:
            raise CommandError(f"Write an answer as KEY=VALUE, not “{bad[0]}”.")
        answers = dict(each.split("=", 1) for each in options["answer"])
        file: Path = options["file"]
        try:
            content = file.read_bytes()
            looked = look(content, answers, timezone=site.timezone, unit=site.temperature_unit)
        except OSError as trouble:
            raise CommandError(f"{file} can't be read: {trouble.strerror}.") from trouble
        except LoggerFileError as trouble:
            raise CommandError(f"{trouble} Nothing was imported.") from trouble
        if looked.questions:
            raise CommandError(self._asked(looked))
        log = None
        if options["set_point"] is None:
            log = BathLog.objects.filter(bath=bath, ended__isnull=True).first()
            if log is None:
                raise CommandError(f"{bath.name} is not running. Give --set-point for a new log.")
        try:
            set_point = None if log else Decimal(options["set_point"])
        except InvalidOperation:
            raise CommandError(f"“{options['set_point']}” is no temperature. Type it like 62.5.") from None
        now = moments.now()
        try:
            kept = keep_file(site=site, name=file.name, content=content, now=now)
            entry = import_log(
                log_file=kept,
                channel=looked.channels[0].name,
                answers=answers,
                probe=probe,
                bath_log=log,
                bath=bath,
                set_point_c=set_point,
                ended=options["ended"],
                hand=Hand(site=site, person=person, now=now),
            )
        except Refused as refusal:
            raise CommandError(refusal.message) from refusal
        refused = f", {len(looked.refused)} rows refused" if looked.refused else ""
        self.stdout.write(f"{entry.said['rows']} readings imported into the log of {bath.name}{refused}.")

    @staticmethod
    def _find(model: Any, **by: Any) -> Any:
        found = model.objects.filter(**by).first()
        if found is None:
            wanted = list(by.values())[-1]
            raise CommandError(f"There is no {model._meta.verbose_name} “{wanted}” here.")
        return found

    @staticmethod
    def _asked(looked: Look) -> str:
        lines = ["The file leaves something open; nothing was imported."]
        for each in looked.questions:
            lines.append(f"{each.key}: {each.text}")
            lines += [f"  --answer {each.key}={choice.value}  {choice.label}" for choice in each.choices]
            if not each.choices:
                lines.append(
                    f"  --answer {each.key}={'2026-11-24T08:00' if each.kind == 'moment' else '2026-11-24'}"
                )
        return "\n".join(lines)
