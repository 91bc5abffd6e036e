"""The steps of the work in their order, each with its form and the bags that it fits."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from kitchen.batches.forms import Pick, SealForm, StepForm
from kitchen.batches.models import Bag, Batch
from kitchen.bench.queries import InHand
from kitchen.bench.whereabouts import Where, whereabouts
from kitchen.brining.forms import IntoBrineForm, OutOfBrineForm
from kitchen.chilling.actions import current_chiller, out_of_chiller
from kitchen.chilling.forms import IntoChillerForm, OutOfChillerForm
from kitchen.cooking.forms import CoreForm, IntoBathForm, OutOfBathForm
from kitchen.cooking.models import CoreCheck
from kitchen.finishing.forms import DiscardForm, SecondCookForm, ServeForm, ServiceForm
from kitchen.ledger.chain import Hand, taken_before
from kitchen.storing.forms import IntoFridgeForm


class StraightIntoFridgeForm(IntoFridgeForm):
    """From the chill into the fridge in one go: the bags come out of the chill first."""

    def keep(self, hand: Hand) -> str:
        """Two entries, both or neither."""
        with transaction.atomic():
            if not taken_before(hand):
                inside: dict[Any, list[Bag]] = defaultdict(list)
                for bag in self.cleaned_data["bags"]:
                    inside[current_chiller(bag)].append(bag)
                for chiller, bags in inside.items():
                    if chiller:
                        out_of_chiller(bags=bags, hand=hand.another(), at=self.cleaned_data["at"])
            return super().keep(hand)


@dataclass(frozen=True)
class Work:
    """One step: its name in addresses, its form, and where a bag must be for it."""

    slug: str
    form: type[StepForm]
    fits: frozenset[Where] = field(default_factory=frozenset)

    @property
    def verb(self) -> str:
        """What its button says."""
        return self.form.verb


W = Where
ORDER = (
    Work("brine-in", IntoBrineForm),
    Work("brine-out", OutOfBrineForm),
    Work("seal", SealForm),
    Work("in", IntoBathForm, frozenset({W.SEALED})),
    Work("out", OutOfBathForm, frozenset({W.BATH})),
    Work("chill", IntoChillerForm, frozenset({W.OUT})),
    Work("core", CoreForm, frozenset({W.BATH, W.OUT, W.CHILL, W.FRIDGE})),
    Work("chill-out", OutOfChillerForm, frozenset({W.CHILL})),
    Work("fridge", StraightIntoFridgeForm, frozenset({W.CHILL, W.CHILLED})),
    Work("second-cook", SecondCookForm, frozenset({W.OUT, W.CHILLED, W.FRIDGE})),
    Work("hot-hold", ServiceForm, frozenset({W.OUT, W.FRIDGE})),
    Work("serve", ServeForm, frozenset({W.OUT, W.CHILLED, W.FRIDGE})),
    Work("discard", DiscardForm, frozenset({W.SEALED, W.OUT, W.CHILL, W.CHILLED, W.FRIDGE})),
)
BY_SLUG = {work.slug: work for work in ORDER}
# The one step that comes next for a bag that is there.
NEXT = {
    W.SEALED: "in",
    W.BATH: "out",
    W.OUT: "chill",
    W.CHILL: "core",
    W.CHILLED: "fridge",
    W.FRIDGE: "serve",
}


def in_hand(batch: Batch, at: Any) -> InHand:
    """One batch with its bags and its assessment, whether or not something of it is still here."""
    from kitchen.review import assessing

    now = whereabouts([batch])[batch.pk]
    return InHand(batch, now, assessing.current(batch, at) if now.bags else None, at)


def picks(each: InHand, work: Work, wanted: set[int]) -> list[Pick]:
    """The bags that a step may take: those that were asked for, or else those that it fits, are ticked."""
    found = []
    for bag in each.batch.bags.all():
        now = each.now.bags.get(bag.number)
        if now is None:
            continue
        ticked = bag.number in wanted if wanted else now.where in work.fits and work.slug != "discard"
        item = each.found(now)
        found.append(
            Pick(
                bag,
                now.words,
                ticked,
                hold_until=item.hold_until if item else None,
                outcome=str(item.outcome) if item else "",
                use_by=item.use_by if item else None,
            )
        )
    return found


def core_step(each: InHand, wanted: set[int]) -> str:
    """During what a core is probed: where the bags are says it."""
    where = {bag.where for bag in each.now.here if not wanted or bag.number in wanted}
    if where & {W.OUT, W.CHILL, W.CHILLED}:
        return str(CoreCheck.Step.CHILL)
    return str(CoreCheck.Step.COOK if W.BATH in where else CoreCheck.Step.FINISH)


def buttons(each: InHand, number: int | None = None) -> list[tuple[Work, bool]]:
    """The steps that fit a batch or one bag, in the order of the work; True for the next one."""
    here = [bag for bag in each.now.here if number in (None, bag.number)]
    where = {bag.where for bag in here}
    sealed_only = not where or where == {W.SEALED}
    shown = [
        work
        for work in ORDER
        if work.fits & where
        or (number is None and work.slug == "seal" and (not each.now.bags or W.SEALED in where))
        or (number is None and work.slug == "brine-out" and each.now.brine_since)
        or (number is None and work.slug == "brine-in" and not each.now.brine_since and sealed_only)
    ]
    first = _next_of(each, sorted(where, key=list(Where).index))
    return [(work, work.slug == first) for work in shown]


def _next_of(each: InHand, where: list[Where]) -> str:
    if each.now.brine_since:
        return "brine-out"
    if not where:
        return "brine-in" if each.to_brine else "seal" if not each.now.bags else ""
    if where[0] == W.OUT and not each.batch.method.chill_medium:
        return "serve"
    if where[0] == W.CHILL:
        probed = all(bag.core for bag in each.now.here if bag.where == W.CHILL)
        return "fridge" if probed else "core"
    return NEXT.get(where[0], "")
