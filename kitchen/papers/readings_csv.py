"""The readings behind a batch record as CSV, to be attached to it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from haccp.record import BatchRecord, Reading
from kitchen.base.moments import local

HEAD = ("batch", "of", "place_or_bag", "utc", "local", "celsius", "tolerance_k", "probe", "trusted", "entry")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def plain(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def rows(gathered: BatchRecord) -> Iterator[tuple[str, ...]]:
    """Every reading of a place where a bag was, then every core check."""

    def told(of: str, place: str, reading: Reading) -> tuple[str, ...]:
        return (
            gathered.code,
            of,
            plain(place),
            reading.at.isoformat(),
            local(reading.at, gathered.timezone).isoformat(),
            f"{reading.celsius:.2f}",
            f"{reading.tolerance_k:.2f}",
            plain(reading.probe),
            "yes" if reading.trusted else "no",
            reading.entry,
        )

    for log in gathered.logs:
        for reading in log.readings:
            yield told(log.key.split(":")[0], log.name, reading)
    for bag in gathered.bags:
        for check in bag.core_checks:
            yield told(f"core, {check.step}", f"bag {bag.code}", check.reading)


def readings_csv(gathered: BatchRecord) -> str:
    """The whole file."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    writer.writerows(rows(gathered))
    return out.getvalue()
