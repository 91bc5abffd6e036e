"""Random bags, baths and truths for the property test of the bounds; run it for a report of their looseness.

    python -m tests.haccp.bound_cases 10000

A case is a bag known within limits, one to three media read now and then with a probe that is a
little out, and some truths: bags inside the limits in the medium as it really was. In some, the
heat transfer moves inside its range during a stay.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from haccp.bounds import (
    Proven,
    ProvenCurves,
    UncertainBody,
    UncertainExposure,
    proven_curves,
    proven_equivalent_minutes,
)
from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.lethality import lethal_minutes
from haccp.ranges import Range
from haccp.readings import Series, best_estimate, lower_envelope, upper_envelope

KINDS = ("noise", "drop and recovery", "oscillation", "heater fails", "steps", "random walk", "steady")
REFERENCE_C, D_MIN = 60.0, 2.0


@dataclass(frozen=True)
class Truth:
    """One bag that may have been the real one."""

    core_c: np.ndarray
    surface_c: np.ndarray
    minutes: float


@dataclass
class Case:
    """One bag known within limits, what was read, and how it really was."""

    number: int

    def __post_init__(self) -> None:
        self.rng = rng = np.random.default_rng(self.number)
        self.shape = list(Shape)[rng.integers(5)]
        self.half_sizes = np.sort(
            np.exp(rng.uniform(np.log(0.004), np.log(0.06), len(self.shape.directions)))
        )
        self.alpha, self.k = rng.uniform(1.0e-7, 1.6e-7), rng.uniform(0.4, 0.55)
        self.alpha_off, self.size_off, self.k_off = rng.uniform([0.02, 0.01, 0.0], [0.12, 0.12, 0.06])
        self.z_c = float(rng.choice([4.87, 5.59, 7.5, 9.22]))
        warm = rng.random() < 0.15
        start = rng.uniform(50.0, 60.0) if warm else rng.uniform(2.0, 15.0)
        self.start = Range(start - 1.0, start, start + 1.0)
        self.steady = bool(rng.random() < 0.7)
        self.media = [self._medium(number, rng) for number in range(rng.integers(1, 4))]

    def _medium(
        self, number: int, rng: np.random.Generator
    ) -> tuple[np.ndarray, np.ndarray, UncertainExposure]:
        """How the medium really was, and what is known of it."""
        before = self.media_end if number else 0.0
        length = (8.0, 3.0, 4.0)[number] * 3600.0 * rng.uniform(0.3, 1.0)
        times = np.arange(0.0, length + 1.0, 60.0)
        fall, rise = rng.uniform(0.1, 1.5, 2)
        level = (rng.uniform(52.0, 64.0), rng.uniform(0.5, 3.0), rng.uniform(2.0, 6.0))[number]
        really = _within_rates(level + _shape_of(str(rng.choice(KINDS)), times, rng), fall, rise).clip(
            0.0, 98.0
        )
        tolerance = rng.uniform(0.1, 0.8)
        every = int(rng.choice([1, 5, 15, 30]))
        read = np.unique(np.append(np.arange(0, times.size, every), times.size - 1))
        seen = really[read] + rng.uniform(-tolerance, tolerance, read.size)
        times = times + before
        self.media_end = float(times[-1])
        span = (float(times[0]), self.media_end)
        series = Series(times[read], seen, np.full(read.size, tolerance))
        rates = {"fall_k_per_min": fall, "rise_k_per_min": rise}
        h = (rng.uniform(50.0, 400.0), rng.uniform(100.0, 500.0), rng.uniform(6.0, 30.0))[number]
        off = rng.uniform(0.05, 0.4)
        known = UncertainExposure(
            best_estimate(series, *span),
            lower_envelope(series, *span, **rates),
            upper_envelope(series, *span, **rates),
            Range(h * (1.0 - off), h, h * (1.0 + off)),
            steady=self.steady,
        )
        return times, really, known

    @cached_property
    def body(self) -> UncertainBody:
        """The bag as it is known."""

        def around(value: float, off: float) -> Range:
            return Range(value * (1.0 - off), value, value * (1.0 + off))

        return UncertainBody(
            self.shape,
            tuple(around(float(half), self.size_off) for half in self.half_sizes),
            around(self.alpha, self.alpha_off),
            around(self.k, self.k_off),
            self.start,
        )

    @cached_property
    def known(self) -> list[UncertainExposure]:
        """The media as they are known."""
        return [known for _, _, known in self.media]

    @cached_property
    def curves(self) -> ProvenCurves:
        """The bounds under test."""
        return proven_curves(self.body, self.known)

    def proven(self):
        """Bounds for the equivalent minutes at 60 °C."""
        return proven_equivalent_minutes(
            self.body, self.known, self.curves, reference_c=REFERENCE_C, z_c=self.z_c
        )

    def violated_by(self, truth: Truth, proven: Proven) -> bool:
        """Whether one bag that may have been the real one was outside any bound, upper or lower."""
        curves = self.curves
        inside = (
            (truth.core_c >= curves.low_c).all()
            and (truth.core_c <= curves.high_c).all()
            and (truth.surface_c >= curves.surface_low_c).all()
            and (truth.surface_c <= curves.surface_high_c).all()
            and proven.low <= truth.minutes <= proven.high
        )
        return not inside

    def minutes(self, core_c: np.ndarray, times_s: np.ndarray | None = None) -> float:
        """Equivalent minutes at 60 °C along a curve on the bounds' grid."""
        times = self.curves.times_s if times_s is None else times_s
        return lethal_minutes(times, core_c, reference_c=REFERENCE_C, z_c=self.z_c)

    def random_body(self, corner: bool) -> tuple[Body, float]:
        """A body and a start inside the limits, or at a corner of them."""

        def pick(values: Range) -> float:
            share = float(self.rng.integers(2)) if corner else self.rng.random()
            return values.low + share * (values.high - values.low)

        sizes = tuple(pick(each) for each in self.body.half_sizes_m)
        body = Body(self.shape, sizes, pick(self.body.diffusivity), pick(self.body.conductivity))
        return body, pick(self.body.start_c)

    def stays(self, corner: bool) -> list[tuple[np.ndarray, np.ndarray, float]]:
        """The media as they were, each with a heat transfer in its range, moving if it is not steady."""
        found = []
        for times, really, known in self.media:
            cuts = [0, times.size - 1]
            if not self.steady:
                cuts = sorted({*cuts, *(int(each) for each in self.rng.integers(2, times.size - 2, 2))})
            for start, stop in pairwise(cuts):
                share = float(self.rng.integers(2)) if corner else self.rng.random()
                h = known.heat_transfer.low + share * (known.heat_transfer.high - known.heat_transfer.low)
                found.append((times[start : stop + 1], really[start : stop + 1], h))
        return found

    def truth(self, corner: bool) -> Truth:
        """One bag that may have been the real one, by the eigenmodes."""
        body, start = self.random_body(corner)
        stays = [Exposure(*each) for each in self.stays(corner)]
        curve = core_curve(body, stays, start, self.curves.times_s)
        return Truth(curve.core_c, curve.surface_c, self.minutes(curve.core_c))


def _shape_of(kind: str, times: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """How a medium strays from its level [K]."""
    end = times[-1]
    if kind == "noise":
        return rng.normal(0.0, 0.2, times.size)
    if kind == "drop and recovery":
        since = times - rng.uniform(0.1, 0.7) * end
        return np.where(
            since > 0.0, -rng.uniform(1.0, 8.0) * np.exp(-since / rng.uniform(300.0, 2400.0)), 0.0
        )
    if kind == "oscillation":
        return rng.uniform(0.3, 2.0) * np.sin(2.0 * np.pi * times / rng.uniform(300.0, 5400.0))
    if kind == "heater fails":
        return -rng.uniform(3.0, 15.0) / 3600.0 * np.maximum(times - rng.uniform(0.2, 0.7) * end, 0.0)
    if kind == "steps":
        return rng.uniform(-4.0, 4.0, 5)[np.minimum((times / end * 5.0).astype(int), 4)]
    if kind == "random walk":
        return np.cumsum(rng.normal(0.0, 0.1, times.size))
    return np.zeros(times.size)


def _within_rates(course: np.ndarray, fall: float, rise: float) -> np.ndarray:
    """The course slowed down to its greatest rates [K/min], a minute between its values."""
    kept = course.copy()
    for at in range(1, kept.size):
        kept[at] = min(max(course[at], kept[at - 1] - fall), kept[at - 1] + rise)
    return kept


def report(count: int) -> str:
    """How often a bound was violated and how much it gives away, beside the plain slow corner."""
    given_away: dict[str, list[tuple[float, float]]] = {
        "one medium, one direction": [],
        "one medium, finite": [],
        "several media": [],
    }
    violations = plain_violations = 0
    for number in range(count):
        case = Case(number)
        truths = [case.truth(corner=each % 2 == 0) for each in range(4)]
        proven = case.proven()
        violations += any(case.violated_by(each, proven) for each in truths)
        plain = core_curve(
            case.body.slow,
            [Exposure(*known.lower, known.heat_transfer.low) for known in case.known],
            case.start.low,
            case.curves.times_s,
        ).core_c
        plain_violations += any((each.core_c < plain - 1e-6).any() for each in truths)
        least = min(each.minutes for each in truths)
        if 2.0 < least < 100.0:
            kind = (
                "several media"
                if len(case.known) > 1
                else ("one medium, finite" if len(case.half_sizes) > 1 else "one medium, one direction")
            )
            given_away[kind].append(((least - proven.low) / least, (least - case.minutes(plain)) / least))
    lines = [
        f"{count} cases: bound violated in {violations}, plain slow corner (core) in {plain_violations}",
        "share of the least true equivalent minutes (2 to 100) that is given away, bound and plain corner:",
    ]
    for kind, shares in given_away.items():
        if shares:
            (middle, plain_middle), (most, plain_most) = np.percentile(shares, [50, 95], axis=0)
            lines.append(
                f"{kind} ({len(shares)}): median {middle:.2f}, 95 % {most:.2f}; "
                f"plain corner {plain_middle:.2f}, {plain_most:.2f}"
            )
    return "\n".join(lines)


if __name__ == "__main__":
    print(report(int(sys.argv[1]) if len(sys.argv) > 1 else 300))
