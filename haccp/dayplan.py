"""A day's plan, reckoned back from when food is wanted: when each rack goes into which bath.

Each dish says when it is wanted, how long its bags cook, how long they chill and how long the food lies in
brine before. The plan takes the latest moment that still does, so that food is no older than it need be,
and moves a rack earlier where no bath has room:

* a bath is at one set point at a time; between two set points it needs `CHANGE`,
* the cold bags that go in together, or within `RECOVERY` of each other, are no more than the load that
  keeps the bath in its band (:func:`haccp.bath.largest_load`),
* no more food lies in a bath than its water can flow around (`ROOM_L_PER_KG`).

What is chilled may be ready before it is wanted; what goes from the bath to the plate stays in the bath.
Dishes are placed one after the other, those that must go in last first; an order that fits more
may exist, since every rack is placed once and stays. A plan proves nothing: bags are judged by their logs.

The three figures are our own choices: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final

from haccp.errors import RangeError

__all__ = ["CHANGE", "RECOVERY", "ROOM_L_PER_KG", "BathNow", "DayPlan", "Left", "Rack", "Wanted", "plan_day"]

CHANGE: Final = timedelta(minutes=45)
RECOVERY: Final = timedelta(minutes=20)
ROOM_L_PER_KG: Final = 3.0
# Sealing, carrying and a late hand: what is added between two steps.
SPARE: Final = timedelta(minutes=10)


@dataclass(frozen=True)
class Wanted:
    """One dish of the day: `bags` of `bag_kg` [kg] each, wanted at `ready_at`.

    `bath_min`, `chill_min`, `brine_min` [min]; `chill_min` None where the bags go from the bath to the
    plate. `load_kg` [kg] is the largest load by bath; a bath that is not in it has no known load, and
    only its room counts. Errors: :class:`RangeError`.
    """

    key: str
    bags: int
    bag_kg: float
    ready_at: datetime
    set_point_c: float
    bath_min: float
    chill_min: float | None = None
    brine_min: float | None = None
    load_kg: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.bags < 1 or not (math.isfinite(self.bag_kg) and self.bag_kg > 0.0):
            raise RangeError("Plan at least one bag, and give its weight.")
        for each in (self.bath_min, self.chill_min or 0.0, self.brine_min or 0.0):
            if not (math.isfinite(each) and each >= 0.0):
                raise RangeError("A time of the plan is nothing or more, in minutes.")

    @property
    def stay(self) -> timedelta:
        """The least time in the bath."""
        return timedelta(minutes=self.bath_min)

    @property
    def latest_out(self) -> datetime:
        """When the bags must leave the bath at the latest."""
        if self.chill_min is None:
            return self.ready_at
        return self.ready_at - SPARE - timedelta(minutes=self.chill_min)


@dataclass(frozen=True)
class BathNow:
    """A bath: `litres` of water, and, where it runs, at what set point [°C] and until when bags are in it."""

    key: str
    name: str
    litres: float
    set_point_c: float | None = None
    busy_until: datetime | None = None
    held_kg: float = 0.0

    @property
    def room_kg(self) -> float:
        """The food that its water can flow around [kg]."""
        return self.litres / ROOM_L_PER_KG


@dataclass(frozen=True)
class Rack:
    """Bags of one dish that go into one bath together; `share` [0 to 1] of what the bath can take."""

    wanted: str
    bath: str
    bags: int
    kg: float
    set_point_c: float
    in_at: datetime
    out_at: datetime
    ready_at: datetime
    share: float = 0.0
    brine_at: datetime | None = None
    chilled_by: datetime | None = None


@dataclass(frozen=True)
class Left:
    """Bags for which there is no room in time, and why."""

    wanted: str
    bags: int
    reason: str


@dataclass(frozen=True)
class DayPlan:
    """The racks in order of time, and what could not be placed."""

    racks: tuple[Rack, ...]
    left: tuple[Left, ...]


def plan_day(wanted: Iterable[Wanted], baths: Sequence[BathNow], now: datetime) -> DayPlan:
    """Place every dish, from the end of the day backwards; nothing goes in before `now`."""
    booked: list[Rack] = [_held(bath, now) for bath in baths if bath.busy_until and bath.busy_until > now]
    running = list(booked)
    left: list[Left] = []
    for each in sorted(wanted, key=lambda one: one.latest_out - one.stay, reverse=True):
        rest = each.bags
        while rest:
            rack = _latest(each, rest, baths, booked, now)
            if rack is None:
                left.append(Left(each.key, rest, _why(each, baths, now)))
                break
            booked.append(rack)
            rest -= rack.bags
    racks = sorted((rack for rack in booked if rack not in running), key=lambda rack: (rack.in_at, rack.bath))
    return DayPlan(tuple(racks), tuple(left))


def _held(bath: BathNow, now: datetime) -> Rack:
    """What is in a bath already; it went in long ago, so it pulls nothing down any more."""
    until = bath.busy_until or now
    begun = now - 2 * RECOVERY
    return Rack("", bath.key, 0, bath.held_kg, bath.set_point_c or 0.0, begun, until, until)


def _latest(
    each: Wanted, bags: int, baths: Sequence[BathNow], booked: Sequence[Rack], now: datetime
) -> Rack | None:
    """The latest rack of at most so many bags that a bath has room for; the fullest of those."""
    found: list[Rack] = []
    for bath in baths:
        own = [rack for rack in booked if rack.bath == bath.key]
        for in_at, out_at in _stays(each, own):
            if in_at - timedelta(minutes=each.brine_min or 0.0) < now:
                continue
            if any(_clash(each, rack, in_at, out_at) for rack in own):
                continue
            fit = min(bags, _fits(each, bath, own, in_at, out_at))
            if fit:
                found.append(_rack(each, bath, fit, in_at, out_at))
                break
    return max(found, key=lambda rack: (rack.in_at, rack.bags), default=None)


def _stays(each: Wanted, own: Sequence[Rack]) -> Iterator[tuple[datetime, datetime]]:
    """The stays worth a trial, the latest first: at the end, or just before something that is in the way."""
    last = each.latest_out
    ends = {last}
    for rack in own:
        ends |= {rack.in_at - CHANGE, rack.in_at - RECOVERY + each.stay, rack.in_at - RECOVERY, rack.in_at}
    for end in sorted((one for one in ends if one <= last), reverse=True):
        yield end - each.stay, (last if each.chill_min is None else end)


def _clash(each: Wanted, rack: Rack, in_at: datetime, out_at: datetime) -> bool:
    """Whether a bath would have to be at two set points, or on its way between them."""
    if rack.set_point_c == each.set_point_c:
        return False
    return in_at < rack.out_at + CHANGE and rack.in_at < out_at + CHANGE


def _fits(each: Wanted, bath: BathNow, own: Sequence[Rack], in_at: datetime, out_at: datetime) -> int:
    """How many bags go in: by what pulls the bath down together, and by the room in it."""
    cold = sum(rack.share for rack in own if abs(rack.in_at - in_at) < RECOVERY)
    beside = [rack for rack in own if rack.in_at < out_at and in_at < rack.out_at]
    room = bath.room_kg - sum(rack.kg for rack in beside)
    known = each.load_kg.get(bath.key)
    load = math.inf if known is None else known * (1.0 - cold)
    # A rack that goes in later beside this one found its room before; only what is there counts.
    return max(0, math.floor(min(room, load) / each.bag_kg + 1e-9))


def _rack(each: Wanted, bath: BathNow, bags: int, in_at: datetime, out_at: datetime) -> Rack:
    chilled = None if each.chill_min is None else out_at + timedelta(minutes=each.chill_min)
    brine = None if each.brine_min is None else in_at - SPARE - timedelta(minutes=each.brine_min)
    return Rack(
        wanted=each.key,
        bath=bath.key,
        bags=bags,
        kg=bags * each.bag_kg,
        share=bags * each.bag_kg / each.load_kg.get(bath.key, math.inf),
        set_point_c=each.set_point_c,
        in_at=in_at,
        out_at=out_at,
        ready_at=each.ready_at,
        brine_at=brine,
        chilled_by=chilled,
    )


def _why(each: Wanted, baths: Sequence[BathNow], now: datetime) -> str:
    begin = each.latest_out - each.stay - timedelta(minutes=each.brine_min or 0.0)
    if begin < now:
        return "It should have begun already: choose a later time or another dish."
    most = [min(bath.room_kg, each.load_kg.get(bath.key, math.inf)) for bath in baths]
    if not most:
        return "No bath is in use."
    if max(most) < each.bag_kg:
        return "No bath keeps its band with even one such bag: choose lighter bags or a larger bath."
    return "No bath has room for them in time: serve them later, cook them a day before, or use another bath."
