"""When an entry lands, the batches that it touches are assessed again."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.db.models import Q, QuerySet

from kitchen.batches.models import Batch
from kitchen.ledger.chain import landed
from kitchen.ledger.corrections import kind_and_said, original
from kitchen.ledger.models import Entry
from kitchen.review.assessing import refresh
from kitchen.review.models import Assessed

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
    """The batches about which an entry says something."""
    said = kind_and_said(entry)[1] or original(entry).said
    batches = Batch.objects.filter(site=entry.site)
    if "batch" in said:
        return batches.filter(code=said["batch"])
    if entry.kind == "batch.open":
        return batches.filter(entry=entry)
    ways = Q(pk__in=[])
    if "log" in said:
        ways |= Q(bags__bath_ins__bath_log__entry_id=said["log"])
    if "chiller" in said:
        ways |= Q(bags__chill_ins__chiller__name=said["chiller"])
    if "fridge" in said:
        ways |= Q(bags__storings__fridge__name=said["fridge"])
    if entry.kind == "probe.check":
        ways |= Q(bags__isnull=False)
    return batches.filter(ways).distinct()


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
