"""The core curve of a bag, from what was gathered and what was found: one picture for screen and paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from haccp import units
from haccp.record import BagAssessment, BagRecord, BatchRecord, Stay
from kitchen.base.chart import Hold, LimitLine, Spot, Words, core_chart
from kitchen.base.picture import Picture


def _readings(gathered: BatchRecord, stays: tuple[Stay, ...], until: datetime) -> Iterator[Spot]:
    """What was read of the places where a bag was, while it was there."""
    for stay in stays:
        log = gathered.log(stay.log)
        for reading in log.readings if log else ():
            if reading.trusted and stay.into_at <= reading.at <= min(stay.out_at or until, until):
                yield Spot(reading.at, reading.celsius)


def core_picture(
    gathered: BatchRecord,
    bags: Sequence[BagRecord],
    assessed: BagAssessment,
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
