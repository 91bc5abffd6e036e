"""What the middle of each bag went through: from the log of a batch to proven curves, once per bag.

Bags that are alike (same size, start and stays) share one curve.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from haccp.bounds import ProvenCurves, UncertainBody, UncertainExposure, proven_curves_of_many
from haccp.conduction import Shape
from haccp.course import Course, Doubt, Leg, between_readings, course_of, exposure, gone_at, medium_along
from haccp.curves import FloatArray
from haccp.errors import HaccpError
from haccp.materials import material
from haccp.ranges import Range
from haccp.readings import Series
from haccp.record import BagCurve, BagRecord, BatchRecord, MediumLog, Reading, Step
from haccp.wording import Clock, listed

_DOUBTFUL = {
    "floating": "it floated, so a part of it was not in the water",
    "overlapping": "it lay against other bags",
    "half sunk": "it was not wholly under water",
    "from frozen": "it went in frozen, which the equations do not cover",
    "trapped air": "it had air in it, which keeps the heat out",
}
_JUST_S = 0.2
_LEAST_FORECAST = timedelta(hours=4)
# How often a medium is taken to be read from now on where no interval is set. Own choice.
_USUAL_INTERVAL_MIN = 10.0


@dataclass(frozen=True)
class BagHeat:
    """The proven curves of one bag and what they do not prove.

    `curves` are on seconds after `course.epoch`; None where nothing could be computed, and
    then `doubts` say why. `forecast` is for a bag in a bath or chiller: the curves if the bath
    keeps within its band, or the chiller as it is, from the last reading on. `void` marks
    curves that are drawn but prove nothing.
    """

    course: Course | None
    curves: ProvenCurves | None
    medium_c: FloatArray | None
    forecast: ProvenCurves | None
    doubts: tuple[Doubt, ...]
    void: bool = False
    turns: tuple[tuple[float, float], ...] = ()

    def proves(self, step: Step) -> bool:
        """Whether the curves may be used as proof for a step."""
        return (
            self.curves is not None
            and not self.void
            and not any(each.step in (step, Step.BAG) for each in self.doubts)
        )

    def seconds(self, moment: datetime) -> float:
        """A moment in seconds of the curves."""
        return (moment - self.epoch).total_seconds()

    def moment(self, seconds: float) -> datetime:
        """Seconds of the curves as a moment."""
        return self.epoch + timedelta(seconds=seconds)

    @property
    def epoch(self) -> datetime:
        """The moment of second 0; there is one only for a bag that went into a bath."""
        if self.course is None:
            raise HaccpError("This bag has not been in a bath; log when it went in.")
        return self.course.epoch


@dataclass
class _Media:
    """What the stays of a bag are known to be, and what they are forecast to be."""

    exposures: list[UncertainExposure]
    ahead: list[UncertainExposure] | None = None


@dataclass
class _Shared:
    """What the bags of a batch share, as far as nothing about it is doubtful: a doubt names its bag."""

    courses: dict[Hashable, Course]
    media: dict[Hashable, _Media]


@dataclass
class _Laid:
    """One bag laid out for computing: its course, its body, its media, and what is doubtful."""

    course: Course | None
    body: UncertainBody | None
    media: _Media | None
    doubts: list[Doubt]
    void: bool = False


def bag_heats(record: BatchRecord, after_bath: timedelta) -> dict[str, BagHeat]:
    """The heat of every bag of a batch, by bag code.

    `after_bath` is how long after the bath the curves are followed. Nothing raises: what
    can't be computed is a doubt. Bags that went through the same stays are computed side by side.
    """
    shared = _Shared({}, {})
    alike: dict[Hashable, _Laid] = {}
    laid: dict[str, _Laid] = {}
    for bag in record.bags:
        same = (_size(bag), _stays(bag))
        one = alike.get(same)
        if one is None or one.doubts:
            alike[same] = one = _lay_out(record, bag, after_bath, shared)
        laid[bag.code] = one
    together: dict[int, list[_Laid]] = {}
    for each in {id(one): one for one in laid.values()}.values():
        together.setdefault(id(each.media), []).append(each)
    heats: dict[int, BagHeat] = {}
    for group in together.values():
        heats |= {id(one): heat for one, heat in zip(group, _heats(group), strict=True)}
    return {code: heats[id(one)] for code, one in laid.items()}


def bag_heat(record: BatchRecord, bag: BagRecord, after_bath: timedelta) -> BagHeat:
    """The heat of one bag."""
    [heat] = _heats([_lay_out(record, bag, after_bath, _Shared({}, {}))])
    return heat


def _stays(bag: BagRecord) -> Hashable:
    """All that the course of a bag depends on."""
    return bag.cook, bag.chill, bag.store, gone_at(bag)


def _size(bag: BagRecord) -> Hashable:
    """All that the body of a bag depends on, its doubts included."""
    return (
        bag.shape,
        bag.thickness_mm,
        bag.thickness_tolerance_mm,
        bag.length_mm,
        bag.width_mm,
        bag.start_c,
        bag.start_tolerance_k,
        bag.doubts,
    )


def _lay_out(record: BatchRecord, bag: BagRecord, after_bath: timedelta, shared: _Shared) -> _Laid:
    stays = _stays(bag)
    course = shared.courses.get(stays)
    if course is None:
        course = course_of(record, bag, after_bath)
        if course is None:
            return _Laid(None, None, None, [])
        if not course.doubts:
            shared.courses[stays] = course
    doubts = [*course.doubts]
    void = _bag_doubts(bag, doubts)
    try:
        body = _body(record, bag)
    except HaccpError as error:
        doubts.append(Doubt(Step.BAG, f"Bag {bag.code}: {error}", "Correct what was typed for this bag."))
        return _Laid(course, None, None, doubts)
    if body is None:
        return _Laid(course, None, None, doubts)
    media = shared.media.get(stays)
    if media is None:
        before = len(doubts)
        media = _media(record, bag, course, after_bath, doubts)
        if len(doubts) == before:
            shared.media[stays] = media
    return _Laid(course, body, media, doubts, void)


def _media(
    record: BatchRecord, bag: BagRecord, course: Course, after_bath: timedelta, doubts: list[Doubt]
) -> _Media:
    clock = Clock.at(record.timezone, record.day)
    media = _Media([])
    for leg in course.legs:
        try:
            one, open_ends = exposure(leg, course.epoch, bag, clock)
        except HaccpError as error:
            doubts.append(_unread(leg, bag, error))
            break
        media.exposures.append(one)
        doubts += [each for each in open_ends if each not in doubts]
    if media.exposures and len(media.exposures) == len(course.legs) and gone_at(bag) is None:
        ahead = max(2.0 * timedelta(minutes=max(record.method.bath_min, 0.0)), _LEAST_FORECAST)
        until_s = course.end_s + ahead.total_seconds()
        if course.out_at is not None:
            until_s = (course.out_at + after_bath - course.epoch).total_seconds()
        media.ahead = _forecast(record, course, media.exposures, until_s)
    return media


def _heats(group: Sequence[_Laid]) -> list[BagHeat]:
    """The heat of bags that share their media."""
    media = group[0].media
    if media is None or not media.exposures:
        return [BagHeat(each.course, None, None, None, tuple(each.doubts), each.void) for each in group]
    bodies = [each.body for each in group if each.body is not None]
    try:
        curves = proven_curves_of_many(bodies, media.exposures)
    except HaccpError as error:
        refused = Doubt(Step.COOK, f"The core can't be computed: {error}")
        return [BagHeat(each.course, None, None, None, (*each.doubts, refused), each.void) for each in group]
    forecasts: Sequence[ProvenCurves | None] = [None] * len(group)
    if media.ahead is not None:
        with suppress(HaccpError):
            forecasts = proven_curves_of_many(bodies, media.ahead)
    along: dict[int, FloatArray] = {}
    for own in curves:
        # Bags of one shape share their moments.
        if id(own.times_s) not in along:
            along[id(own.times_s)] = medium_along(media.exposures, own.times_s)
    return [
        BagHeat(
            each.course,
            own,
            along[id(own.times_s)],
            forecast,
            tuple(each.doubts),
            each.void,
            turns=tuple((stay.span_s[1], float(stay.best[1][-1])) for stay in media.exposures[:-1]),
        )
        for each, own, forecast in zip(group, curves, forecasts, strict=True)
    ]


def _bag_doubts(bag: BagRecord, doubts: list[Doubt]) -> bool:
    """Note what is missing or doubtful of the bag itself; whether that voids its curve."""
    if bag.thickness_mm is None:
        doubts.append(
            Doubt(
                Step.BAG,
                f"The thickness of bag {bag.code} was not measured, so nothing can be said of its core.",
                "Measure it and log it.",
            )
        )
    if bag.start_c is None:
        doubts.append(
            Doubt(
                Step.BAG,
                f"The temperature of bag {bag.code} before the bath was not read, so nothing can be said "
                "of its core.",
                "Log it if someone read it.",
            )
        )
    frozen = bag.start_c is not None and bag.start_c - bag.start_tolerance_k < FREEZES_C
    named = sorted(bag.doubts | ({"from frozen"} if frozen else set()))
    if named:
        reasons = listed([_DOUBTFUL.get(each, f"it was noted: {each}") for each in named])
        doubts.append(
            Doubt(
                Step.BAG,
                f"The thickness of bag {bag.code} no longer says how its core heats: {reasons}.",
                "Measure the core, or enter the thickness of the whole stack.",
            )
        )
    return bool(named)


# Below it the water in food turns to ice, and the equations end. Common knowledge, no source.
FREEZES_C = -2.0


def _body(record: BatchRecord, bag: BagRecord) -> UncertainBody | None:
    if bag.thickness_mm is None or bag.start_c is None:
        return None
    try:
        shape = Shape(bag.shape)
    except ValueError:
        raise HaccpError(f"“{bag.shape}” is no shape; choose one of {', '.join(Shape)}.") from None
    sizes = [bag.thickness_mm, bag.length_mm, bag.width_mm]
    # A size that was not measured is taken as endless, which is the slower and so the cautious case.
    if shape == Shape.FINITE_CYLINDER and bag.length_mm is None:
        shape = Shape.CYLINDER
    elif shape == Shape.BRICK and (bag.length_mm is None or bag.width_mm is None):
        shape = Shape.SLAB
    food = material(record.method.material)
    edge = bag.thickness_tolerance_mm
    halves = tuple(
        Range((each - edge) / 2000.0, each / 2000.0, (each + edge) / 2000.0)
        for each in sizes[: len(shape.directions)]
        if each is not None
    )
    start = Range(bag.start_c - bag.start_tolerance_k, bag.start_c, bag.start_c + bag.start_tolerance_k)
    return UncertainBody(shape, halves, food.diffusivity, food.conductivity, start)


def _unread(leg: Leg, bag: BagRecord, error: HaccpError) -> Doubt:
    if leg.log is None:
        return Doubt(leg.step, f"There is no log of where bag {bag.code} lay: {error}", "Log the readings.")
    untrusted = [each for each in leg.log.readings if not each.trusted]
    if not leg.log.readings:
        said = f"Nobody read {leg.log.name} while bag {bag.code} was in it."
        return Doubt(leg.step, said, f"Read {leg.log.name} now.")
    if len(untrusted) == len(leg.log.readings):
        probes = listed(sorted({each.probe for each in untrusted}))
        said = (
            f"Every reading of {leg.log.name} for bag {bag.code} was taken with probe {probes}, "
            "which failed its check."
        )
        return Doubt(leg.step, said, "Read it with a probe that has passed its check.")
    return Doubt(leg.step, f"The readings of {leg.log.name} can't be used for bag {bag.code}: {error}")


def _forecast(
    record: BatchRecord, course: Course, exposures: Sequence[UncertainExposure], until_s: float
) -> list[UncertainExposure] | None:
    """The media if the bath keeps within its band, or the chiller as it is, from its last reading on.

    A bath is taken to be read at the lower edge of its band whenever a reading is due, so
    that what is promised here is what those readings will prove.
    """
    last, kept = course.legs[-1], exposures[-1]
    if last.log is None or until_s <= course.end_s:
        return None
    read = [each for each in last.log.readings if each.trusted and each.at <= record.seen_at]
    ahead = replace(last, end_s=until_s)
    try:
        if not read:
            stay = UncertainExposure(
                best=_onward(kept.best, until_s),
                lower=_onward(kept.lower, until_s),
                upper=_onward(kept.upper, until_s),
                heat_transfer=kept.heat_transfer,
            )
        else:
            to_come = (*read, *_to_come(last.log, read, course.epoch + timedelta(seconds=until_s)))
            series = Series.from_readings(to_come, course.epoch)
            stay = between_readings(ahead, last.log, series, course.epoch)
    except HaccpError:
        return None
    return [*exposures[:-1], stay]


def _to_come(log: MediumLog, read: Sequence[Reading], until: datetime) -> list[Reading]:
    """The readings that are still due, at the lower edge of the band; a bath that sagged is not taken to "
    "recover."""
    newest = max(read, key=lambda each: each.at)
    celsius = newest.celsius
    if log.set_point_c is not None:
        celsius = min(log.set_point_c - (log.band_k or 0.0), celsius)
    step = timedelta(minutes=log.interval_min or _USUAL_INTERVAL_MIN)
    tolerance_k = max(each.tolerance_k for each in read)
    count = int((until - newest.at) / step) + 1
    return [Reading(newest.at + step * number, celsius, tolerance_k) for number in range(1, count + 1)]


def _onward(knots: tuple[FloatArray, FloatArray], until_s: float) -> tuple[FloatArray, FloatArray]:
    times, values = knots
    return np.append(times, until_s), np.append(values, values[-1])


def drawn(heat: BagHeat) -> BagCurve | None:
    """The curves of a bag ready to be drawn, up to the end of its chill."""
    if heat.curves is None or heat.course is None or heat.medium_c is None:
        return None
    own = heat.curves
    chilled = [each.end_s for each in heat.course.legs if each.step == Step.CHILL and each.log is not None]
    shown = heat.curves.times_s <= (max(chilled) if chilled else np.inf)

    # A moment just before each change of medium, so that the medium is drawn to jump and not to slope.
    before = np.array([end_s - _JUST_S for end_s, _ in heat.turns])
    times = heat.curves.times_s[shown]
    before = before[(before > times[0]) & (before < times[-1])]
    at_s = np.union1d(times, before)
    medium = np.interp(at_s, heat.curves.times_s, heat.medium_c)
    for end_s, celsius in heat.turns:
        medium[at_s == end_s - _JUST_S] = celsius

    def column(values: FloatArray) -> tuple[float, ...]:
        return tuple(np.round(values, 2).tolist())

    def core(values: FloatArray) -> FloatArray:
        found: FloatArray = np.interp(at_s, own.times_s, values)
        return found

    return BagCurve(
        epoch=heat.epoch,
        at_s=tuple(np.round(at_s, 1).tolist()),
        medium_c=column(medium),
        best_c=column(core(own.best_c)),
        low_c=column(np.floor(core(own.low_c) * 100.0) / 100.0),
        high_c=column(np.ceil(core(own.high_c) * 100.0) / 100.0),
        basis=own.basis if not heat.void else "drawn for one bag alone; proves nothing here",
    )
