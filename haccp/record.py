"""What an assessment takes and what it gives: plain, frozen values.

A kitchen's rows are gathered into one :class:`BatchRecord` before anything is
judged, and everything that was judged comes back as one :class:`Assessment`.
Neither knows a database, a request or a clock: the moment at which the record
was looked at (`BatchRecord.seen_at`) is part of the record, so that the same
record and the same ruleset always give the same answer.

Units: temperatures in °C, temperature differences in K, lengths in mm,
durations in min, all moments as aware datetimes in UTC. A field that may be
missing is ``None``; ``None`` is never read as zero.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from haccp.facts import (
    AllergenSheet,
    Allowance,
    Approval,
    Assay,
    Cure,
    DutyTold,
    Freezing,
    Keeping,
    RawHold,
    Reading,
    ServiceStay,
    Thaw,
)

__all__ = [
    "AllergenSheet",
    "Allowance",
    "Approval",
    "Assay",
    "Assessment",
    "BagAssessment",
    "BagCurve",
    "BagRecord",
    "BatchRecord",
    "Brining",
    "CoreCheck",
    "Cure",
    "Delivery",
    "DutyTold",
    "Finding",
    "Finish",
    "Freezing",
    "Keeping",
    "LateEntry",
    "MediumLog",
    "MethodFacts",
    "Outcome",
    "ProbeCheck",
    "RawHold",
    "Reading",
    "ServiceStay",
    "Stay",
    "Step",
    "Thaw",
    "worst",
]


class Outcome(StrEnum):
    """What may be said of a bag, a batch or one check of it."""

    MEETS = "meets limits"
    TO_REVIEW = "to review"
    UNPROVEN = "unproven"
    FAILS = "fails limits"

    @property
    def rank(self) -> int:
        """Order of concern, so that the worst of several outcomes governs."""
        return list(Outcome).index(self)


def worst(outcomes: list[Outcome] | tuple[Outcome, ...]) -> Outcome:
    """The outcome that governs several; nothing judged is unproven."""
    return max(outcomes, key=lambda each: each.rank, default=Outcome.UNPROVEN)


class Step(StrEnum):
    """The step of the work that a finding is about."""

    RECEIVE = "receive"
    BRINE = "brine"
    BAG = "bag"
    COOK = "cook"
    CHILL = "chill"
    STORE = "store"
    FINISH = "finish"
    PROBE = "probe"
    RECORDS = "records"


# --------------------------------------------------------------------------
# What was logged
# --------------------------------------------------------------------------


@dataclass(frozen=True)
class MediumLog:
    """The readings of one bath, chiller, slurry or fridge over one run of it.

    `medium` is a key of ``data/media.toml``. `band_k` is how far from its set
    point the medium may stray and still count as in its band. The two rates
    are the greatest that the medium itself can do (K per min, both positive);
    they bound what may have happened between two readings. `interval_min` is
    how often a reading is due. `breaks` are moments across which rows are never
    joined (a logger that stopped and started). `freezer`: food is frozen in it.
    """

    key: str
    name: str
    medium: str
    readings: tuple[Reading, ...]
    set_point_c: float | None = None
    band_k: float | None = None
    greatest_fall_k_per_min: float | None = None
    greatest_rise_k_per_min: float | None = None
    interval_min: float | None = None
    breaks: tuple[datetime, ...] = ()
    freezer: bool = False


@dataclass(frozen=True)
class Stay:
    """A bag's time in one medium. `out_at` is None while it is still there."""

    log: str
    into_at: datetime
    out_at: datetime | None = None


@dataclass(frozen=True)
class CoreCheck:
    """A core temperature that was measured, during `step` (cook, chill, finish)."""

    reading: Reading
    step: Step


@dataclass(frozen=True)
class Finish:
    """How a bag left the store: *served*, *second cook* or *discarded*."""

    kind: str
    at: datetime
    note: str = ""


@dataclass(frozen=True)
class BagRecord:
    """One sealed bag, from sealing to plate.

    `shape` is slab, cylinder, sphere, finite cylinder or brick; `thickness_mm`
    is the whole thickness or diameter at the thickest place; `length_mm` and
    `width_mm` are wanted only by the finite shapes. `doubts` name what voids
    the one-bag thickness (floating, overlapping, half sunk, from frozen,
    trapped air): with any of them the core is *unproven*.
    """

    code: str
    shape: str
    thickness_mm: float | None
    thickness_tolerance_mm: float
    start_c: float | None
    start_tolerance_k: float
    sealed_at: datetime | None
    length_mm: float | None = None
    width_mm: float | None = None
    cook: tuple[Stay, ...] = ()
    chill: tuple[Stay, ...] = ()
    store: tuple[Stay, ...] = ()
    core_checks: tuple[CoreCheck, ...] = ()
    finishes: tuple[Finish, ...] = ()
    use_by: date | None = None
    doubts: frozenset[str] = frozenset()
    services: tuple[ServiceStay, ...] = ()


@dataclass(frozen=True)
class MethodFacts:
    """The part of a signed method version that a batch is judged against.

    `attributes` are the words that trigger limits: ``whole muscle``,
    ``poultry``, ``fish``, ``vegetable``, ``minced``, ``tenderised``,
    ``injected``, ``bound``, ``stuffed``, ``rolled``, ``vulnerable diners``,
    ``cook-chill`` (chilled and held before service) and ``long life`` (more
    than ten days chilled, by heat alone).
    """

    dish: str
    version: int
    material: str
    attributes: frozenset[str]
    set_point_c: float
    bath_min: float
    thickness_max_mm: float
    start_max_c: float
    chill_medium: str | None
    life_days: int


@dataclass(frozen=True)
class ProbeCheck:
    """One check of a probe in ice or boiling water, and what it read."""

    probe: str
    at: datetime
    medium: str
    celsius: float
    entry: str = ""


@dataclass(frozen=True)
class LateEntry:
    """An entry that was made well after what it tells of, `what` in words a cook uses."""

    what: str
    at: datetime
    recorded_at: datetime
    entry: str = ""


@dataclass(frozen=True)
class Delivery:
    """A lot of this batch as it came in; `reading` is None where nobody read it.

    `words` say what it is: ``raw``, ``chilled``, ``frozen``, ``poultry``, ``red meat``,
    ``offal``, ``minced``, ``fish`` and the like. `chilled_at` is when a lot that may come warm was
    read cold, `hard_frozen` whether a frozen one came hard, `air` the air of the vehicle. `supplier`
    is None where it was not gathered, empty where nobody wrote it down; `papers` are the items that
    its papers say, `allergens` what its specification declares (None: nobody looked).
    """

    lot: str
    product: str
    at: datetime
    words: frozenset[str]
    reading: Reading | None = None
    accepted: bool = True
    use_by: date | None = None
    supplier: str | None = None
    grams: int | None = None
    papers: frozenset[str] | None = None
    allergens: frozenset[str] | None = None
    hard_frozen: bool | None = None
    chilled_at: datetime | None = None
    air: Reading | None = None
    entry: str = ""


@dataclass(frozen=True)
class Brining:
    """The stay of this batch's food in a brine; `reading` is the brine's temperature."""

    brine: str
    into_at: datetime
    out_at: datetime | None = None
    reading: Reading | None = None


@dataclass(frozen=True)
class BatchRecord:
    """Everything that is known of one batch at the moment `seen_at`."""

    code: str
    site: str
    regime: str
    timezone: str
    day: date
    seen_at: datetime
    method: MethodFacts
    bags: tuple[BagRecord, ...]
    logs: tuple[MediumLog, ...] = ()
    probe_checks: tuple[ProbeCheck, ...] = ()
    altitude_m: float = 0.0
    late_entries: tuple[LateEntry, ...] = ()
    deliveries: tuple[Delivery, ...] = ()
    brinings: tuple[Brining, ...] = ()
    raw_holds: tuple[RawHold, ...] = ()
    thaws: tuple[Thaw, ...] = ()
    cures: tuple[Cure, ...] = ()
    assays: tuple[Assay, ...] = ()
    freezings: tuple[Freezing, ...] = ()
    allergens: AllergenSheet | None = None
    keeping: Keeping | None = None
    duties: tuple[DutyTold, ...] = ()
    approvals: tuple[Approval, ...] = ()

    def log(self, key: str) -> MediumLog | None:
        """The medium log with this key, or None."""
        return next((each for each in self.logs if each.key == key), None)

    def readings(self) -> Iterator[Reading]:
        """Every reading of the record, of media, cores and foods."""
        for log in self.logs:
            yield from log.readings
        for bag in self.bags:
            yield from (each.reading for each in bag.core_checks)
            for stay in bag.services:
                yield from stay.readings
        singles = [one for each in self.deliveries for one in (each.reading, each.air)]
        singles += [each.reading for each in self.brinings]
        yield from (each for each in singles if each is not None)
        for hold in self.raw_holds:
            yield from hold.readings
        for thaw in self.thaws:
            yield from (*thaw.readings, *thaw.water)
        for freezing in self.freezings:
            yield from freezing.readings


# --------------------------------------------------------------------------
# What was found
# --------------------------------------------------------------------------


@dataclass(frozen=True)
class Finding:
    """What one rule says of one bag or batch.

    `sentence` is the whole finding in words a chef uses. The figures are
    repeated apart: `measured`, `required` and `margin` as text with unit, and
    as numbers (`measured_value`, `required_value`, both in `unit`) for the strip that draws
    one against the other. `best` is the best estimate beside the proven value.
    `basis` says what the proven value rests on, `caution` what to keep in mind
    beside a figure that a model gave. `since` is when it went wrong.
    `remedy` is what can still be done, and until when; None means nothing.
    """

    rule: str
    step: Step
    outcome: Outcome
    sentence: str
    bag: str | None = None
    limit: str | None = None
    measured: str | None = None
    required: str | None = None
    margin: str | None = None
    measured_value: float | None = None
    required_value: float | None = None
    unit: str | None = None
    best: str | None = None
    basis: str = ""
    caution: str = ""
    since: datetime | None = None
    remedy: str | None = None
    remedy_by: datetime | None = None
    entries: tuple[str, ...] = ()


@dataclass(frozen=True)
class BagCurve:
    """What the middle of a bag went through, ready to be drawn.

    All sequences have one length. `at_s` are seconds after `epoch`.
    `medium_c` is the medium as read, `best_c` the best estimate of the core,
    `low_c` and `high_c` the bounds that hold whatever the readings leave open.
    """

    epoch: datetime
    at_s: tuple[float, ...]
    medium_c: tuple[float, ...]
    best_c: tuple[float, ...]
    low_c: tuple[float, ...]
    high_c: tuple[float, ...]
    basis: str = ""


@dataclass(frozen=True)
class BagAssessment:
    """One bag: its outcome, its findings, its curve, and the clock of its hold.

    `hold_from` and `hold_until` bound the proven hold that meets the governing
    cook limit (for a bag still in the bath: when it will, if the bath stays in
    its band); `hold_limit` is that limit's id, `hold_c` its temperature.
    """

    code: str
    outcome: Outcome
    findings: tuple[Finding, ...]
    curve: BagCurve | None = None
    hold_from: datetime | None = None
    hold_until: datetime | None = None
    hold_limit: str | None = None
    hold_c: float | None = None
    use_by: date | None = None


@dataclass(frozen=True)
class Assessment:
    """All that the rules say of one batch, and by which rules and which engine."""

    batch: str
    outcome: Outcome
    bags: tuple[BagAssessment, ...]
    findings: tuple[Finding, ...] = field(default=())
    regime: str = ""
    ruleset_digest: str = ""
    engine: str = ""

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Findings of the batch itself, then of each bag in turn."""
        return self.findings + tuple(each for bag in self.bags for each in bag.findings)
