"""What the page of one bag draws and counts down."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from haccp.record import BagAssessment
from kitchen.base import moments
from kitchen.base.picture import Picture
from kitchen.base.strip import finding_strip
from kitchen.bench.queries import InHand
from kitchen.bench.whereabouts import BagNow, Where
from kitchen.methods.models import Method
from kitchen.review.cited import cited_in
from kitchen.review.gather import gather
from kitchen.review.picture import core_picture
from kitchen.review.running import is_running
from kitchen.review.showing import Reading, Said

# As wide as it is shown beside the count-down, so that its words keep their size.
WIDTH = 720


@dataclass(frozen=True)
class Hold:
    """The hold of a bag as it stands: still to run, proven, or not proven by what was read."""

    until: datetime | None
    proven: bool

    @property
    def running(self) -> bool:
        """Whether there is something to count down to."""
        return self.until is not None and not self.proven


def hold_of(found: BagAssessment | None, bag: BagNow | None, at: datetime) -> Hold | None:
    """The hold of a bag; None before it ever was in a bath."""
    if found is None or bag is None or bag.bath_from is None:
        return None
    left = next((end for where, _, _, end in reversed(bag.stays) if where == Where.BATH), None)
    until = found.hold_until
    # A hold that would have ended after the bag left was never reached.
    return Hold(until, proven=until is not None and until <= min(left or at, at))


def reading_of(each: InHand, found: BagAssessment | None) -> Reading | None:
    """The assessment of one bag alone, beside the limits that it cites."""
    if each.assessment is None or found is None:
        return None
    alone = replace(each.assessment, bags=(found,), findings=())
    return Reading(alone, cited_in(alone, each.batch))


def chart_of(each: InHand, number: int, reading: Reading | None, at: datetime) -> Picture | None:
    """The core curve of one bag; None while it was in no bath."""
    found = reading.assessment.bags[0] if reading else None
    if reading is None or found is None or found.curve is None:
        return None
    gathered = gather(each.batch, at)
    bags = [bag for bag in gathered.bags if bag.code == str(number)]
    unit = each.batch.site.temperature_unit
    return core_picture(gathered, bags, found, reading.cited, unit=unit, width=WIDTH, height=380, size=16)


def cooked_at(each: InHand, bag: BagNow | None) -> datetime | None:
    """When the method's own time in the bath ends, for a bag that is in one."""
    if bag is None or bag.where != Where.BATH or bag.bath_from is None:
        return None
    return bag.bath_from + timedelta(minutes=each.batch.method.bath_min)


def bath_words(method: Method) -> str:
    """A method's time in the bath, in words."""
    return moments.span(timedelta(minutes=method.bath_min))


def with_strips(said: Iterable[Said], at: datetime) -> list[tuple[Said, Picture | None, bool]]:
    """Each finding beside the strip that draws measured against required, and whether it still runs."""
    return [(each, finding_strip(each.finding), is_running(each.finding, at)) for each in said]
