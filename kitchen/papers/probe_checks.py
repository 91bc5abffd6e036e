"""The checks of the probes that a record rests on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from haccp.record import BatchRecord, Reading
from kitchen.equipment.models import ProbeCheck
from kitchen.ledger.models import standing
from kitchen.papers.sections import Section, section
from kitchen.papers.wordings import Wordings


def readings(gathered: BatchRecord) -> Iterator[Reading]:
    """Every reading of a place where a bag was, and every core check."""
    for log in gathered.logs:
        yield from log.readings
    for bag in gathered.bags:
        yield from (check.reading for check in bag.core_checks)


def bearing(checks: list[ProbeCheck], first: datetime, last: datetime) -> list[ProbeCheck]:
    """The checks that bear on readings between two moments: those between, and one before and after."""
    before = [each for each in checks if each.at < first][-1:]
    after = [each for each in checks if each.at > last][:1]
    return before + [each for each in checks if first <= each.at <= last] + after


def probe_checks(gathered: BatchRecord, words: Wordings) -> Section:
    """Each probe's checks around its readings, and the probes without one."""
    used: dict[str, list[datetime]] = {}
    for reading in readings(gathered):
        used.setdefault(reading.probe, []).append(reading.at)
    by_probe: dict[str, list[ProbeCheck]] = {}
    checks = standing(ProbeCheck.objects.filter(probe__site=words.site, probe__name__in=used))
    for check in checks.select_related("probe").order_by("at", "pk"):
        by_probe.setdefault(check.probe.name, []).append(check)
    rows = [
        (
            probe,
            check.get_medium_display(),
            words.clock(check.at),
            words.temperature(check.celsius),
            "meets limits" if check.passed else "fails limits",
            check.sentence,
        )
        for probe, found in sorted(by_probe.items())
        for check in bearing(found, min(used[probe]), max(used[probe]))
    ]
    unchecked = sorted(used.keys() - {row[0] for row in rows})
    note = f"No check is recorded of: {', '.join(unchecked)}." if unchecked else ""
    return section("Probe checks", rows, note, empty="" if unchecked else "No probe was read.")
