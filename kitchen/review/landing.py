"""When an entry lands, the batches that it touches are assessed again."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from kitchen.batches.models import Bag, Batch
from kitchen.chilling.models import ChillReading
from kitchen.cooking.models import BathReading, CoreCheck
from kitchen.equipment.models import ProbeCheck
from kitchen.finishing.actions import ENDS
from kitchen.finishing.models import Finish
from kitchen.ledger.chain import landed
from kitchen.ledger.corrections import kind_and_said, original
from kitchen.ledger.models import Entry, standing
from kitchen.review.assessing import refresh
from kitchen.review.models import Assessed
from kitchen.review.spans import AFTER, BEFORE
from kitchen.storing.models import FridgeReading

log = logging.getLogger(__name__)
_quiet: ContextVar[bool] = ContextVar("quiet", default=False)


@contextmanager
def quiet() -> Iterator[None]:
    """Let many entries land without assessing after each; the caller assesses at the end."""
    token = _quiet.set(True)
    try:
        yield
    finally:
        _quiet.reset(token)


def touched(entry: Entry) -> QuerySet[Batch]:
    """The batches about which an entry says something; a site's whole past is not among them."""
    kind, said = kind_and_said(entry)
    said = said or original(entry).said
    batches = Batch.objects.filter(site=entry.site)
    if "batch" in said:
        return batches.filter(code=said["batch"])
    if kind.startswith("lot.") and "lot" in said:
        return batches.filter(lots__lot__code=said["lot"]).distinct()
    if kind == "approval.record":
        # Only where it is withdrawn are there batches that were begun after it.
        return batches.filter(entry__seq__gt=original(entry).seq)
    if entry.kind == "batch.open":
        return batches.filter(entry=entry)
    return batches.filter(bags__in=_bags(entry, kind, said)).distinct()


def _bags(entry: Entry, kind: str, said: dict[str, Any]) -> QuerySet[Bag]:
    bags = Bag.objects.filter(batch__site=entry.site)
    at = entry.happened_at
    if "log" in said:
        return bags.filter(bath_ins__bath_log__entry_id=said["log"])
    if "chiller" in said:
        return _here(bags, at).filter(
            chill_ins__chiller__name=said["chiller"], chill_ins__at__lte=at + BEFORE
        )
    if "fridge" in said:
        return _here(bags, at).filter(storings__fridge__name=said["fridge"], storings__at__lte=at + BEFORE)
    if kind == "probe.check":
        return _read_since_last_check(bags, said["probe"], entry)
    return bags.none()


def _here(bags: QuerySet[Bag], at: datetime) -> QuerySet[Bag]:
    """Those that were not served or discarded by then."""
    gone = standing(Finish.objects.filter(bag=OuterRef("pk"), kind__in=ENDS, at__lt=at - AFTER))
    return bags.filter(~Exists(gone))


def _read_since_last_check(bags: QuerySet[Bag], probe: str, entry: Entry) -> QuerySet[Bag]:
    """Bags that rest on readings of a probe since its last check: a check says nothing of earlier ones."""
    checks = standing(ProbeCheck.objects.filter(probe__site=entry.site, probe__name=probe))
    last = checks.filter(at__lt=entry.happened_at).order_by("-at").first()
    read: dict[str, Any] = {"probe__site": entry.site, "probe__name": probe}
    kept = bags
    if last:
        read["at__gte"] = last.at
        kept = _here(bags, last.at)
    chillers = ChillReading.objects.filter(**read).values("chiller")
    fridges = FridgeReading.objects.filter(**read).values("fridge")
    found = (
        bags.filter(bath_ins__bath_log__in=BathReading.objects.filter(**read).values("bath_log")),
        bags.filter(core_checks__in=CoreCheck.objects.filter(**read)),
        kept.filter(chill_ins__chiller__in=chillers),
        kept.filter(storings__fridge__in=fridges),
    )
    return bags.filter(reduce(or_, (Q(pk__in=each.values("pk")) for each in found)))


def on_landing(sender: Any, entry: Entry, **_: Any) -> None:
    """Assess again. A failure here must not lose the entry: the kept assessment is dropped and
    computed when it is next looked at."""
    if _quiet.get():
        return
    for batch in touched(entry).select_related("site", "method__dish"):
        try:
            refresh(batch, entry.recorded_at)
        except Exception:
            log.exception("Batch %s could not be assessed after entry %s", batch.code, entry.pk)
            Assessed.objects.filter(batch=batch).delete()


def listen() -> None:
    """Begin to listen for landing entries."""
    landed.connect(on_landing, dispatch_uid="kitchen.review.landing")
