"""The come-up: how long the middle of the bag was warm and not yet hot."""

from __future__ import annotations

from haccp.case import BagCheck, Case
from haccp.comeup import come_up, heatings
from haccp.curves import FloatArray
from haccp.lethality import spans_at_or_above
from haccp.limitrows import Amount
from haccp.record import Finding, Outcome, Step
from haccp.wording import span


def check_come_up(case: Case) -> list[Finding]:
    """How long the middle was warm but not yet hot: advice where a regime takes it."""
    curves = case.heat.curves
    if curves is None or not case.heat.proves(Step.COOK):
        return []
    found = []
    for row in case.limits("cook", "elapsed_time", advice=True):
        if row.clock != "come-up" or row.start is None or row.end is None:
            continue
        likely = _together_s(case, curves.times_s, curves.best_c, curves.best_c, row.start, row.end)
        longest = _together_s(case, curves.times_s, curves.high_c, curves.low_c, row.start, row.end)
        if likely > row.amount.seconds:
            cut = case.heat.course is not None and len(heatings(case.heat.course)) > 1
            counted = ", its heatings and the time between them counted together" if cut else ""
            said = (
                f"By the best estimate the core of bag {case.bag.code} took {span(likely, 'up')} from "
                f"{row.start} to {row.end}{counted}, and {span(longest, 'up')} at the very most; "
                f"{row.amount} at most is advised ({row.whose}). Cooking on does not undo a toxin. "
                "A competent person decides."
            )
            found.append(
                case.found(
                    "cook.come_up",
                    Step.COOK,
                    Outcome.TO_REVIEW,
                    said,
                    limit=row,
                    measured=f"{span(longest, 'up')} at the very most",
                    required=f"at most {row.amount}",
                    margin=f"{span(likely - row.amount.seconds, 'up')} over",
                    best=span(likely, "up"),
                    basis=curves.basis,
                )
            )
    return found


def _together_s(
    case: Case, times: FloatArray, warm: FloatArray, hot: FloatArray, start: Amount, end: Amount
) -> float:
    """The come-up [s]: of an interrupted cook all heatings and the coolings between."""
    stays = heatings(case.heat.course) if case.heat.course else ()
    if len(stays) > 1:
        return come_up(times, warm, hot, stays, from_c=start.celsius, to_c=end.celsius).total_s
    return warming_s(times, warm, hot, start.celsius, end.celsius)


def warming_s(times: FloatArray, warm: FloatArray, hot: FloatArray, from_c: float, to_c: float) -> float:
    """The time [s] from `warm` first above `from_c` to `hot` first at `to_c`, or to the end of the curve."""
    warmed = spans_at_or_above(times, warm, from_c)
    if not warmed:
        return 0.0
    begins = warmed[0][0]
    heated = [start for start, end in spans_at_or_above(times, hot, to_c) if end > begins]
    if heated:
        return max(heated[0] - begins, 0.0)
    # Never hot: it counts for as long as it stayed warm.
    still = spans_at_or_above(times, hot, from_c)
    return max((still[-1][1] if still else float(times[-1])) - begins, 0.0)


CHECKS: list[BagCheck] = [check_come_up]
