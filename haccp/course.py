"""The course of one bag: in which medium it lay when, as far as the log tells.

Stays in baths, chillers and fridges are laid end to end; between them the bag lies in
the kitchen's air. What the log leaves open becomes a :class:`Doubt`, never a guess.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from haccp.bounds import UncertainExposure
from haccp.curves import FloatArray
from haccp.errors import DataError, HaccpError
from haccp.materials import Medium, medium
from haccp.ranges import Range
from haccp.readings import SAME_MOMENT_S, Knots, Series, best_estimate, gaps, lower_envelope, upper_envelope
from haccp.record import BagRecord, BatchRecord, MediumLog, Stay, Step
from haccp.wording import Clock, span

AIR = "kitchen_air"
# Two entries of one hand movement (out of the bath, into the slurry) this close together are one.
_TOGETHER_S = 1.0
_A_MOMENT = timedelta(seconds=_TOGETHER_S)
# Where no interval is set, a log may begin this long after the bag went in. Own choice.
_LATE_START_S = 300.0


@dataclass(frozen=True)
class Doubt:
    """Why something of a step is not proven, in words, and what to do about it."""

    step: Step
    sentence: str
    remedy: str | None = None
    since: datetime | None = None


@dataclass(frozen=True)
class Leg:
    """A stretch of the course: from and until [s after the epoch], and where.

    `log` is None in the kitchen's air, and for a place of which there is no log at all:
    then `place` is its key.
    """

    start_s: float
    end_s: float
    step: Step
    log: MediumLog | None
    place: str = ""


@dataclass(frozen=True)
class Course:
    """The legs of a bag's course, what is doubtful, and the moments that the rules ask for.

    `epoch` is when the bag first went into a bath; `out_at` when it last left one, None
    while it is in one; `end_s` is how far the log reaches, at most to the horizon.
    """

    epoch: datetime
    out_at: datetime | None
    end_s: float
    legs: tuple[Leg, ...]
    doubts: tuple[Doubt, ...]

    @property
    def in_bath(self) -> bool:
        """Whether the bag is in a bath at the end of the log."""
        return self.out_at is None


def gone_at(bag: BagRecord) -> datetime | None:
    """When the bag was served, cooked a second time or discarded; None while it is here."""
    return min((each.at for each in bag.finishes), default=None)


def course_of(record: BatchRecord, bag: BagRecord, after_bath: timedelta) -> Course | None:
    """The course of a bag up to `after_bath` after it left the bath; None if it never was in one."""
    clock = Clock.at(record.timezone, record.day)
    steps = ((Step.COOK, bag.cook), (Step.CHILL, bag.chill), (Step.STORE, bag.store))
    stays = sorted(
        ((stay, step) for step, each in steps for stay in each if stay.into_at <= record.seen_at),
        key=lambda pair: pair[0].into_at,
    )
    # What begins at this very moment has no length yet, so it is looked at a moment later.
    seen_at = max((record.seen_at, *(stay.into_at + _A_MOMENT for stay, _ in stays)))
    first = next((stay for stay, step in stays if step == Step.COOK), None)
    if first is None:
        return None
    epoch, doubts = first.into_at, list[Doubt]()
    stays = [(stay, step) for stay, step in stays if stay.into_at >= epoch]
    gone = gone_at(bag)
    watched = min(seen_at, gone) if gone and gone > epoch else seen_at
    out_at, spans = _spans(bag, stays, watched, clock, doubts)
    if out_at is not None:
        watched = min(watched, out_at + after_bath)
    end_s = (watched - epoch).total_seconds()
    legs = []
    reached = 0.0
    for start, end, stay, step in spans:
        begins, ends = ((each - epoch).total_seconds() for each in (start, end))
        begins, ends = max(begins, reached), min(ends, end_s)
        if ends - begins < _TOGETHER_S:
            continue
        if begins - reached < _TOGETHER_S:
            begins = reached
        else:
            legs.append(Leg(reached, begins, Step.CHILL, None))
        legs.append(Leg(begins, ends, step, record.log(stay.log), stay.log))
        reached = ends
    if end_s - reached >= _TOGETHER_S:
        legs.append(Leg(reached, end_s, Step.CHILL, None))
    return Course(epoch, out_at, end_s, tuple(legs), tuple(doubts))


def _spans(
    bag: BagRecord,
    stays: Sequence[tuple[Stay, Step]],
    watched: datetime,
    clock: Clock,
    doubts: list[Doubt],
) -> tuple[datetime | None, list[tuple[datetime, datetime, Stay, Step]]]:
    """When the bag last left a bath, and its stays with their ends."""
    spans: list[tuple[datetime, datetime, Stay, Step]] = []
    out_at: datetime | None = None
    gone = gone_at(bag)
    for number, (stay, step) in enumerate(stays):
        after = stays[number + 1][0].into_at if number + 1 < len(stays) else gone
        end = stay.out_at if stay.out_at is not None and stay.out_at <= watched else None
        if end is not None and end < stay.into_at:
            doubts.append(
                Doubt(
                    step,
                    f"Bag {bag.code} is logged as taken out at {clock.time(end)}, before it went in at "
                    f"{clock.time(stay.into_at)}.",
                    "Correct the entry that is wrong.",
                )
            )
            end = None
        if end is None and after is not None:
            if step == Step.COOK:
                doubts.append(
                    Doubt(
                        Step.COOK,
                        f"Nobody logged when bag {bag.code} left the bath; it was somewhere else at "
                        f"{clock.time(after)}.",
                        "Log when it was taken out, as a late entry.",
                        since=stay.into_at,
                    )
                )
            end = after
        if step == Step.COOK:
            out_at = end
        finish = watched if end is None else min(end, watched)
        if after is not None and end is not None and end > after:
            doubts.append(
                Doubt(
                    step,
                    f"Bag {bag.code} is logged in two places at once from {clock.time(after)}.",
                    "Correct the entry that is wrong.",
                )
            )
            finish = min(finish, after)
        spans.append((stay.into_at, finish, stay, step))
    return out_at, spans


def trusted_series(log: MediumLog, epoch: datetime) -> Series:
    """The trusted readings of a log as a series; :class:`ReadingsError` if there is none."""
    return Series.from_readings(log.readings, epoch)


def exposure(
    leg: Leg, epoch: datetime, bag: BagRecord, clock: Clock
) -> tuple[UncertainExposure, list[Doubt]]:
    """The medium of one leg as far as its readings tell, and what they leave open.

    Raises :class:`HaccpError` where nothing can be said: no reading, an unknown medium,
    a value that is no temperature of a kitchen.
    """
    if leg.log is None and leg.place:
        raise DataError(f"nothing is known of “{leg.place}”.")
    if leg.log is None:
        return _assumed(medium(AIR), leg), []
    kind = medium(leg.log.medium)
    if not leg.log.readings and kind.default_c is not None:
        return _assumed(kind, leg), [_taken_for_granted(leg, leg.log, kind.default_c, bag)]
    series = trusted_series(leg.log, epoch)
    doubts = _late_start(leg, leg.log, series, bag, clock)
    return between_readings(leg, leg.log, series, epoch), doubts


def between_readings(leg: Leg, log: MediumLog, series: Series, epoch: datetime) -> UncertainExposure:
    """The medium of one leg from a series of readings and the greatest rates of the medium.

    Where the temperature is a property of the medium (melting ice), two neighbouring readings within
    it, give or take the probe, say more than the rates do: ice was there both times, and ice that is
    gone does not come back by itself, so it was there in between and held the medium no warmer than
    melting ice is. Somebody may fill up a tub that ran out of ice, so the two may lie no further apart
    than the medium's `held_s`, and no break of the log may lie between them.
    """
    kind = medium(log.medium)
    fall = log.greatest_fall_k_per_min or kind.fall_k_per_min
    rise = log.greatest_rise_k_per_min or kind.rise_k_per_min
    lower = lower_envelope(
        series, leg.start_s, leg.end_s, fall_k_per_min=fall, rise_k_per_min=rise, floor_c=kind.floor_c
    )
    upper = upper_envelope(
        series, leg.start_s, leg.end_s, fall_k_per_min=fall, rise_k_per_min=rise, ceiling_c=kind.ceiling_c
    )
    if kind.default_c is not None:
        for start, end, cap_c in _held(kind.default_c, kind.held_s, log, series, epoch):
            upper = _capped(upper, max(start, leg.start_s), min(end, leg.end_s), cap_c)
    best = _broken(best_estimate(series, leg.start_s, leg.end_s), lower, log, series, epoch)
    return UncertainExposure(best=best, lower=lower, upper=upper, heat_transfer=kind.heat_transfer)


def _held(
    values: Range, longest_s: float, log: MediumLog, series: Series, epoch: datetime
) -> list[tuple[float, float, float]]:
    """Spans [s] between two readings of a medium that was itself at both, and its warmest there [°C]."""
    # Tolerances are printed in tenths; a rest of a millionth is an error of floats.
    slack = series.tolerance_k + 1e-6
    itself = (series.highest_c - series.tolerance_k <= values.high + slack) & (
        series.celsius >= values.low - slack
    )
    warmest = np.maximum(values.high + series.tolerance_k, series.highest_c)
    breaks = [(each - epoch).total_seconds() for each in log.breaks]
    found = []
    for n in np.flatnonzero(itself[:-1] & itself[1:]):
        start, end = float(series.times_s[n]), float(series.times_s[n + 1])
        if end - start <= longest_s and not any(start <= each <= end for each in breaks):
            found.append((start, end, float(max(warmest[n], warmest[n + 1]))))
    return found


def _capped(knots: Knots, start_s: float, end_s: float, cap_c: float) -> Knots:
    """A course that is nowhere above `cap_c` from `start_s` to `end_s`; unchanged outside."""
    times, celsius = knots
    if end_s - start_s <= SAME_MOMENT_S:
        return knots
    rise, run = np.diff(celsius), np.diff(times)
    share = np.divide(cap_c - celsius[:-1], rise, out=np.full_like(rise, np.nan), where=rise != 0.0)
    crossed = (times[:-1] + share * run)[(share > 0.0) & (share < 1.0)]
    wanted = np.concatenate(([start_s, end_s], crossed[(crossed > start_s) & (crossed < end_s)]))
    near = np.abs(wanted[:, np.newaxis] - times) <= SAME_MOMENT_S
    merged = np.union1d(times, wanted[~near.any(axis=1)])
    values = np.interp(merged, times, celsius)
    inside = (merged >= start_s - SAME_MOMENT_S) & (merged <= end_s + SAME_MOMENT_S)
    return merged, np.where(inside, np.minimum(values, cap_c), values)


def _taken_for_granted(leg: Leg, log: MediumLog, values: Range, bag: BagRecord) -> Doubt:
    """Nobody read a medium that is at one temperature as long as it is what its name says."""
    held = f"{values.low:g} to {values.high:g} °C"
    return Doubt(
        leg.step,
        f"Nobody read {log.name} while bag {bag.code} was in it. It is taken to be at {held}, as such a "
        "medium is, and nothing proves that.",
        f"Read {log.name} now, and log readings that someone took.",
    )


def _assumed(kind: Medium, leg: Leg) -> UncertainExposure:
    values = kind.default_c or Range(kind.floor_c, kind.floor_c, kind.ceiling_c)
    times = np.array([leg.start_s, leg.end_s])
    best, low, high = ((times, np.full(2, each)) for each in (values.best, values.low, values.high))
    return UncertainExposure(best=best, lower=low, upper=high, heat_transfer=kind.heat_transfer)


def _late_start(leg: Leg, log: MediumLog, series: Series, bag: BagRecord, clock: Clock) -> list[Doubt]:
    allowed = log.interval_min * 60.0 if log.interval_min else _LATE_START_S
    late_s = float(series.times_s[0]) - leg.start_s
    if late_s <= allowed or (leg.end_s - leg.start_s) <= allowed:
        return []
    return [
        Doubt(
            leg.step,
            f"The readings of {log.name} begin {span(late_s)} after bag {bag.code} went in; "
            "nothing proves what it was like before.",
            "Log the missing readings if someone took them.",
        )
    ]


def _broken(best: Knots, lower: Knots, log: MediumLog, series: Series, epoch: datetime) -> Knots:
    """The most likely course with no straight line across a break: there the lowest course stands in."""
    times, celsius = best
    for moment in log.breaks:
        at_s = (moment - epoch).total_seconds()
        before, after = series.times_s[series.times_s <= at_s], series.times_s[series.times_s > at_s]
        if not before.size or not after.size:
            continue
        start, end = float(before[-1]), float(after[0])
        inside = lower[0][
            (lower[0] > start) & (lower[0] < end) & (lower[0] > times[0]) & (lower[0] < times[-1])
        ]
        keep = (times <= start) | (times >= end) | (times == times[0]) | (times == times[-1])
        merged = np.union1d(times[keep], inside)
        values = np.interp(merged, times, celsius)
        within = (merged > start) & (merged < end)
        values[within] = np.interp(merged[within], *lower)
        times, celsius = merged, values
    return times, celsius


def missed(log: MediumLog, epoch: datetime, start_s: float, end_s: float) -> list[tuple[float, float]]:
    """Spans [s] in which a due reading is missing: longer than one interval and a half. Own choice."""
    if not log.interval_min or end_s <= start_s:
        return []
    try:
        series = trusted_series(log, epoch)
    except HaccpError:
        return [(start_s, end_s)]
    return gaps(series, 1.5 * log.interval_min * 60.0, start_s, end_s)


def medium_along(exposures: Sequence[UncertainExposure], times_s: FloatArray) -> FloatArray:
    """The most likely medium at each of `times_s` [s], for drawing."""
    found = np.empty_like(times_s)
    for each in exposures:
        start, end = each.span_s
        inside = (times_s >= start) & (times_s <= end)
        found[inside] = np.interp(times_s[inside], *each.best)
    return found
