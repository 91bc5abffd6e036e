"""The come-up of a cook that was interrupted: all its heatings and the coolings between, counted together.

While the middle of a piece is warm and not yet hot, bacteria grow, and what S. aureus leaves
behind no cooking undoes. A bag that came out too early and went back has been through that span twice
on the way up and perhaps once on the way down; the limit is on all of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy.typing as npt

from haccp.course import Course
from haccp.curves import checked, spans_where_at_or_above
from haccp.errors import RangeError, ReadingsError
from haccp.record import Step

__all__ = ["ComeUp", "come_up", "heatings"]

Span = tuple[float, float]


@dataclass(frozen=True)
class ComeUp:
    """Warm and not yet hot [s]: in each heating, in each cooling between two, and after the last.

    `after_s` is nought for a core that was hot at some time: what follows is its chill.
    """

    heatings_s: tuple[float, ...]
    between_s: tuple[float, ...]
    after_s: float

    @property
    def total_s(self) -> float:
        """All of it together [s], which is what the limit is on."""
        return math.fsum((*self.heatings_s, *self.between_s, self.after_s))


def come_up(
    times_s: npt.ArrayLike,
    warm_c: npt.ArrayLike,
    hot_c: npt.ArrayLike,
    stays: Sequence[Span],
    *,
    from_c: float,
    to_c: float,
) -> ComeUp:
    """How long a core was at or above `from_c` and under `to_c` [°C] from its first heating to its last.

    Parameters: `times_s` [s], `warm_c` and `hot_c` [°C], all (n,) and linear between points; for the best
    estimate give one curve twice, for an upper bound the upper and the lower curve: whenever the true
    core counts, these two do. `stays` are the heatings [s], in order. A time in the warmth counts also
    where the core falls back under `to_c` in a bath that sags. A core that was never hot counts on
    after its last heating until it is hot or no longer warm.

    With A the time at which warm >= from and B ⊂ A that at which hot >= to, a window W counts
    |A ∩ W| - |B ∩ W|.
    Raises :class:`ReadingsError` for curves or stays that can't be used, :class:`RangeError` for limits in
    the wrong order. Source: fsis-cooking-guideline-2021 (both come-ups and the cooling between).
    """
    if not from_c < to_c:
        raise RangeError("A come-up runs from a lower to a higher temperature.")
    times, warm = checked(times_s, warm_c)
    _, hot = checked(times_s, hot_c)
    if (hot > warm).any():
        raise ReadingsError("The lower curve of a come-up lies above the upper one; change them round.")
    edges = [each for stay in stays for each in stay]
    if not edges or any(not after >= before for before, after in pairwise(edges)):
        raise ReadingsError("Heatings are spans in order of time, at least one.")
    above_from = spans_where_at_or_above(times, warm, from_c)
    above_to = spans_where_at_or_above(times, hot, to_c)

    def counted(start: float, end: float) -> float:
        return _within(above_from, start, end) - _within(above_to, start, end)

    after = 0.0
    last = edges[-1]
    if not any(start <= last for start, _ in above_to):
        still = next((end for start, end in above_from if start <= last < end), last)
        hot_at = min((start for start, _ in above_to), default=math.inf)
        after = counted(last, min(still, hot_at))
    gaps = zip(edges[1::2], edges[2::2], strict=False)
    return ComeUp(
        heatings_s=tuple(counted(start, end) for start, end in stays),
        between_s=tuple(counted(start, end) for start, end in gaps),
        after_s=after,
    )


def _within(spans: Sequence[Span], start: float, end: float) -> float:
    return math.fsum(max(min(until, end) - max(since, start), 0.0) for since, until in spans)


def heatings(course: Course) -> tuple[Span, ...]:
    """The heatings [s] of a course: its stays in baths, two baths without a pause as one."""
    found: list[Span] = []
    for leg in course.legs:
        if leg.step != Step.COOK:
            continue
        if found and leg.start_s <= found[-1][1]:
            found[-1] = (found[-1][0], leg.end_s)
        else:
            found.append((leg.start_s, leg.end_s))
    return tuple(found)
