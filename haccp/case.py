"""What a check is given: one bag with its heat, in its batch, under a ruleset."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from haccp.heat import BagHeat
from haccp.limits import Limit, Ruleset
from haccp.record import BagRecord, BatchRecord, Finding, MethodFacts, Outcome, Step
from haccp.wording import Clock

HOT_HOLD = "hot hold"


def words_of(method: MethodFacts) -> frozenset[str]:
    """The words that trigger limits for food of this method: its attributes and what they imply."""
    words = method.attributes | {"sealed"}
    if method.chill_medium or "cook-chill" in words:
        words |= {"chilled"}
    return words


@dataclass(frozen=True)
class Case:
    """One bag of a batch, ready to be judged."""

    record: BatchRecord
    ruleset: Ruleset
    bag: BagRecord
    heat: BagHeat

    @cached_property
    def words(self) -> frozenset[str]:
        """What triggers limits for this bag."""
        words = words_of(self.record.method)
        if any(each.kind == HOT_HOLD for each in self.bag.services):
            words |= {HOT_HOLD}
        return words | {"chilled"} if self.bag.chill or self.bag.store else words

    @cached_property
    def clock(self) -> Clock:
        """The site's clock."""
        return Clock.at(self.record.timezone, self.record.day)

    @property
    def out_at(self) -> datetime | None:
        """When the bag left its bath for good; None while in it, or if it never was in one."""
        return self.heat.course.out_at if self.heat.course else None

    def limits(self, topic: str, quantity: str | None = None, *, advice: bool = False) -> tuple[Limit, ...]:
        """The limits of a topic that this bag triggers."""
        return self.ruleset.limits(topic, self.words, quantity=quantity, advice=advice)

    def found(
        self,
        rule: str,
        step: Step,
        outcome: Outcome,
        sentence: str,
        *,
        limit: Limit | str | None = None,
        **rest: Any,
    ) -> Finding:
        """A finding about this bag; `limit` is a row or its id."""
        key = limit.id if isinstance(limit, Limit) else limit
        return Finding(
            rule=rule, step=step, outcome=outcome, sentence=sentence, bag=self.bag.code, limit=key, **rest
        )


BagCheck = Callable[[Case], list[Finding]]
BatchCheck = Callable[[BatchRecord, Ruleset], list[Finding]]
