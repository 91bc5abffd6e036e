"""The head of a batch record: the questions that an officer asks, each with its answer in a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haccp.record import Assessment, BagAssessment, BagRecord, BatchRecord, Finding, Stay, Step
from kitchen.base.moments import span
from kitchen.batches.models import Batch
from kitchen.papers.stays import chill_checks
from kitchen.papers.steps import Steps
from kitchen.papers.wordings import NOT_RECORDED, Wordings, counted, length, together
from kitchen.review.assessing import State
from kitchen.review.cited import Cited
from kitchen.review.models import Disposition, SignOff
from kitchen.review.trail import Line

STATES = {
    State.OPEN: "not signed",
    State.SIGNED: "signed",
    State.REOPENED: "reopened by what came after the signature",
}
READ = frozenset({"bath.read", "bath.import", "core.check", "chill.read", "fridge.read", "probe.check"})


def _stage(finding: Finding) -> str:
    """What one finding says of the chill, in short: measured, or the best estimate, against its limit."""
    limit = f" ({finding.required})" if finding.required else ""
    if finding.measured:
        begun = "begun after " if finding.rule == "chill.begun" else ""
        return f"{begun}{finding.measured}{limit}"
    return f"best estimate {finding.best}, not proven{limit}" if finding.best else ""


@dataclass(frozen=True)
class Facts:
    """What the first page answers."""

    batch: Batch
    gathered: BatchRecord
    assessment: Assessment
    cited: dict[str, Cited]
    decided: dict[int, Disposition]
    signature: SignOff | None
    state: State
    trail: Sequence[Line]

    def answers(self) -> list[tuple[str, str]]:
        """Question and answer, in the order of the work."""
        return [
            ("What was cooked", self.cooked()),
            ("From what lot", self.lots()),
            ("How thick", self.thickness()),
            ("How hot", self.heat()),
            ("How long", self.time()),
            ("Proven by", self.proof()),
            ("Against whose limit", self.limits()),
            ("How fast chilled", self.chill()),
            ("Until when good", self.use_by()),
            ("Who decided", self.decisions()),
            ("Anything changed", self.changes()),
        ]

    @property
    def words(self) -> Wordings:
        """How this site writes."""
        return Wordings(self.batch.site)

    def cooked(self) -> str:
        """Dish, method version, bags, day."""
        bags = counted(len(self.gathered.bags), "bag")
        method = self.gathered.method
        kinds = ", ".join(sorted(method.attributes))
        made = self.words.day(self.batch.made_on)
        return f"{method.dish}, method version {method.version} ({kinds}); {bags}, made {made}"

    def lots(self) -> str:
        """Product, lot, supplier."""
        lots = Steps(self.batch, self.gathered).lots
        return "; ".join(f"{each.product}, lot {each.code}, {each.supplier}" for each in lots) or NOT_RECORDED

    def thickness(self) -> str:
        """Per group of bags, with the tolerance."""
        bags = ((int(each.code), each) for each in self.gathered.bags)
        found = together(bags, lambda each: (length(each.thickness_mm), length(each.thickness_tolerance_mm)))
        return (
            "; ".join(f"{name}: {thick} (± {tolerance})" for name, (thick, tolerance) in found)
            or NOT_RECORDED
        )

    def heat(self) -> str:
        """Bath, set point, what was read of it; core checks of the cook."""
        found = []
        for log in self.gathered.logs:
            if log.set_point_c is None:
                continue
            read = self.words.spread([each.celsius for each in log.readings])
            found.append(
                f"{log.name} set to {self.words.temperature(log.set_point_c)}, "
                f"read {read} ({counted(len(log.readings), 'reading')})"
            )
        found += [
            f"core of bag {bag.code} probed at {self.words.temperature(check.reading.celsius)}"
            for bag in self.gathered.bags
            for check in bag.core_checks
            if check.step == Step.COOK
        ]
        return "; ".join(found) or NOT_RECORDED

    def time(self) -> str:
        """In the bath; the hold at the core, and when it was long enough."""
        found = []
        stays = (
            (int(bag.code), (stay, assessed))
            for bag, assessed in zip(self.gathered.bags, self.assessment.bags, strict=True)
            for stay in bag.cook
        )
        for name, said in together(stays, lambda row: self._cooked(*row)):
            found.append(f"{name}: {said}")
        return "; ".join(found) or NOT_RECORDED

    def _cooked(self, stay: Stay, assessed: BagAssessment) -> str:
        said = f"{span((stay.out_at or self.gathered.seen_at) - stay.into_at)} in the bath"
        said += "" if stay.out_at else " so far"
        for each in assessed.findings:
            if each.rule.startswith("cook.") and each.measured and each.required:
                said += f", core {each.measured} ({each.required} needed)"
        if assessed.hold_until:
            said += f", reached by {self.words.clock(assessed.hold_until)}"
        return said

    def proof(self) -> str:
        """Which readings, by which probes, and what the proven value rests on."""
        probes = sorted({each.probe for log in self.gathered.logs for each in log.readings})
        checks = sum(len(bag.core_checks) for bag in self.gathered.bags)
        readings = sum(len(log.readings) for log in self.gathered.logs)
        cook = [each for each in self.assessment.all_findings if each.basis and each.rule.startswith("cook.")]
        bases = dict.fromkeys(each.basis.split(":")[0] for each in cook)
        by = ", ".join(probes) or "no probe"
        return "; ".join([f"{counted(readings, 'reading')} by {by}", counted(checks, "core check"), *bases])

    def limits(self) -> str:
        """The limits of cook, chill and store, by source."""
        found = dict.fromkeys(f"{limit.whose} ({limit.status})" for limit in self.cited.values())
        return "; ".join(found) + ": see Limits used" if found else "no limit applied yet"

    def chill(self) -> str:
        """What the rules say of the chill, and the last core check of each bag in it."""
        bags = ((int(bag.code), bag) for bag in self.gathered.bags)
        found = [f"{name}: {said or NOT_RECORDED}" for name, said in together(bags, self._chilled)]
        last = [checks[-1] for bag in self.gathered.bags if (checks := list(chill_checks(bag)))]
        if last:
            cores = self.words.spread([celsius for celsius, _ in last])
            waits = sorted(wait for _, wait in last)
            after = " to ".join(dict.fromkeys(span(each) for each in (waits[0], waits[-1])))
            found.append(f"core {cores}, {after} after the bath")
        return "; ".join(found) or NOT_RECORDED

    def _chilled(self, bag: BagRecord) -> str:
        assessed = next(each for each in self.assessment.bags if each.code == bag.code)
        found = (_stage(each) for each in assessed.findings if each.rule.startswith("chill."))
        return ", ".join(dict.fromkeys(each for each in found if each))

    def use_by(self) -> str:
        """The use-by of each bag, and the life that it rests on."""
        bags = ((int(each.code), each.use_by) for each in self.assessment.bags)
        found = together(bags, lambda each: each)
        life = counted(self.gathered.method.life_days, "day")
        said = "; ".join(f"{name}: use-by {self.words.day(day)}" for name, day in found)
        return f"{said} (the method keeps it {life})" if said else NOT_RECORDED

    def decisions(self) -> str:
        """Dispositions and signature."""
        rows = together(
            sorted(self.decided.items()),
            lambda each: (each.decision, each.entry.person.name, each.entry.person.role),
        )
        found = [f"{name}: {decision}, {who} ({role})" for name, (decision, who, role) in rows]
        if self.signature:
            person = self.signature.entry.person
            found.append(f"signed by {person.name} ({person.role}), {self.words.full(self.signature.at)}")
        found += [] if self.state == State.SIGNED else [STATES[self.state]]
        return "; ".join(found)

    def changes(self) -> str:
        """Late and corrected entries."""
        late = sum(bool(each.late_min) for each in self.trail)
        corrected = sum(each.corrected_by is not None for each in self.trail)
        if not late and not corrected:
            return "no entry was late, none was corrected"
        found = [
            counted(late, "late entry", "late entries") if late else "no late entry",
            counted(corrected, "corrected entry", "corrected entries") if corrected else "no corrected entry",
        ]
        return f"{', '.join(found)}: see Entries as recorded"

    def verifier(self) -> str:
        """Whether who signed also took readings."""
        if self.signature is None:
            return ""
        signer = self.signature.entry.person
        taken = sum(each.entry.kind in READ and each.entry.person_id == signer.pk for each in self.trail)
        if not taken:
            return f"{signer.name} took none of the readings in this record."
        return f"{signer.name} also took {counted(taken, 'reading')} in this record."
