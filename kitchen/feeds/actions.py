"""What is done with logger files: keep them, and import a channel as readings of a bath log."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction

from kitchen.base import moments
from kitchen.base.refusals import Refused
from kitchen.cooking.actions import end_bath, start_bath, usable
from kitchen.cooking.models import BathLog, BathReading, LogBreak
from kitchen.equipment.models import Bath, Probe
from kitchen.feeds.logger import look
from kitchen.feeds.models import LogFile
from kitchen.feeds.shapes import Channel, LoggedReading, Look
from kitchen.ledger import canonical
from kitchen.ledger.chain import AHEAD, Hand, record, taken_before
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.projections import projects

HUNDREDTH = Decimal("0.01")
AT_ONCE = 2000


def keep_file(*, site: Any, name: str, content: bytes, now: datetime) -> LogFile:
    """Keep the bytes of a file, once. No reading comes of it before the import is confirmed."""
    digest = hashlib.sha256(content).hexdigest()
    kept, _ = LogFile.objects.get_or_create(
        site=site, digest=digest, defaults={"name": name[-120:], "content": content, "kept_at": now}
    )
    return kept


def look_at(log_file: LogFile, answers: Mapping[str, str], timezone: str, unit: str = "degC") -> Look:
    """Look at a kept file with the answers given so far."""
    limit = settings.LOG_FILE_MAX_BYTES
    return look(bytes(log_file.content), answers, timezone=timezone, unit=unit, limit=limit)


def _channel(looked: Look, name: str) -> Channel:
    found = next((each for each in looked.channels if each.name == name), None)
    if looked.questions or found is None:
        raise Refused("The file still waits for answers. Answer them first; nothing was imported.")
    return found


def _new_rows(
    bath_log: BathLog, channel: Channel, first: datetime, last: datetime
) -> tuple[list[LoggedReading], list[LoggedReading]]:
    """The readings between two moments that the log does not hold yet from a file, and those that clash."""
    held = dict(
        standing(BathReading.objects.filter(bath_log=bath_log, from_file=True)).values_list("at", "celsius")
    )
    within = [each for each in channel.readings if first <= each.at <= last]
    fresh = [each for each in within if each.at not in held]
    clashing = [each for each in within if each.at in held and held[each.at] != _rounded(each.celsius)]
    return fresh, clashing


def _rounded(celsius: Decimal) -> Decimal:
    return celsius.quantize(HUNDREDTH)


def import_log(
    *,
    log_file: LogFile,
    channel: str,
    answers: Mapping[str, str],
    probe: Probe | None,
    hand: Hand,
    bath_log: BathLog | None = None,
    bath: Bath | None = None,
    set_point_c: Decimal | None = None,
    ended: bool = False,
) -> Entry:
    """Import one channel of a kept file into a bath log, or into a new one with the file's span.

    `probe` stands for the logger: its tolerance is that of the rows. With `ended` a new log
    ends at the file's last reading. Either everything is kept or nothing is.
    """
    again = taken_before(hand)
    if again and again.kind == "bath.import":
        return again
    found = _channel(look_at(log_file, answers, hand.site.timezone), channel)
    if not found.readings:
        raise Refused("That column holds no reading. Choose another one.")
    zone = hand.site.timezone
    if found.readings[-1].at > hand.moment + AHEAD:
        last = moments.clock(found.readings[-1].at, zone)
        raise Refused(
            f"The file's last reading is of {last}, which has not come yet. Check the start that was given, "
            "and the logger's clock. Nothing was imported."
        )
    with transaction.atomic():
        if bath_log is None:
            if bath is None or set_point_c is None:
                raise Refused("Choose the bath log, or the bath and its set point for a new one.", "log")
            began = found.readings[0].at
            bath_log = start_bath(bath=bath, set_point_c=set_point_c, hand=hand.another(), at=began)
            entry = _import(log_file, found, answers, usable(probe), hand, bath_log)
            if ended:
                end_bath(bath_log=bath_log, hand=hand.another(), at=found.readings[-1].at)
            return entry
        return _import(log_file, found, answers, usable(probe), hand, bath_log)


def _import(
    log_file: LogFile,
    channel: Channel,
    answers: Mapping[str, str],
    probe: Probe,
    hand: Hand,
    bath_log: BathLog,
) -> Entry:
    zone = hand.site.timezone
    end = bath_log.ended.happened_at if bath_log.ended else hand.moment + AHEAD
    within = [each for each in channel.readings if bath_log.started_at <= each.at <= end]
    if not within:
        span = f"{moments.clock(bath_log.started_at, zone)} to {moments.clock(end, zone)}"
        raise Refused(
            f"No reading of the file lies within that log of {bath_log.bath.name} ({span}). "
            "Check the start of the file, or choose another log. Nothing was imported.",
            "log",
        )
    fresh, clashing = _new_rows(bath_log, channel, within[0].at, within[-1].at)
    if clashing:
        at = moments.clock(clashing[0].at, zone)
        raise Refused(
            f"At {at} (line {clashing[0].line}) this file says other than one imported before: was it "
            "another column, or another bath? Nothing was imported.",
            "log",
        )
    if not fresh:
        raise Refused("All readings of this file are in that log already. Nothing was added.", "log")
    said = {
        "log": bath_log.entry_id,
        "name": log_file.name,
        "digest": log_file.digest,
        "channel": channel.name,
        "answers": dict(answers),
        "timezone": zone,
        "rows": len(fresh),
        "probe": probe.name,
        "first": within[0].at,
        "last": within[-1].at,
    }
    return record("bath.import", said, hand=hand)


@projects("bath.import", correctable=True)
def _bath_import(entry: Entry, said: dict[str, Any]) -> None:
    """The file is read again, by the same answers: it is the original, the rows are its projection."""
    log_file = LogFile.objects.get(site=entry.site, digest=said["digest"])
    bath_log = BathLog.objects.get(entry_id=UUID(said["log"]))
    probe = Probe.objects.get(site=entry.site, name=said["probe"])
    looked = look_at(log_file, said["answers"], said["timezone"])
    first, last = canonical.moment(said["first"]), canonical.moment(said["last"])
    fresh, _ = _new_rows(bath_log, _channel(looked, said["channel"]), first, last)
    BathReading.objects.bulk_create(
        (
            BathReading(
                entry=entry,
                at=each.at,
                bath_log=bath_log,
                celsius=_rounded(each.celsius),
                probe=probe,
                from_file=True,
            )
            for each in fresh
        ),
        batch_size=AT_ONCE,
    )
    LogBreak.objects.bulk_create(
        LogBreak(entry=entry, at=each, bath_log=bath_log) for each in looked.breaks if first <= each <= last
    )
