"""The chill: was each stage over in time, by what is proven?

A stage whose starting temperature was never reached starts when the bag left the bath.
A crossing is proven by a reading on the right side of the limit, or by the upper of the
proven curves; a crossing between two readings is only interpolated.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from haccp.case import BagCheck, Case
from haccp.chilled import Clocked, chill_curves, clocked_by, core_readings, likely_end, proven_end, too_flat
from haccp.cooling import first_at_or_below
from haccp.course import Doubt, gone_at
from haccp.limits import Limit
from haccp.record import Finding, Outcome, Step
from haccp.wording import difference, span, temperature

# Seconds are differences of floats: a millionth of one is not late.
_SLACK_S = 1e-6


def check_stages(case: Case) -> list[Finding]:
    """Every chill row that applies to a bag that has left its bath."""
    out_at = case.out_at
    if out_at is None or case.heat.course is None:
        return []
    found = []
    for row in case.limits("cool"):
        if row.event == "chill in":
            found += _begun(case, row, out_at)
        elif row.end is not None and row.clock in ("bath out", "chill in", "core"):
            clocked = clocked_by(case, row, row.end, out_at)
            gone = gone_at(case.bag)
            if (
                gone is not None
                and case.heat.seconds(gone) <= clocked.deadline_s
                and proven_end(case, clocked) is None
            ):
                continue  # eaten or thrown away before the chill had to be over
            found.append(_stage(case, clocked))
    return found


def _begun(case: Case, row: Limit, out_at: datetime) -> list[Finding]:
    """How long after the bath the chill began."""
    begun = min((each.into_at for each in case.bag.chill), default=None)
    gone, deadline = gone_at(case.bag), out_at + timedelta(seconds=row.amount.seconds)
    until = begun or gone or case.record.seen_at
    waited = (until - out_at).total_seconds()
    code, whose = case.bag.code, row.whose
    figures = {"measured": span(waited, "up"), "required": f"at most {row.amount}"}
    if begun is None:
        if gone is not None:
            return []
        if waited <= row.amount.seconds:
            said = (
                f"Bag {code} left the bath at {case.clock.time(out_at)}; its chill must begin within "
                f"{row.amount} ({whose})."
            )
            return [
                case.found(
                    "chill.begun",
                    Step.CHILL,
                    Outcome.UNPROVEN,
                    said,
                    limit=row,
                    remedy=f"Into the chill by {case.clock.time(deadline)}.",
                    remedy_by=deadline,
                    **figures,
                )
            ]
        said = (
            f"Bag {code} left the bath at {case.clock.time(out_at)} and {span(waited)} later no chill is "
            "logged; "
            f"it had to begin within {row.amount} ({whose})."
        )
        return [
            case.found(
                "chill.begun",
                Step.CHILL,
                Outcome.FAILS,
                said,
                limit=row,
                since=deadline,
                margin=f"{span(waited - row.amount.seconds, 'up')} over",
                remedy="Chill it now and log it; if it was chilled in time, log that as a late entry.",
                **figures,
            )
        ]
    over = waited - row.amount.seconds
    if over > 0:
        said = (
            f"The chill of bag {code} began {span(waited, 'up')} after the bath; {row.amount} at most "
            f"({whose}): "
            f"{span(over, 'up')} too late."
        )
        outcome, margin = Outcome.FAILS, f"{span(over, 'up')} over"
    else:
        said = (
            f"The chill of bag {code} began {span(waited, 'up')} after the bath; {row.amount} at most "
            f"({whose})."
        )
        outcome, margin = Outcome.MEETS, f"{span(-over)} to spare"
    return [
        case.found(
            "chill.begun",
            Step.CHILL,
            outcome,
            said,
            limit=row,
            since=deadline if over > 0 else None,
            margin=margin,
            measured_value=waited / 60.0,
            required_value=row.amount.seconds / 60.0,
            unit="min",
            **figures,
        )
    ]


def _stage(case: Case, clocked: Clocked) -> Finding:
    proven = proven_end(case, clocked)
    if proven is not None and proven[0] <= clocked.deadline_s + _SLACK_S:
        return _in_time(case, clocked, *proven)
    too_warm = _too_warm(case, clocked)
    if too_warm is not None:
        return too_warm
    likely = likely_end(case, clocked)
    now_s = case.heat.seconds(case.record.seen_at)
    if now_s <= clocked.deadline_s:
        return _running(case, clocked, likely)
    allowed = clocked.row.amount.seconds
    curves = chill_curves(case)
    if curves is None and not core_readings(case):
        return _not_proven(case, clocked, likely)
    if likely is not None and likely - clocked.best_start_s <= allowed + _SLACK_S:
        return _not_proven(case, clocked, likely)
    known_s = None if curves is None else float(curves.times_s[-1])
    if likely is None and (known_s is None or known_s < clocked.deadline_s):
        return _not_proven(case, clocked, None)
    return _too_slow(case, clocked, likely)


def _figures(clocked: Clocked, took_s: float | None, *, estimated: bool = False) -> dict[str, object]:
    row = clocked.row
    figures: dict[str, object] = {"required": f"{clocked.end} within {row.amount}"}
    if took_s is not None:
        over = took_s - row.amount.seconds
        figures |= {
            "measured": span(took_s, "up") + (" by the best estimate" if estimated else ""),
            "margin": f"{span(over, 'up')} over" if over > 0 else f"{span(-over)} to spare",
            "measured_value": took_s / 60.0,
            "required_value": row.amount.seconds / 60.0,
            "unit": "min",
        }
    return figures


def _in_time(case: Case, clocked: Clocked, end_s: float, basis: str) -> Finding:
    took = max(end_s - clocked.start_s, 0.0)
    said = (
        f"{span(took, 'up')} after {clocked.started_by} the core of bag {case.bag.code} was at {clocked.end} "
        f"or below; {clocked.row.amount} at most ({clocked.row.whose}): met with "
        f"{span(clocked.row.amount.seconds - took)} to spare, proven."
    )
    return case.found(
        "chill.stage",
        Step.CHILL,
        Outcome.MEETS,
        said,
        limit=clocked.row,
        basis=basis,
        **_figures(clocked, took),
    )


def _too_warm(case: Case, clocked: Clocked) -> Finding | None:
    """What proves that the limit was missed: a warm reading after its end, the lower curve, or a slope."""
    code, row, unit = case.bag.code, clocked.row, clocked.end.unit
    deadline = case.heat.moment(clocked.deadline_s)
    for each in core_readings(case):
        at_s = case.heat.seconds(each.at)
        if at_s >= clocked.deadline_s and each.celsius - each.tolerance_k > clocked.end.celsius:
            took = at_s - clocked.start_s
            over = difference(each.celsius - clocked.end.celsius, unit)
            said = (
                f"{span(took)} after {clocked.started_by} the core of bag {code} was measured at "
                f"{temperature(each.celsius, unit, 'up')}; {clocked.end} within {row.amount} needed "
                f"({row.whose}): {over} too warm, and at least "
                f"{span(at_s - clocked.deadline_s)} too slow, proven."
            )
            entries = (each.entry,) if each.entry else ()
            return _failed(case, clocked, said, deadline, took, basis="measured in the core", entries=entries)
    curves = chill_curves(case)
    if curves is not None and clocked.deadline_s <= float(curves.times_s[-1]):
        least = float(np.interp(clocked.deadline_s, curves.times_s, curves.low_c))
        if least > clocked.end.celsius:
            warm = difference(least - clocked.end.celsius, unit)
            likely = likely_end(case, clocked)
            took_s = None if likely is None else likely - clocked.best_start_s
            slow = ""
            if took_s is not None:
                late = span(took_s - row.amount.seconds, "up")
                slow = f" The best estimate is {span(took_s, 'up')}: {late} too slow."
            said = (
                f"{row.amount} after {clocked.started_by} the core of bag {code} was still at "
                f"{temperature(least, unit, 'down')} or above; {clocked.end} needed ({row.whose}): "
                f"at least {warm} too warm, proven.{slow}"
            )
            return _failed(case, clocked, said, deadline, took_s, basis=curves.basis, estimated=True)
    return _slope(case, clocked)


def _slope(case: Case, clocked: Clocked) -> Finding | None:
    """Two readings in one medium whose slope can't reach the limit in time any more."""
    slope = too_flat(case, clocked)
    if slope is None:
        return None
    one, two, unit = slope.one, slope.two, clocked.end.unit
    deadline = case.heat.moment(clocked.deadline_s)
    said = (
        f"Core of bag {case.bag.code} fell from {temperature(one.celsius, unit)} to "
        f"{temperature(two.celsius, unit)} between {case.clock.time(one.at)} and {case.clock.time(two.at)}. "
        f"In this medium it can't be at {clocked.end} before "
        f"{case.clock.time(case.heat.moment(slope.arrives_s))}; {case.clock.time(deadline)} at the latest "
        f"({clocked.row.whose}): at least {span(slope.arrives_s - clocked.deadline_s)} too slow."
    )
    return case.found(
        "chill.stage",
        Step.CHILL,
        Outcome.FAILS,
        said,
        limit=clocked.row,
        since=two.at,
        basis="slope of two core readings, at its steepest within their tolerance",
        remedy=f"Only a quicker chill can help: into ice slurry at once. At or below {clocked.end} by "
        f"{case.clock.time(deadline)}.",
        remedy_by=deadline,
        **_figures(clocked, None),
    )


def _failed(
    case: Case,
    clocked: Clocked,
    said: str,
    since: datetime,
    took: float | None,
    *,
    basis: str,
    entries: tuple[str, ...] = (),
    estimated: bool = False,
) -> Finding:
    return case.found(
        "chill.stage",
        Step.CHILL,
        Outcome.FAILS,
        said,
        limit=clocked.row,
        since=since,
        basis=basis,
        entries=entries,
        **_figures(clocked, took, estimated=estimated),
    )


def _too_slow(case: Case, clocked: Clocked, likely: float | None) -> Finding:
    row, deadline, unit = clocked.row, case.heat.moment(clocked.deadline_s), clocked.end.unit
    curves, took = chill_curves(case), None
    if likely is not None:
        took = likely - clocked.best_start_s
        reached = f"after {span(took, 'up')}: {span(took - row.amount.seconds, 'up')} too slow"
    elif curves is not None:
        reached = f"later: it was still at {temperature(float(curves.best_c[-1]), unit, 'up')} at the last"
    else:
        reached = "later"
    said = (
        f"{clocked.end} were needed for the core of bag {case.bag.code} within {row.amount} of "
        f"{clocked.started_by} ({row.whose}). By the best estimate it came to that {reached}."
    )
    return _failed(case, clocked, said, deadline, took, basis="", estimated=True)


def _not_proven(case: Case, clocked: Clocked, likely: float | None) -> Finding:
    code, row = case.bag.code, clocked.row
    doubts = _doubts(case)
    asked = f"{row.amount} at most after {clocked.started_by} ({row.whose})"
    best = None
    if likely is not None:
        took = likely - clocked.best_start_s
        best = span(took, "up")
        late = f", {span(took - row.amount.seconds, 'up')} too slow" if took > row.amount.seconds else ""
        said = (
            f"By the best estimate the core of bag {code} was at {clocked.end} after {best}{late}; {asked}. "
            f"No reading proves it: none within the time shows {clocked.end} less the probe's tolerance."
        )
    else:
        said = f"Nothing shows when the core of bag {code} was at {clocked.end}; {asked}."
    remedy = "Log core readings that someone took in time; a reading taken now can't prove it."
    return case.found(
        "chill.stage",
        Step.CHILL,
        Outcome.UNPROVEN,
        " ".join([said, *(each.sentence for each in doubts)]),
        limit=row,
        since=case.heat.moment(clocked.deadline_s),
        remedy=" ".join([remedy, *(each.remedy for each in doubts if each.remedy)]),
        best=best,
        **_figures(clocked, None),
    )


def _doubts(case: Case) -> list[Doubt]:
    return [each for each in case.heat.doubts if each.step in (Step.CHILL, Step.BAG)]


def _running(case: Case, clocked: Clocked, likely: float | None) -> Finding:
    row, deadline = clocked.row, case.heat.moment(clocked.deadline_s)
    by = case.clock.time(deadline)
    said = (
        f"Bag {case.bag.code} is chilling: its core must be at {clocked.end} or below by {by}, {row.amount} "
        "after "
        f"{clocked.started_by} ({row.whose})."
    )
    if likely is not None:
        said += (
            f" By the best estimate it is there since {case.clock.time(case.heat.moment(likely))}; a core "
            "reading proves it."
        )
    else:
        said += _ahead(case, clocked)
    measure = f"Measure the core by {by}: {clocked.end} less the probe's tolerance, or colder."
    return case.found(
        "chill.stage",
        Step.CHILL,
        Outcome.UNPROVEN,
        said,
        limit=row,
        remedy=" ".join([measure, *(each.remedy for each in _doubts(case) if each.remedy)]),
        remedy_by=deadline,
        **_figures(clocked, None),
    )


def _ahead(case: Case, clocked: Clocked) -> str:
    """When it will be there if the chiller stays as it is."""
    ahead = case.heat.forecast
    if ahead is None or case.out_at is None:
        return ""
    comes = first_at_or_below(
        ahead.times_s, ahead.best_c, clocked.end.celsius, case.heat.seconds(case.out_at)
    )
    if comes is not None and comes <= clocked.deadline_s:
        return f" By the best estimate it will be there at {case.clock.time_up(case.heat.moment(comes))}."
    if comes is not None:
        late = span(comes - clocked.deadline_s, "up")
        return f" As it is chilled now it will be {late} too late by the best estimate: use a quicker chill."
    return " As it is chilled now it will not get there in time by the best estimate: use a quicker chill."


CHECKS: list[BagCheck] = [check_stages]
