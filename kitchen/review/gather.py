"""Gather a batch's rows into one `haccp.record.BatchRecord`: frozen, plain, without Django.

The number of queries does not grow with the number of bags or readings.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from typing import Any

from haccp import record
from kitchen.batches.models import Bag, Batch, Sealing
from kitchen.brining.models import BrineIn, BrineOut
from kitchen.chilling.models import ChillIn, ChillOut, ChillReading
from kitchen.cooking.models import BagIn, BagOut, BathReading, CoreCheck, LogBreak
from kitchen.equipment.models import ProbeCheck
from kitchen.finishing.actions import ENDS as _ENDS
from kitchen.finishing.models import Finish
from kitchen.larder.models import Lot
from kitchen.larder.receiving import words_of
from kitchen.ledger.models import Fact, standing
from kitchen.methods.approvals import approvals_of
from kitchen.review import trail, wording
from kitchen.review.gather_round import RoundTheCook
from kitchen.review.spans import BEFORE, Spans, spans_of, within
from kitchen.review.trust import Trust
from kitchen.storing.models import FridgeReading, Stored

START_TOLERANCE_K = 1.0
Key = Callable[[Any], Any]


def _by(rows: Iterable[Any], key: Key) -> dict[Any, list[Any]]:
    grouped: dict[Any, list[Any]] = defaultdict(list)
    for row in rows:
        grouped[key(row)].append(row)
    return grouped


def _names(typed: str) -> frozenset[str]:
    """Words with commas between."""
    return frozenset(word.strip().lower() for word in typed.split(",") if word.strip())


def _facts(model: type[Fact], **filters: Any) -> list[Any]:
    return list(standing(model._default_manager.filter(**filters)).order_by("at", "pk"))


def _lots(batch: Batch) -> list[Lot]:
    """The lots of a batch as they stand: a corrected delivery takes the place of the first."""
    codes = standing(batch.lots.all()).values("lot__code")
    lots = Lot.objects.filter(site=batch.site, code__in=codes).select_related("probe")
    return list(standing(lots).order_by("code"))


class Gatherer:
    """Reads everything about one batch once, then builds its record."""

    def __init__(self, batch: Batch, seen_at: datetime) -> None:
        self.batch = batch
        self.site = batch.site
        self.seen_at = seen_at
        self.bags = list(batch.bags.all())
        inside = {"bag__batch": batch}
        self.sealings = {each.bag_id: each for each in _facts(Sealing, **inside)}
        self.ins = _by(_facts(BagIn, **inside), lambda each: each.bag_id)
        self.outs = _by(_facts(BagOut, **inside), lambda each: each.bag_id)
        self.chill_ins = _by(_facts(ChillIn, **inside), lambda each: each.bag_id)
        self.chill_outs = _by(_facts(ChillOut, **inside), lambda each: each.bag_id)
        self.stored = _by(_facts(Stored, **inside), lambda each: each.bag_id)
        self.cores = _by(
            standing(CoreCheck.objects.filter(**inside)).select_related("probe").order_by("at"),
            lambda each: each.bag_id,
        )
        self.lots = _lots(batch)
        self.finishes = _by(_facts(Finish, **inside), lambda each: each.bag_id)
        self.round = RoundTheCook(batch, self._reading)
        self.checks = list(standing(ProbeCheck.objects.filter(probe__site=self.site)).select_related("probe"))
        self.trust = Trust.of(self.checks)

    def record(self) -> record.BatchRecord:
        """The whole record at the moment it was looked at."""
        method = self.batch.method
        told = record.BatchRecord(
            code=self.batch.code,
            site=self.site.name,
            regime=self.batch.regime,
            timezone=self.site.timezone,
            day=self.batch.made_on,
            seen_at=self.seen_at,
            method=method.facts,
            bags=tuple(self._bag(bag, float(method.thickness_tolerance_mm)) for bag in self.bags),
            logs=(*self._bath_logs(), *self._chill_logs(), *self._fridge_logs()),
            altitude_m=float(self.site.altitude_m),
            late_entries=self._late_entries(),
            deliveries=tuple(self._delivery(each) for each in self.lots),
            thaws=self.round.thaws(self.lots, self._used_at()),
            freezings=self.round.freezings,
            cures=self.round.cures(),
            assays=self.round.assays(),
            brinings=self._brinings(),
            allergens=record.AllergenSheet(_names(method.allergens)),
            approvals=approvals_of(method, known=self.batch.entry),
        )
        used = {each.probe for each in told.readings()}
        return replace(told, probe_checks=self._checks_of(used))

    def _checks_of(self, probes: set[str]) -> tuple[record.ProbeCheck, ...]:
        return tuple(
            record.ProbeCheck(
                each.probe.name, each.at, each.medium, float(each.celsius), entry=str(each.entry_id)
            )
            for each in sorted(self.checks, key=lambda check: check.at)
            if each.probe.name in probes
        )

    def _delivery(self, lot: Lot) -> record.Delivery:
        read = lot.celsius is not None and lot.probe is not None
        return record.Delivery(
            lot=lot.code,
            product=lot.product,
            at=lot.at,
            words=words_of(lot.material, lot.attributes) | self.round.words(lot),
            reading=self._reading(lot) if read else None,
            accepted=lot.accepted,
            use_by=lot.use_by,
            supplier=lot.supplier,
            grams=lot.grams,
            allergens=_names(lot.allergens),
            entry=str(lot.entry_id),
        )

    def _brinings(self) -> tuple[record.Brining, ...]:
        """Stays in brine: each goes in, and comes out at the next moment that says so."""
        outs = [each.at for each in _facts(BrineOut, batch=self.batch)]
        ins = standing(BrineIn.objects.filter(batch=self.batch)).select_related("brine").order_by("at", "pk")
        return tuple(
            record.Brining(
                each.brine.code, each.at, out_at=min((out for out in outs if out >= each.at), default=None)
            )
            for each in ins
        )

    def _bag(self, bag: Bag, tolerance_mm: float) -> record.BagRecord:
        sealed = self.sealings.get(bag.pk)
        stays = record.Stay
        cook = tuple(
            stays(f"bath:{each.bath_log_id}", each.at, self._end(each, self.outs, "bath_log_id"))
            for each in self.ins.get(bag.pk, [])
        )
        chill = tuple(
            stays(f"chill:{each.chiller_id}", each.at, self._end(each, self.chill_outs, "chiller_id"))
            for each in self.chill_ins.get(bag.pk, [])
        )
        finishes = self.finishes.get(bag.pk, [])
        return record.BagRecord(
            code=str(bag.number),
            shape=self.batch.method.shape,
            thickness_mm=float(sealed.thickness_mm) if sealed else None,
            thickness_tolerance_mm=tolerance_mm,
            start_c=float(sealed.start_c) if sealed else None,
            start_tolerance_k=START_TOLERANCE_K,
            sealed_at=sealed.at if sealed else None,
            length_mm=float(sealed.length_mm) if sealed and sealed.length_mm else None,
            width_mm=float(sealed.width_mm) if sealed and sealed.width_mm else None,
            cook=cook,
            chill=chill,
            store=self._store(bag, finishes),
            core_checks=tuple(
                record.CoreCheck(self._reading(each), record.Step(each.step))
                for each in self.cores.get(bag.pk, [])
            ),
            finishes=tuple(record.Finish(each.kind, each.at, each.note) for each in finishes),
            doubts=frozenset(sealed.doubts) if sealed else frozenset(),
            services=self.round.services(bag, self._service_ends(bag, finishes)),
        )

    def _used_at(self) -> datetime | None:
        """When the first of the food was sealed."""
        return min((each.at for each in self.sealings.values()), default=None)

    def _service_ends(self, bag: Bag, finishes: list[Any]) -> list[datetime]:
        """What ends a stay at service: it was served or discarded, or went back into a fridge."""
        gone = [each.at for each in finishes if each.kind in _ENDS]
        return [*gone, *(each.at for each in self.stored.get(bag.pk, []))]

    @staticmethod
    def _end(start: Any, ends: dict[int, list[Any]], place: str) -> datetime | None:
        same = (
            each.at
            for each in ends.get(start.bag_id, [])
            if getattr(each, place) == getattr(start, place) and each.at >= start.at
        )
        return min(same, default=None)

    def _store(self, bag: Bag, finishes: list[Any]) -> tuple[record.Stay, ...]:
        """Stays in fridges: each ends with the next move, or when the bag was served or discarded."""
        stored = self.stored.get(bag.pk, [])
        ended = min((each.at for each in finishes if each.kind in _ENDS), default=None)
        nexts = [*(each.at for each in stored[1:]), ended][: len(stored)]
        return tuple(
            record.Stay(f"fridge:{each.fridge_id}", each.at, until)
            for each, until in zip(stored, nexts, strict=True)
        )

    def _reading(self, row: Any) -> record.Reading:
        return record.Reading(
            at=row.at,
            celsius=float(row.celsius),
            tolerance_k=float(row.probe.tolerance_k),
            probe=row.probe.name,
            trusted=self.trust.holds(row.probe_id, row.at),
            entry=str(row.entry_id),
        )

    def _bath_logs(self) -> Iterable[record.MediumLog]:
        logs = {each.bath_log_id for rows in self.ins.values() for each in rows}
        readings = _by(
            standing(BathReading.objects.filter(bath_log__in=logs))
            .select_related("probe")
            .order_by("at", "pk"),
            lambda each: each.bath_log_id,
        )
        spans = spans_of(
            (each.bath_log_id, each.at, self._end(each, self.outs, "bath_log_id"))
            for rows in self.ins.values()
            for each in rows
        )
        breaks = _by(_facts(LogBreak, bath_log__in=logs), lambda each: each.bath_log_id)
        for log in (
            BagIn._meta.get_field("bath_log").related_model.objects.filter(pk__in=logs).select_related("bath")
        ):
            yield record.MediumLog(
                key=f"bath:{log.pk}",
                name=log.bath.name,
                medium=log.bath.medium,
                readings=tuple(
                    self._reading(each) for each in within(readings.get(log.pk, []), spans[log.pk])
                ),
                set_point_c=float(log.set_point_c),
                band_k=float(log.bath.band_k),
                greatest_fall_k_per_min=float(log.bath.fall_k_per_min),
                greatest_rise_k_per_min=float(log.bath.rise_k_per_min),
                interval_min=float(log.bath.every_min),
                breaks=tuple(each.at for each in breaks.get(log.pk, [])),
            )

    def _chill_logs(self) -> Iterable[record.MediumLog]:
        places = {each.chiller_id: each.chiller for rows in self.chill_ins.values() for each in rows}
        spans = spans_of(
            (each.chiller_id, each.at, self._end(each, self.chill_outs, "chiller_id"))
            for rows in self.chill_ins.values()
            for each in rows
        )
        return self._place_logs("chill", places, spans, ChillReading, "chiller_id")

    def _fridge_logs(self) -> Iterable[record.MediumLog]:
        places = {each.fridge_id: each.fridge for rows in self.stored.values() for each in rows}
        spans = spans_of(
            (int(each.log.removeprefix("fridge:")), each.into_at, each.out_at)
            for bag in self.bags
            for each in self._store(bag, self.finishes.get(bag.pk, []))
        )
        return self._place_logs("fridge", places, spans, FridgeReading, "fridge_id")

    def _place_logs(
        self, prefix: str, places: dict[int, Any], spans: Spans, model: type[Fact], key: str
    ) -> Iterable[record.MediumLog]:
        if not places:
            return
        begun = min(start for start, _ in spans.values())
        rows = standing(
            model._default_manager.filter(**{f"{key}__in": places}, at__gte=begun - BEFORE)
        ).select_related("probe")
        readings = _by(rows.order_by("at", "pk"), lambda each: getattr(each, key))
        for pk, place in places.items():
            yield record.MediumLog(
                key=f"{prefix}:{pk}",
                name=place.name,
                medium=place.medium,
                readings=tuple(self._reading(each) for each in within(readings.get(pk, []), spans[pk])),
                interval_min=float(place.every_min),
                freezer=prefix == "fridge" and place.high_c < 0,
            )

    def _late_entries(self) -> tuple[record.LateEntry, ...]:
        return tuple(
            record.LateEntry(wording.say(each), each.happened_at, each.recorded_at, str(each.pk))
            for each in trail.late(trail.entries(self.batch))
        )


def gather(batch: Batch, seen_at: datetime) -> record.BatchRecord:
    """The record of a batch at this moment."""
    return Gatherer(batch, seen_at).record()
