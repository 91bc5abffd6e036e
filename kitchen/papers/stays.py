"""The steps in which a bag stays somewhere: cook, chill, store; and the core checks on the way."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from haccp.record import BagRecord, BatchRecord, MediumLog, Stay, Step
from kitchen.base.moments import span
from kitchen.papers.sections import Row, Section, section
from kitchen.papers.wordings import NOT_RECORDED, Wordings, counted, together


class Stays:
    """Where the bags of one batch were, and what was read there meanwhile."""

    def __init__(self, gathered: BatchRecord, words: Wordings) -> None:
        self.gathered = gathered
        self.words = words

    def _stays(self, step: str) -> Iterator[tuple[int, tuple[BagRecord, Stay]]]:
        for bag in self.gathered.bags:
            for stay in getattr(bag, step):
                yield int(bag.code), (bag, stay)

    def _place(self, stay: Stay) -> MediumLog:
        log = self.gathered.log(stay.log)
        if log is None:
            raise LookupError(f"{self.gathered.code}: no log {stay.log} was gathered.")
        return log

    def _read(self, stay: Stay) -> str:
        """The readings of a place during a stay: how many, how far apart in temperature."""
        until = stay.out_at or self.gathered.seen_at
        found = [each for each in self._place(stay).readings if stay.into_at <= each.at <= until]
        if not found:
            return "no reading"
        doubted = sum(not each.trusted for each in found)
        said = f"{self.words.spread([each.celsius for each in found])} in {counted(len(found), 'reading')}"
        return f"{said}, {doubted} by a probe that failed its check" if doubted else said

    def _moments(self, stay: Stay) -> tuple[str, str, str]:
        out = self.words.clock(stay.out_at) if stay.out_at else "still there"
        return (
            self.words.clock(stay.into_at),
            out,
            span((stay.out_at or self.gathered.seen_at) - stay.into_at),
        )

    def cook(self) -> Section:
        """Bath, set point, in, out, and what was read meanwhile."""

        def said(row: tuple[BagRecord, Stay]) -> Row:
            stay = row[1]
            log = self._place(stay)
            band = f" ± {self.words.difference(log.band_k)}" if log.band_k is not None else ""
            set_point = f"{self.words.temperature(log.set_point_c)}{band}"
            return (log.name, set_point, *self._moments(stay), self._read(stay))

        rows = together(self._stays("cook"), said)
        return section("Cook", ((name, *row) for name, row in rows), empty="No bag was in a bath.")

    def cores(self) -> Section:
        """Core temperatures that were probed."""
        probed = [(bag, check) for bag in self.gathered.bags for check in bag.core_checks]
        rows = [
            (
                f"Bag {bag.code}",
                str(check.step),
                self.words.clock(check.reading.at),
                self.words.temperature(check.reading.celsius),
                f"{check.reading.probe} (± {self.words.difference(check.reading.tolerance_k)})",
                "yes" if check.reading.trusted else "no: the probe failed its check",
            )
            for bag, check in sorted(probed, key=lambda each: each[1].reading.at)
        ]
        empty = "No core was probed: the core is computed from the readings of the water."
        return section("Core checks", rows, empty=empty)

    def chill(self) -> Section:
        """Chill method, how soon after the bath, how long."""

        def said(row: tuple[BagRecord, Stay]) -> Row:
            bag, stay = row
            log = self._place(stay)
            left = [each.out_at for each in bag.cook if each.out_at and each.out_at <= stay.into_at]
            wait = span(stay.into_at - max(left)) if left else NOT_RECORDED
            name = f"{log.name} ({log.medium.replace('_', ' ')})"
            return (name, wait, *self._moments(stay), self._read(stay))

        rows = together(self._stays("chill"), said)
        return section("Chill", ((name, *row) for name, row in rows), empty="No chill is recorded.")

    def store(self) -> Section:
        """Which fridge, from when, until when."""

        def said(row: tuple[BagRecord, Stay]) -> Row:
            stay = row[1]
            return (self._place(stay).name, *self._moments(stay), self._read(stay))

        rows = together(self._stays("store"), said)
        return section("Store", ((name, *row) for name, row in rows), empty="No store is recorded.")


def chill_checks(bag: BagRecord) -> Iterator[tuple[float, timedelta]]:
    """Core checks of the chill: the temperature [°C], and how long after the bath."""
    left = max((each.out_at for each in bag.cook if each.out_at), default=None)
    for check in bag.core_checks:
        if check.step == Step.CHILL and left:
            yield check.reading.celsius, check.reading.at - left
