"""Dish families: methods that trigger the same limits go the same way through the kitchen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from haccp.case import words_of
from haccp.hazards import Analysed, FlowStep, Verdict, analyse, flow, steps
from haccp.rules.receive import words_of_delivery
from kitchen.batches.models import BatchLot
from kitchen.ledger.models import standing
from kitchen.methods.models import Method
from kitchen.people.models import Site

# What a family is called, by the first of these words that it has; then how it was cut, then how it is kept.
_KINDS = {
    "poultry": "Poultry",
    "fish": "Fish",
    "vegetable": "Vegetables",
    "egg": "Eggs",
    "wild game": "Wild game",
    "whole muscle": "Meat, whole muscle",
}
_CUTS = ("minced", "tenderised", "injected", "bound", "stuffed", "rolled", "cured")


@dataclass(frozen=True)
class Family:
    """Methods alike in all that decides about hazards and limits; `brined` names the dishes with a brine."""

    words: frozenset[str]
    methods: tuple[Method, ...]

    @cached_property
    def brined(self) -> tuple[str, ...]:
        """The dishes of the family that lie in a brine."""
        return tuple(each.dish.name for each in self.methods if each.brine_percent)

    @cached_property
    def thawed(self) -> tuple[str, ...]:
        """The dishes of the family that were made of a lot that came frozen."""
        return tuple(each.dish.name for each in self.methods if _from_frozen(each))

    @cached_property
    def taken(self) -> frozenset[str]:
        """The words by which the steps are taken: a thaw is one, and brings no limit of another step."""
        return self.all_words | {"frozen"} if self.thawed else self.all_words

    @cached_property
    def all_words(self) -> frozenset[str]:
        """The words of the family with those that only some of its dishes have."""
        return self.words | {"brined"} if self.brined else self.words

    @cached_property
    def way(self) -> tuple[FlowStep, ...]:
        """The steps in order."""
        return flow(self.taken)

    @cached_property
    def analysed(self) -> tuple[Analysed, ...]:
        """The hazards, decided."""
        return analyse(self.taken)

    @cached_property
    def critical(self) -> frozenset[str]:
        """The steps that are critical control points."""
        return frozenset(each.hazard.step for each in self.analysed if each.verdict == Verdict.CCP)

    @cached_property
    def materials(self) -> tuple[str, ...]:
        """The foods of its methods."""
        return tuple(dict.fromkeys(each.material for each in self.methods))

    def words_at(self, step: FlowStep) -> frozenset[str]:
        """What triggers limits at one step: a lot comes in as what it is, not as what it becomes."""
        if step.key in ("deliver", "freeze_fish"):
            lots = (words_of_delivery(each) for each in self.materials)
            return frozenset[str]().union(*lots) | step.adds | (self.taken & {"scombroid", "frozen"})
        return self.all_words | step.adds

    @cached_property
    def name(self) -> str:
        """What it is called."""
        kind = next((name for word, name in _KINDS.items() if word in self.words), "Meat")
        cuts = [each for each in _CUTS if each in self.words]
        if "long life" in self.words:
            kept = "kept chilled more than ten days"
        else:
            kept = "chilled and kept" if "chilled" in self.words else "served at once"
        guests = ["for vulnerable diners"] if "vulnerable diners" in self.words else []
        return ", ".join([kind, *cuts, kept, *guests])

    @cached_property
    def key(self) -> str:
        """The same for the same words."""
        return ", ".join(sorted(self.words - {"sealed"}))


def _from_frozen(method: Method) -> bool:
    """Whether a lot of one of a method's batches came frozen, or was thawed here."""
    lots = standing(BatchLot.objects.filter(batch__method=method)).select_related("lot")
    return any("frozen" in each.lot.attributes or standing(each.lot.thaws.all()).exists() for each in lots)


def in_force(site: Site) -> list[Method]:
    """The newest signed version of each dish, in the order in which the dishes were first written."""
    found: dict[int, Method] = {}
    signed = Method.objects.filter(dish__site=site, signed__isnull=False).select_related(
        "dish__site", "entry", "signed__person"
    )
    for each in signed.order_by("dish_id", "version"):
        # One site for all: its regime and choices are read once.
        each.dish.site = site
        found[each.dish_id] = each
    return list(found.values())


def families(methods: Iterable[Method]) -> list[Family]:
    """The families of some methods, in the order in which their first dish comes."""
    alike: dict[frozenset[str], list[Method]] = {}
    for each in methods:
        alike.setdefault(words_of(each.facts), []).append(each)
    return [Family(words, tuple(members)) for words, members in alike.items()]


def numbered(found: Iterable[Family]) -> dict[str, str]:
    """The critical control points of a plan by step: *CCP 1*, *CCP 2*, in the order of the work."""
    critical = frozenset[str]().union(*(each.critical for each in found))
    ordered = [key for key in steps() if key in critical]
    return {key: f"CCP {number}" for number, key in enumerate(ordered, start=1)}
