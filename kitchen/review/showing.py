"""An assessment made ready to be read: bags alike together, worst first, each limit with its source.

The Pass and the batch record show the same things from here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from haccp.record import Assessment, BagAssessment, Finding, Outcome, Step
from kitchen.base.picture import Picture
from kitchen.base.strip import finding_strip
from kitchen.batches.models import Batch
from kitchen.ledger.models import standing
from kitchen.review.cited import Cited
from kitchen.review.merging import numbers_in_words, of_all, of_no_bag
from kitchen.review.models import CorrectiveAction, Disposition, SignOff

_STEPS = list(Step)


def by_concern(findings: Iterable[Finding]) -> list[Finding]:
    """Worst first, then in the order of the work."""
    return sorted(findings, key=lambda each: (-each.outcome.rank, _STEPS.index(each.step), each.rule))


@dataclass(frozen=True)
class Said:
    """A finding as it is shown: sentence and remedy about all the bags that it holds of."""

    finding: Finding
    sentence: str
    cited: Cited | None = None
    actions: tuple[CorrectiveAction, ...] = ()

    @property
    def strip(self) -> Picture | None:
        """Measured against required, where there are two figures."""
        return finding_strip(self.finding)

    @property
    def basis(self) -> str:
        """What the proven value rests on, by name; the finding itself says it in full."""
        return self.finding.basis.split(":")[0]

    @property
    def meets(self) -> bool:
        """Whether there is nothing to decide about it."""
        return self.finding.outcome == Outcome.MEETS

    @property
    def fails(self) -> bool:
        """Whether it wants a corrective action."""
        return self.finding.outcome == Outcome.FAILS


@dataclass(frozen=True)
class Group:
    """Bags of which the same was found. `first` stands for all of them."""

    name: str
    numbers: tuple[int, ...]
    first: BagAssessment
    said: tuple[Said, ...]

    @property
    def outcome(self) -> Outcome:
        """The outcome of each of these bags."""
        return self.first.outcome

    @property
    def doubtful(self) -> list[Said]:
        """What does not meet its limit."""
        return [each for each in self.said if not each.meets]

    @property
    def met(self) -> list[Said]:
        """What meets its limit."""
        return [each for each in self.said if each.meets]


def _same(bag: BagAssessment) -> tuple[object, ...]:
    """What two bags must have in common to be shown as one."""
    said = tuple(_alike(each, bag.code) for each in bag.findings)
    return (said, bag.hold_from, bag.hold_until, bag.use_by, bag.curve)


def _alike(finding: Finding, bag: str) -> tuple[object, ...]:
    """What a finding says, whichever bag it is about."""
    sentence, remedy = of_no_bag(finding.sentence, bag), of_no_bag(finding.remedy or "", bag)
    return (finding.rule, finding.outcome, finding.limit, sentence, remedy, finding.remedy_by)


@dataclass(frozen=True)
class Reading:
    """An assessment beside the limits that it cites and the actions that were taken."""

    assessment: Assessment
    cited: Mapping[str, Cited] = field(default_factory=dict)
    actions: Sequence[CorrectiveAction] = ()

    def groups(self) -> list[Group]:
        """The bags of a batch, those alike together, worst first."""
        alike: dict[tuple[object, ...], list[BagAssessment]] = {}
        for bag in self.assessment.bags:
            alike.setdefault(_same(bag), []).append(bag)
        found = []
        for bags in alike.values():
            first, numbers = bags[0], tuple(int(each.code) for each in bags)
            name = numbers_in_words(numbers)
            said = tuple(self._said(each, first.code, name) for each in by_concern(first.findings))
            found.append(Group(name, numbers, first, said))
        return sorted(found, key=lambda group: (-group.outcome.rank, group.numbers))

    def of_batch(self) -> list[Said]:
        """What was found of the batch itself."""
        return [self._said(each) for each in by_concern(self.assessment.findings)]

    def once(self) -> list[Said]:
        """Each thing that was found once, about all the bags of which it holds: worst first."""
        alike: dict[tuple[object, ...], list[tuple[int, Finding]]] = {}
        for bag in self.assessment.bags:
            for finding in bag.findings:
                alike.setdefault(_alike(finding, bag.code), []).append((int(bag.code), finding))
        found = self.of_batch()
        for rows in alike.values():
            number, finding = rows[0]
            name = numbers_in_words(each for each, _ in rows)
            found.append(self._said(finding, str(number), name))
        return sorted(found, key=lambda each: (-each.finding.outcome.rank, _STEPS.index(each.finding.step)))

    def doubtful(self) -> list[Said]:
        """What does not meet its limit, worst first."""
        return [each for each in self.once() if not each.meets]

    def _said(self, finding: Finding, bag: str = "", name: str = "") -> Said:
        sentence = finding.sentence
        if bag:
            sentence = of_all(sentence, bag, name)
            finding = replace(finding, remedy=finding.remedy and of_all(finding.remedy, bag, name))
        cited = self.cited.get(finding.limit) if finding.limit else None
        actions = tuple(each for each in self.actions if each.rule == finding.rule)
        return Said(finding, sentence, cited, actions)


def actions_of(batch: Batch) -> list[CorrectiveAction]:
    """The standing corrective actions of a batch."""
    return list(standing(batch.corrective_actions.all()).select_related("entry__person"))


def dispositions_of(batch: Batch) -> dict[int, Disposition]:
    """The newest standing disposition of each bag, by its number."""
    rows = standing(Disposition.objects.filter(bag__batch=batch)).select_related("bag", "entry__person")
    return {each.bag.number: each for each in rows.order_by("entry__seq")}


def decisions(decided: Mapping[int, Disposition]) -> list[tuple[str, Disposition]]:
    """What was decided, the bags of one entry together: (their name, the disposition)."""
    entries: dict[object, list[int]] = {}
    for number in sorted(decided):
        entries.setdefault(decided[number].entry_id, []).append(number)
    return [(numbers_in_words(numbers), decided[numbers[0]]) for numbers in entries.values()]


def signature_of(batch: Batch) -> SignOff | None:
    """The newest signature under a batch."""
    found = standing(batch.sign_offs.all()).select_related("entry__person")
    return found.order_by("-entry__seq").first()
