"""The steps of a batch as its record prints them: in the order of the work, nothing left blank."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime

from haccp.record import BagRecord, BatchRecord, MediumLog, Reading, Stay, Step
from kitchen.base.moments import span
from kitchen.batches.models import Batch, Sealing
from kitchen.brining.actions import percent
from kitchen.equipment.models import ProbeCheck
from kitchen.ledger.models import standing
from kitchen.papers.wordings import NOT_RECORDED, Wordings, counted, length, mass, together

Row = tuple[str, ...]


@dataclass(frozen=True)
class Section:
    """A step: a table with its head, or one sentence where there is nothing to tabulate."""

    title: str
    head: Row = ()
    rows: list[Row] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


class Steps:
    """Everything that is known of the steps of one batch."""

    def __init__(self, batch: Batch, gathered: BatchRecord) -> None:
        self.batch = batch
        self.gathered = gathered
        self.words = Wordings(batch.site)
        self.lots = [each.lot for each in standing(batch.lots.all()).select_related("lot__probe")]

    def sections(self) -> list[Section]:
        """All steps in order."""
        return [
            self.deliveries(),
            self.brine(),
            self.bags(),
            self.cook(),
            self.cores(),
            self.chill(),
            self.store(),
            self.finish(),
            self.allergens(),
            self.probes(),
        ]

    def deliveries(self) -> Section:
        """One step back: supplier, lot, use-by, temperature at the door."""
        words = self.words
        rows = [
            (
                lot.product,
                lot.code,
                lot.supplier,
                words.clock(lot.at),
                words.temperature(lot.celsius) + (f" (probe {lot.probe})" if lot.probe else ""),
                words.day(lot.use_by),
                mass(lot.grams),
                ("accepted" if lot.accepted else "rejected")
                + (f"; {lot.condition}" if lot.condition else ""),
            )
            for lot in self.lots
        ]
        head = ("Product", "Lot", "Supplier", "Received", "Temperature", "Use-by", "Weight", "Delivery")
        return Section("Lots", head, rows)

    def brine(self) -> Section:
        """What brine, how long, and what was done after it."""
        method = self.batch.method
        ins = list(standing(self.batch.brine_ins.all()).select_related("brine").order_by("at"))
        outs = list(standing(self.batch.brine_outs.all()).order_by("at"))
        rows = []
        for went_in in ins:
            out = next((each for each in outs if each.at >= went_in.at), None)
            made = f"{float(went_in.brine.salt_g):g} g salt in {float(went_in.brine.water_g):g} g water"
            rows.append(
                (
                    f"{went_in.brine.code}: {made}, {percent(went_in.brine):.1f} % w/w",
                    self.words.clock(went_in.at),
                    self.words.clock(out.at) if out else NOT_RECORDED,
                    span(out.at - went_in.at) if out else NOT_RECORDED,
                    length(went_in.thickness_mm),
                    ", ".join(
                        [
                            "rinsed in cold running water" if out.rinsed else "not rinsed",
                            "dried" if out.dried else "not dried",
                        ]
                    )
                    if out
                    else NOT_RECORDED,
                )
            )
        asked = (
            f"The method asks for {float(method.brine_percent):g} % w/w for {span_min(method.brine_min)}."
            if method.brine_percent is not None
            else "The method asks for no brine."
        )
        head = ("Brine", "In", "Out", "Time", "Thickness", "Afterwards")
        return Section("Brine", head, rows, [asked] if rows else [f"{asked} No brine is recorded."])

    def bags(self) -> Section:
        """Each bag as it was sealed."""
        sealed = standing(Sealing.objects.filter(bag__batch=self.batch)).select_related("bag")
        rows = together(
            ((each.bag.number, each) for each in sealed.order_by("bag__number")),
            lambda each: (
                length(each.thickness_mm),
                " × ".join(length(side) for side in (each.length_mm, each.width_mm) if side) or NOT_RECORDED,
                mass(each.grams),
                self.words.temperature(each.start_c),
                self.words.clock(each.at),
                ", ".join(each.doubts) or "none",
            ),
        )
        method = self.batch.method
        note = (
            f"Shape: {method.shape}; thickness ± {length(method.thickness_tolerance_mm)}, "
            f"greatest {length(method.thickness_max_mm)} by the method."
        )
        head = ("Bag", "Thickness", "Length × width", "Weight", "Food at", "Sealed", "In doubt")
        return Section("Bags", head, [(name, *said) for name, said in rows], [note])

    def _stays(self, step: str) -> Iterator[tuple[int, tuple[BagRecord, Stay]]]:
        for bag in self.gathered.bags:
            for stay in getattr(bag, step):
                yield int(bag.code), (bag, stay)

    def _place(self, stay: Stay) -> MediumLog:
        log = self.gathered.log(stay.log)
        if log is None:
            raise LookupError(f"{self.batch}: no log {stay.log} was gathered.")
        return log

    def _read(self, stay: Stay) -> str:
        """The readings of a place during a stay: how many, how far apart in temperature."""
        found = [
            each
            for each in self._place(stay).readings
            if stay.into_at <= each.at <= (stay.out_at or self.gathered.seen_at)
        ]
        if not found:
            return "no reading"
        doubted = sum(not each.trusted for each in found)
        said = f"{self.words.spread([each.celsius for each in found])} in {counted(len(found), 'reading')}"
        return f"{said}, {doubted} by a probe that failed its check" if doubted else said

    def _stay(self, stay: Stay) -> tuple[str, str, str]:
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
            band = f" ± {log.band_k:g} °C" if log.band_k is not None else ""
            return (
                log.name,
                f"{self.words.temperature(log.set_point_c)}{band}",
                *self._stay(stay),
                self._read(stay),
            )

        rows = [(name, *row) for name, row in together(self._stays("cook"), said)]
        head = ("Bag", "Bath", "Set point", "In", "Out", "Time", "Water read")
        return Section("Cook", head, rows, [] if rows else ["No bag was in a bath."])

    def cores(self) -> Section:
        """Core temperatures that were probed."""
        probed = [(bag, check) for bag in self.gathered.bags for check in bag.core_checks]
        rows = [
            (
                f"Bag {bag.code}",
                str(check.step),
                self.words.clock(check.reading.at),
                self.words.temperature(check.reading.celsius),
                f"{check.reading.probe} (± {check.reading.tolerance_k:g} °C)",
                "yes" if check.reading.trusted else "no: the probe failed its check",
            )
            for bag, check in sorted(probed, key=lambda each: each[1].reading.at)
        ]
        head = ("Bag", "Step", "When", "Core", "Probe", "Counted")
        note = (
            [] if rows else ["No core was probed; the core curve is computed from the readings of the water."]
        )
        return Section("Core checks", head, rows, note)

    def chill(self) -> Section:
        """Chill method, how soon after the bath, how long."""

        def said(row: tuple[BagRecord, Stay]) -> Row:
            bag, stay = row
            log = self._place(stay)
            left = [each.out_at for each in bag.cook if each.out_at and each.out_at <= stay.into_at]
            wait = span(stay.into_at - max(left)) if left else NOT_RECORDED
            return (f"{log.name} ({log.medium.replace('_', ' ')})", wait, *self._stay(stay), self._read(stay))

        rows = [(name, *row) for name, row in together(self._stays("chill"), said)]
        head = ("Bag", "Chill method", "After the bath", "In", "Out", "Time", "Read")
        return Section("Chill", head, rows, [] if rows else ["No chill is recorded."])

    def store(self) -> Section:
        """Which fridge, from when, until when."""
        rows = [
            (name, *row)
            for name, row in together(
                self._stays("store"),
                lambda row: (self._place(row[1]).name, *self._stay(row[1]), self._read(row[1])),
            )
        ]
        head = ("Bag", "Fridge", "In", "Out", "Time", "Read")
        return Section("Store", head, rows, [] if rows else ["No store is recorded."])

    def finish(self) -> Section:
        """What became of each bag."""
        rows = together(
            ((int(bag.code), each) for bag in self.gathered.bags for each in bag.finishes),
            lambda each: (each.kind, self.words.clock(each.at), each.note or "–"),
        )
        here = [int(bag.code) for bag in self.gathered.bags if not ended(bag)]
        notes = [
            f"{name}: still here." for name, _ in together(((each, 0) for each in here), lambda each: each)
        ]
        head = ("Bag", "What", "When", "Note")
        return Section("Second cook, serving, discarding", head, [(name, *row) for name, row in rows], notes)

    def allergens(self) -> Section:
        """Declared by the method and by each lot."""
        rows = [("Method", self.batch.method.allergens or NOT_RECORDED)]
        rows += [(f"Lot {lot.code}, {lot.product}", lot.allergens or NOT_RECORDED) for lot in self.lots]
        return Section("Allergens", ("From", "Declared"), rows)

    def _readings(self) -> Iterator[Reading]:
        for log in self.gathered.logs:
            yield from log.readings
        for bag in self.gathered.bags:
            yield from (check.reading for check in bag.core_checks)

    def probes(self) -> Section:
        """The checks of the probes that this record rests on."""
        used: dict[str, list[datetime]] = {}
        for reading in self._readings():
            used.setdefault(reading.probe, []).append(reading.at)
        checks = standing(ProbeCheck.objects.filter(probe__site=self.batch.site, probe__name__in=used))
        by_probe: dict[str, list[ProbeCheck]] = {}
        for check in checks.select_related("probe").order_by("at", "pk"):
            by_probe.setdefault(check.probe.name, []).append(check)
        told = [
            check
            for probe, found in sorted(by_probe.items())
            for check in bearing(found, min(used[probe]), max(used[probe]))
        ]
        rows = [
            (
                each.probe.name,
                each.get_medium_display(),
                self.words.clock(each.at),
                self.words.temperature(each.celsius),
                "meets limits" if each.passed else "fails limits",
                each.sentence,
            )
            for each in told
        ]
        unchecked = sorted(used.keys() - {row[0] for row in rows})
        notes = [f"No check is recorded of: {', '.join(unchecked)}."] if unchecked else []
        head = ("Probe", "In", "When", "Read", "Result", "In words")
        return Section("Probe checks", head, rows, notes)


def bearing(checks: list[ProbeCheck], first: datetime, last: datetime) -> list[ProbeCheck]:
    """The checks that bear on readings between two moments: those between, and one before and after."""
    before = [each for each in checks if each.at < first][-1:]
    after = [each for each in checks if each.at > last][:1]
    return before + [each for each in checks if first <= each.at <= last] + after


def ended(bag: BagRecord) -> bool:
    """Whether a bag was served or discarded."""
    return any(each.kind in ("served", "discarded") for each in bag.finishes)


def span_min(minutes: int | None) -> str:
    """A time that a method asks for."""
    return NOT_RECORDED if minutes is None else f"{minutes} min"


def chill_checks(bag: BagRecord) -> Iterator[tuple[float, str]]:
    """Core checks of the chill: the temperature [°C], and how long after the bath, in words."""
    left = max((each.out_at for each in bag.cook if each.out_at), default=None)
    for check in bag.core_checks:
        if check.step == Step.CHILL and left:
            yield check.reading.celsius, span(check.reading.at - left)
