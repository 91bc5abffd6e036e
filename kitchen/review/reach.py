"""How far a failed probe check reaches: the readings that it puts in doubt, and the batches they are in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from kitchen.batches.models import Batch
from kitchen.chilling.models import ChillIn, ChillReading
from kitchen.cooking.models import BagIn, BathReading, CoreCheck
from kitchen.equipment.models import Probe, ProbeCheck
from kitchen.ledger.models import standing
from kitchen.storing.models import FridgeReading, Stored

# A logger file can hold thousands of rows: they are counted, and so many are listed.
MOST = 200


@dataclass(frozen=True)
class Doubted:
    """One kind of reading that is in doubt: how many, the first and the last of them, and where."""

    where: str
    count: int
    first: datetime
    last: datetime


@dataclass(frozen=True)
class Reach:
    """From the last good check (None: there was none) to the next good one (None: not yet)."""

    after: datetime | None
    until: datetime | None
    doubted: list[Doubted]
    batches: list[Batch]


def of_failed(check: ProbeCheck) -> Reach:
    """What a failed check puts in doubt.

    Nobody knows when between the last good check and this one the probe went wrong, so every
    reading between them counts as doubted, and so do those after it, until a check passes again.
    """
    checks = standing(ProbeCheck.objects.filter(probe=check.probe, passed=True))
    before = checks.filter(at__lt=check.at).order_by("-at").first()
    after = checks.filter(at__gt=check.at).order_by("at").first()
    start, end = (before.at if before else None), (after.at if after else None)
    doubted: list[Doubted] = []
    batches: set[int] = set()
    for model, place, stays in (
        (BathReading, "bath_log", BagIn),
        (ChillReading, "chiller", ChillIn),
        (FridgeReading, "fridge", Stored),
    ):
        rows = _between(standing(model.objects.filter(probe=check.probe)), start, end)
        groups: dict[Any, list[datetime]] = {}
        for row in rows.select_related(place).order_by("at"):
            groups.setdefault(getattr(row, place), []).append(row.at)
        for where, moments in groups.items():
            name = where.bath.name if place == "bath_log" else where.name
            doubted.append(Doubted(name, len(moments), moments[0], moments[-1]))
            inside = standing(stays.objects.filter(**{place: where}, at__lte=moments[-1]))
            batches.update(_there(inside, place, moments[0]))
    cores = _between(standing(CoreCheck.objects.filter(probe=check.probe)), start, end)
    for core in cores.select_related("bag__batch").order_by("at"):
        doubted.append(Doubted(f"core of bag {core.bag}", 1, core.at, core.at))
        batches.add(core.bag.batch_id)
    found = Batch.objects.filter(pk__in=batches).select_related("method__dish", "assessed")
    return Reach(start, end, doubted[:MOST], list(found))


def _between(rows: Any, start: datetime | None, end: datetime | None) -> Any:
    if start:
        rows = rows.filter(at__gt=start)
    return rows.filter(at__lt=end) if end else rows


def _there(stays: Any, place: str, since: datetime) -> set[int]:
    """The batches of those stays that had not ended before `since`."""
    leaving = {"bath_log": "bath_outs", "chiller": "chill_outs", "fridge": "storings"}[place]
    found = set()
    for stay in stays.select_related("bag"):
        ends = standing(getattr(stay.bag, leaving).filter(at__gt=stay.at)).order_by("at").first()
        if ends is None or ends.at >= since:
            found.add(stay.bag.batch_id)
    return found


def newest_check(probe: Probe) -> ProbeCheck | None:
    """The newest standing check of a probe."""
    return standing(probe.checks.all()).order_by("-at", "-pk").first()
