"""Which readings of a probe can be trusted: a failed check reaches back to the last good one."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from kitchen.equipment.models import ProbeCheck


@dataclass
class Trust:
    """The checks of probes, by probe, in order of time."""

    checks: dict[int, list[tuple[datetime, bool]]] = field(default_factory=lambda: defaultdict(list))

    @classmethod
    def of(cls, checks: Iterable[ProbeCheck]) -> Trust:
        """Trust from the standing checks."""
        trust = cls()
        for check in sorted(checks, key=lambda each: each.at):
            trust.checks[check.probe_id].append((check.at, check.passed))
        return trust

    def holds(self, probe_id: int, at: datetime) -> bool:
        """Whether a reading at this moment lies between no failed check and its neighbour.

        A reading is doubted when the check before it failed, or when the next check after it
        fails: nobody knows when between the two the probe went wrong.
        """
        checks = self.checks.get(probe_id, [])
        place = bisect_left(checks, (at, False))
        before = checks[place - 1][1] if place else True
        after = checks[place][1] if place < len(checks) else True
        return before and after
