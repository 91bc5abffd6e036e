"""Gather what was told of a batch round its cook: thaws, freezing, cures, figures, stays at service."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from copy import copy
from datetime import datetime
from functools import cached_property
from typing import Any

from haccp import record
from kitchen.batches.models import Bag, Batch, BatchMeasured
from kitchen.brining.models import BrineIn
from kitchen.finishing.models import KeptForService, ServiceReading
from kitchen.larder.models import Lot, LotFrozen, LotThawed
from kitchen.larder.receiving import EXEMPT, words_of
from kitchen.ledger.models import standing

FROZEN_FOR_PARASITES = "frozen for parasites"


class RoundTheCook:
    """Reads each kind of fact of a batch once. `reading` makes a reading of a row with its probe."""

    def __init__(self, batch: Batch, reading: Callable[[Any], record.Reading]) -> None:
        self.batch = batch
        self._reading = reading

    def _of_lots(self, model: type[Any]) -> list[Any]:
        codes = standing(self.batch.lots.all()).values("lot__code")
        rows = standing(model.objects.filter(lot__site=self.batch.site, lot__code__in=codes))
        related = ("lot", "probe") if model is LotThawed else ("lot",)
        return list(rows.select_related(*related).order_by("at", "pk"))

    @cached_property
    def papers(self) -> list[LotFrozen]:
        """The papers on the freezing of the batch's lots."""
        return self._of_lots(LotFrozen)

    def words(self, lot: Lot) -> frozenset[str]:
        """What papers say of a lot, in the words that limits turn on."""
        of_lot = [each for each in self.papers if each.lot.code == lot.code]
        return frozenset(EXEMPT if each.exempt else FROZEN_FOR_PARASITES for each in of_lot)

    @cached_property
    def freezings(self) -> tuple[record.Freezing, ...]:
        """What the suppliers say of freezing against parasites."""
        return tuple(
            record.Freezing(
                each.lot.code,
                statement=each.statement,
                stated_c=_float(each.celsius),
                stated_h=_float(each.hours),
                solid_c=_float(each.solid_c),
                entry=str(each.entry_id),
            )
            for each in self.papers
            if not each.exempt
        )

    def thaws(self, lots: Iterable[Lot], used_at: datetime | None) -> tuple[record.Thaw, ...]:
        """The thaws of the batch's lots; `used_at` is when the food was sealed."""
        known = {each.code: each for each in lots}
        return tuple(
            self._thaw(each, known.get(each.lot.code, each.lot), used_at) for each in self._of_lots(LotThawed)
        )

    def _thaw(self, row: LotThawed, lot: Lot, used_at: datetime | None) -> record.Thaw:
        words = words_of(lot.material, lot.attributes) | ({"sealed"} if row.pack_open is not None else set())
        return record.Thaw(
            lot.code,
            lot.product,
            words,
            row.how,
            row.begun_at,
            done_at=row.at,
            used_at=used_at if used_at is not None and used_at >= row.at else None,
            readings=self._read_at(row, row.celsius),
            water=self._read_at(row, row.water_c),
            pack_open=row.pack_open,
            entry=str(row.entry_id),
        )

    def _read_at(self, row: LotThawed, celsius: Any) -> tuple[record.Reading, ...]:
        """One figure of an entry that holds two, as a reading."""
        if celsius is None or row.probe is None:
            return ()
        one = copy(row)
        one.celsius = celsius
        return (self._reading(one),)

    def cures(self) -> tuple[record.Cure, ...]:
        """Brines with curing salt in which weighed food lay."""
        rows = standing(BrineIn.objects.filter(batch=self.batch, brine__cure_g__isnull=False))
        found = []
        for each in rows.select_related("brine").order_by("at", "pk"):
            brine = each.brine
            if each.meat_g is None or brine.cure_g is None or brine.nitrite_percent is None:
                continue
            found.append(
                record.Cure(
                    f"brine {brine.code}",
                    "immersed",
                    each.at,
                    cure_g=float(brine.cure_g),
                    meat_g=float(each.meat_g),
                    nitrite_percent=float(brine.nitrite_percent),
                    brine_g=float(brine.salt_g + brine.water_g + brine.cure_g),
                    entry=str(each.entry_id),
                )
            )
        return tuple(found)

    def assays(self) -> tuple[record.Assay, ...]:
        """Figures of meters and laboratories."""
        rows = standing(BatchMeasured.objects.filter(batch=self.batch)).order_by("at", "pk")
        return tuple(
            record.Assay(
                each.quantity,
                float(each.value),
                each.at,
                tolerance=float(each.tolerance),
                checked=each.checked,
                entry=str(each.entry_id),
            )
            for each in rows
        )

    @cached_property
    def _kept(self) -> dict[int, list[KeptForService]]:
        rows = standing(KeptForService.objects.filter(bag__batch=self.batch)).order_by("at", "pk")
        return _by_bag(rows)

    @cached_property
    def _read(self) -> dict[int, list[ServiceReading]]:
        rows = standing(ServiceReading.objects.filter(bag__batch=self.batch))
        return _by_bag(rows.select_related("probe").order_by("at", "pk"))

    def services(self, bag: Bag, ends: Sequence[datetime]) -> tuple[record.ServiceStay, ...]:
        """Stays of a bag at service: each until the next one, or until one of `ends`."""
        kept, found = self._kept.get(bag.pk, []), []
        for number, each in enumerate(kept):
            later = [at for at in (*ends, *(one.at for one in kept[number + 1 :])) if at >= each.at]
            until = min(later, default=None)
            read = (
                self._reading(one)
                for one in self._read.get(bag.pk, [])
                if each.at <= one.at and (until is None or one.at <= until)
            )
            found.append(
                record.ServiceStay(
                    each.kind,
                    each.at,
                    until=until,
                    readings=tuple(read),
                    words=frozenset({each.served_as} if each.served_as else ()),
                    marked=each.marked,
                    entry=str(each.entry_id),
                )
            )
        return tuple(found)


def _by_bag(rows: Iterable[Any]) -> dict[int, list[Any]]:
    grouped: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        grouped[row.bag_id].append(row)
    return grouped


def _float(value: Any) -> float | None:
    return None if value is None else float(value)
