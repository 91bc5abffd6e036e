"""What the life of a bag is counted from: its class, its gates, its events and the rules handed in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from enum import StrEnum
from itertools import pairwise

from haccp.errors import DataError, RangeError
from haccp.limits import Limit
from haccp.record import Outcome


def in_utc(moment: datetime) -> datetime:
    """The same moment in UTC: sums and differences of moments of one local zone would follow the wall clock.

    Errors: :class:`RangeError` for a moment without its zone.
    """
    if moment.tzinfo is None:
        raise RangeError("Every moment of a life needs its time zone.")
    return moment.astimezone(UTC)


class LifeClass(StrEnum):
    """Class of a process by what can still grow in the store."""

    A = "A"
    B = "B"
    C = "C"

    @classmethod
    def of(
        cls, *, sealed_before_cook: bool, opened: bool, long_life_met: bool, reference_met: bool
    ) -> LifeClass:
        """The class of a bag; `long_life_met` and `reference_met` are proven against the ruleset's tables."""
        if opened or not sealed_before_cook:
            return cls.C
        if long_life_met:
            return cls.A
        return cls.B if reference_met else cls.C


@dataclass(frozen=True)
class Gates:
    """What must hold before there is any date. `chill_signed`: an outcome to review was signed off."""

    cook: Outcome
    chill: Outcome
    chill_signed: bool
    seal_intact: bool
    probes: Outcome
    store_log_complete: bool

    @property
    def closed(self) -> tuple[str, ...]:
        """Why there is no date, one reason a gate; empty where all are open."""
        chilled = self.chill is Outcome.MEETS or (self.chill is Outcome.TO_REVIEW and self.chill_signed)
        checks = (
            (self.cook is Outcome.MEETS, "the cook is not proven to meet its limit"),
            (chilled, "the chill neither meets its limits nor was signed off"),
            (self.seal_intact, "the seal is not whole"),
            (self.probes is Outcome.MEETS, "a probe has not passed its check"),
            (self.store_log_complete, "the log of the store is not complete"),
        )
        return tuple(reason for opened, reason in checks if not opened)


@dataclass(frozen=True)
class LifeRule:
    """So many days from an event. `first_day` is the number that the day of the event has.

    `counts_from` names the event: sealing, cooking, freezing or another that the facts know.
    `store_c` [°C] is the warmest store for which the rule speaks, or None; `row` the row of a ruleset that
    prints it, None for a rule of the kitchen's own.
    """

    id: str
    days: int
    counts_from: str
    first_day: int
    store_c: float | None = None
    row: Limit | None = None

    def __post_init__(self) -> None:
        if self.days < 1 or self.first_day not in (0, 1):
            raise RangeError(f"{self.id}: a life has at least one day, and its first is day 0 or day 1.")

    @classmethod
    def from_limit(cls, limit: Limit) -> LifeRule:
        """The rule that a row of a ruleset prints; :class:`DataError` for a row that counts no days."""
        if limit.quantity != "days" or limit.unit != "day" or limit.first_day is None:
            raise DataError(f"{limit.id} does not count days.")
        store = None if limit.store is None else limit.store.celsius
        return cls(limit.id, int(limit.amount.value), limit.counts_from, limit.first_day, store, limit)


@dataclass(frozen=True)
class Frozen:
    """A stay in the freezer; `until` is the start of thawing, None while it lasts. Aware moments."""

    since: datetime
    until: datetime | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "since", in_utc(self.since))
        if self.until is not None:
            object.__setattr__(self, "until", in_utc(self.until))
        if self.until is not None and self.until < self.since:
            raise RangeError("A bag can't thaw before it was frozen; correct the entry that is wrong.")


@dataclass(frozen=True)
class LifeFacts:
    """What a life is counted from. `starts`: event → aware moment; `frozen` in order of time.
    Moments are kept in UTC.

    `raw_use_by` is the use-by of the raw material and binds only where the food is not fully
    cooked. `controlling_factor`: pH, water activity or salt was proven throughout the food.
    """

    starts: Mapping[str, datetime] = field(hash=False)
    process: LifeClass
    frozen: tuple[Frozen, ...] = ()
    raw_use_by: date | None = None
    controlling_factor: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "starts", {event: in_utc(each) for event, each in self.starts.items()})
        for one, other in pairwise(self.frozen):
            if one.until is None or other.since < one.until:
                raise RangeError("Stays in the freezer must follow each other; correct their entries.")


def combined(facts: Sequence[LifeFacts]) -> LifeFacts:
    """The facts of a bag made of others: oldest start of each event, worst class, no doubtful credit.

    A stay in the freezer counts only where all of them had it.
    Errors: :class:`RangeError` for nothing to combine.
    """
    if not facts:
        raise RangeError("Name at least one bag that this one was made from.")
    starts: dict[str, datetime] = {}
    for each in facts:
        for event, moment in each.starts.items():
            starts[event] = min(moment, starts.get(event, moment))
    raw = [each.raw_use_by for each in facts if each.raw_use_by is not None]
    return LifeFacts(
        starts=starts,
        process=max((each.process for each in facts), key=list(LifeClass).index),
        frozen=tuple(one for one in facts[0].frozen if all(one in each.frozen for each in facts)),
        raw_use_by=min(raw, default=None),
        controlling_factor=all(each.controlling_factor for each in facts),
    )
