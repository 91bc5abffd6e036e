"""The steps of a batch as its record prints them: in the order of the work, nothing left blank."""

from __future__ import annotations

from typing import Any

from haccp.record import BagRecord, BatchRecord
from kitchen.base.moments import span
from kitchen.batches.models import Batch, Sealing
from kitchen.brining.actions import percent
from kitchen.finishing.models import Finish
from kitchen.ledger.models import standing
from kitchen.papers.probe_checks import probe_checks
from kitchen.papers.sections import Row, Section, section
from kitchen.papers.stays import Stays
from kitchen.papers.wordings import NOT_RECORDED, Wordings, length, mass, together
from kitchen.review.showing import numbers_in_words


class Steps:
    """Everything that is known of the steps of one batch."""

    def __init__(self, batch: Batch, gathered: BatchRecord) -> None:
        self.batch = batch
        self.gathered = gathered
        self.words = Wordings(batch.site)
        self.lots = [each.lot for each in standing(batch.lots.all()).select_related("lot__probe")]

    def sections(self) -> list[Section]:
        """All steps in order."""
        stays = Stays(self.gathered, self.words)
        return [
            self.deliveries(),
            self.brine(),
            self.bags(),
            stays.cook(),
            stays.cores(),
            stays.chill(),
            stays.store(),
            self.finish(),
            self.allergens(),
            probe_checks(self.gathered, self.words),
        ]

    def deliveries(self) -> Section:
        """One step back: supplier, lot, use-by, temperature at the door."""
        words = self.words

        def delivery(lot: Any) -> str:
            said = "accepted" if lot.accepted else "rejected"
            return f"{said}; {lot.condition}" if lot.condition else said

        rows = [
            (
                lot.product,
                lot.code,
                lot.supplier,
                words.clock(lot.at),
                words.temperature(lot.celsius) + (f" (probe {lot.probe})" if lot.probe else ""),
                words.day(lot.use_by),
                mass(lot.grams),
                delivery(lot),
            )
            for lot in self.lots
        ]
        return section("Lots", rows, empty="No lot is recorded.")

    def brine(self) -> Section:
        """What brine, how long, and what was done after it."""
        method = self.batch.method
        ins = standing(self.batch.brine_ins.all()).select_related("brine").order_by("at")
        outs = list(standing(self.batch.brine_outs.all()).order_by("at"))
        rows = [
            self._brined(went_in, next((each for each in outs if each.at >= went_in.at), None))
            for went_in in ins
        ]
        asked = "The method asks for no brine."
        if method.brine_percent is not None:
            time = NOT_RECORDED if method.brine_min is None else f"{method.brine_min} min"
            asked = f"The method asks for {float(method.brine_percent):g} % w/w, time: {time}."
        return section("Brine", rows, asked, empty="No brine is recorded.")

    def _brined(self, went_in: Any, out: Any) -> Row:
        brine = went_in.brine
        made = f"{float(brine.salt_g):g} g salt in {float(brine.water_g):g} g water"
        rinsed = dried = ""
        if out:
            rinsed = "rinsed in cold running water" if out.rinsed else "not rinsed"
            dried = "dried" if out.dried else "not dried"
        return (
            f"{brine.code}: {made}, {percent(brine):.1f} % w/w",
            self.words.clock(went_in.at),
            self.words.clock(out.at) if out else NOT_RECORDED,
            span(out.at - went_in.at) if out else NOT_RECORDED,
            length(went_in.thickness_mm),
            f"{rinsed}, {dried}" if out else NOT_RECORDED,
        )

    def bags(self) -> Section:
        """Each bag as it was sealed."""
        sealed = standing(Sealing.objects.filter(bag__batch=self.batch)).select_related("bag")

        def said(row: Sealing) -> Row:
            sides = [length(side) for side in (row.length_mm, row.width_mm) if side]
            return (
                length(row.thickness_mm),
                " × ".join(sides) or NOT_RECORDED,
                mass(row.grams),
                self.words.temperature(row.start_c),
                self.words.clock(row.at),
                ", ".join(row.doubts) or "none",
            )

        rows = together(((each.bag.number, each) for each in sealed.order_by("bag__number")), said)
        method = self.batch.method
        note = (
            f"Shape: {method.shape}; thickness ± {length(method.thickness_tolerance_mm)}, "
            f"greatest {length(method.thickness_max_mm)} by the method."
        )
        return section("Bags", ((name, *row) for name, row in rows), note, empty="No bag was sealed.")

    def finish(self) -> Section:
        """What became of each bag."""
        found = standing(Finish.objects.filter(bag__batch=self.batch)).select_related("bag")
        rows = together(
            ((each.bag.number, each) for each in found.order_by("at", "bag__number")),
            lambda each: (
                each.kind,
                self.words.clock(each.at),
                NOT_RECORDED if each.portions is None else str(each.portions),
                each.note or "–",
            ),
        )
        here = [int(bag.code) for bag in self.gathered.bags if not ended(bag)]
        note = f"{numbers_in_words(here)}: still here." if here else ""
        return section("Second cook, serving, discarding", ((name, *row) for name, row in rows), note)

    def allergens(self) -> Section:
        """Declared by the method and by each lot."""
        rows = [("Method", self.batch.method.allergens or NOT_RECORDED)]
        rows += [(f"Lot {lot.code}, {lot.product}", lot.allergens or NOT_RECORDED) for lot in self.lots]
        return section("Allergens", rows)


def ended(bag: BagRecord) -> bool:
    """Whether a bag was served or discarded."""
    return any(each.kind in ("served", "discarded") for each in bag.finishes)
