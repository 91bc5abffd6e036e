"""What the replay must find again by the names that the script uses."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from kitchen.batches.models import Bag, Batch
from kitchen.cooking.models import BathLog
from kitchen.equipment.models import Bath, Chiller, Fridge, Probe
from kitchen.larder.models import Lot
from kitchen.ledger.chain import Hand
from kitchen.ledger.models import Entry, standing
from kitchen.management.demo.script import Line, ScriptError
from kitchen.methods.models import Method
from kitchen.people.models import Person, Site
from kitchen.review.assessing import refresh


@dataclass
class Stage:
    """The demo's site while the week is replayed."""

    site: Site
    tablet: str
    people: dict[str, Person] = field(default_factory=dict)
    batches: dict[str, Batch] = field(default_factory=dict)
    named: dict[str, Entry] = field(default_factory=dict)

    def hand(self, line: Line) -> Hand:
        """The hand that tells a line."""
        if line.by is not None and line.by not in self.people:
            raise ScriptError(f"{line.where}: nobody has the staff code {line.by}.")
        person = self.people[line.by] if line.by is not None else None
        return Hand(site=self.site, person=person, tablet=self.tablet, now=line.told_at)

    def probe(self, name: str) -> Probe:
        """A probe by name."""
        return Probe.objects.get(site=self.site, name=name)

    def bath(self, name: str) -> Bath:
        """A bath by name."""
        return Bath.objects.get(site=self.site, name=name)

    def chiller(self, name: str) -> Chiller:
        """A chiller by name."""
        return Chiller.objects.get(site=self.site, name=name)

    def fridge(self, name: str) -> Fridge:
        """A fridge by name."""
        return Fridge.objects.get(site=self.site, name=name)

    def lots(self, codes: list[str]) -> list[Lot]:
        """Lots by code, in the order given."""
        return [standing(Lot.objects.filter(site=self.site, code=each)).get() for each in codes]

    def method(self, dish: str) -> Method:
        """The newest version of a dish's method."""
        found = Method.objects.filter(dish__site=self.site, dish__name=dish).order_by("-version").first()
        if found is None:
            raise ScriptError(f"There is no method for {dish}.")
        return found

    def running(self, bath: str) -> BathLog:
        """The log of a bath that is running."""
        return BathLog.objects.get(bath__site=self.site, bath__name=bath, ended__isnull=True)

    def batch(self, key: str) -> Batch:
        """A batch by the name that the script gives it."""
        return self.batches[key]

    def bags(self, key: str, numbers: list[int] | None) -> list[Bag]:
        """Bags of a batch: those with these numbers, or all of them."""
        bags = self.batch(key).bags.order_by("number")
        return list(bags.filter(number__in=numbers) if numbers else bags)

    def finding(self, key: str, rule: str, seen_at: datetime) -> str:
        """What a rule says of a batch at this moment, as the head chef reads it."""
        assessment = refresh(self.batch(key), seen_at)
        said = [each for each in assessment.all_findings if each.rule == rule]
        if not said:
            found = sorted({each.rule for each in assessment.all_findings})
            raise ScriptError(f"The rule {rule} says nothing of {key}; these do: {', '.join(found)}.")
        return max(said, key=lambda each: each.outcome.rank).sentence
