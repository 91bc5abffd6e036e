"""The core curve of a bag, from what was gathered and what was found: one picture for screen and paper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta

import numpy as np

from haccp import units
from haccp.cooling import stage
from haccp.limits import Limit
from haccp.record import BagAssessment, BagCurve, BagRecord, BatchRecord, Stay
from kitchen.base.chart import Hold, LimitLine, Spot, Stage, Words, core_chart
from kitchen.base.picture import Picture
from kitchen.review.cited import Cited


def _readings(gathered: BatchRecord, stays: tuple[Stay, ...], until: datetime) -> Iterator[Spot]:
    """What was read of the places where a bag was, while it was there."""
    for stay in stays:
        log = gathered.log(stay.log)
        for reading in log.readings if log else ():
            if reading.trusted and stay.into_at <= reading.at <= min(stay.out_at or until, until):
                yield Spot(reading.at, reading.celsius)


def _stages(
    bag: BagRecord, assessed: BagAssessment, curve: BagCurve, cited: Mapping[str, Cited]
) -> Iterator[Stage]:
    """The stages of the chill that a bag had to keep to, each from the moment when its clock starts."""
    out_at = bag.cook[-1].out_at
    named = dict.fromkeys(each.limit for each in assessed.findings if each.rule == "chill.stage")
    for row in (cited[each].row for each in named if each in cited):
        begins = _clock_start(bag, curve, row, out_at) if out_at and row.end else None
        if begins is None or row.end is None:
            continue
        upper = row.start.celsius if row.start else _core_at(curve, begins)
        yield Stage(
            from_at=begins,
            until_at=begins + timedelta(seconds=row.amount.seconds),
            label=row.printed,
            upper_c=upper,
            lower_c=row.end.celsius,
        )


def _clock_start(bag: BagRecord, curve: BagCurve, row: Limit, out_at: datetime) -> datetime | None:
    if row.clock == "chill in":
        return min((each.into_at for each in bag.chill), default=None)
    if row.clock == "core" and row.start and row.end:
        left = (out_at - curve.epoch).total_seconds()
        found = stage(
            np.array(curve.at_s),
            np.array(curve.best_c),
            from_c=row.start.celsius,
            to_c=row.end.celsius,
            clock_start_s=left,
        )
        return curve.epoch + timedelta(seconds=found.start_s)
    return out_at


def _core_at(curve: BagCurve, moment: datetime) -> float:
    return float(np.interp((moment - curve.epoch).total_seconds(), curve.at_s, curve.best_c))


def core_picture(
    gathered: BatchRecord,
    bags: Sequence[BagRecord],
    assessed: BagAssessment,
    cited: Mapping[str, Cited],
    *,
    unit: str = "degC",
    title: str = "Core curve",
    width: float = 960,
    height: float = 420,
    size: float = 15,
) -> Picture | None:
    """The chart of bags that went the same way; None while they were in no bath.

    The curve is that of the first; the core checks of all of them are drawn.
    """
    bag = bags[0]
    curve = assessed.curve
    if curve is None or not curve.at_s or not bag.cook:
        return None
    limits, holds = [], []
    if assessed.hold_c is not None:
        limits.append(LimitLine(assessed.hold_c, units.format_temperature(assessed.hold_c, unit)))
    if assessed.hold_from and assessed.hold_until:
        holds.append(Hold(assessed.hold_from, assessed.hold_until, assessed.hold_c))
    stages = list(_stages(bag, assessed, curve, cited))
    levels = {each.lower_c for each in stages if each.lower_c is not None}
    limits += [LimitLine(each, units.format_temperature(each, unit)) for each in sorted(levels)]
    end = max(
        bag.cook[-1].out_at or gathered.seen_at,
        *(each.out_at or gathered.seen_at for each in bag.chill),
        curve.epoch,
    )
    return core_chart(
        curve,
        width=width,
        height=height,
        size=size,
        timezone=gathered.timezone,
        limits=limits,
        holds=holds,
        stages=stages,
        bag_in=bag.cook[0].into_at,
        bag_out=bag.cook[-1].out_at,
        readings=list(_readings(gathered, bag.cook + bag.chill, end)),
        checks=[
            Spot(each.reading.at, each.reading.celsius)
            for each in (check for each in bags for check in each.core_checks)
            if each.reading.trusted and each.reading.at <= end
        ],
        unit=unit,
        words=Words(title=title),
    )
