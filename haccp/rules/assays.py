"""What a meter or a laboratory gave, beside every row that prints the same thing for this food.

Residual nitrite, histamine, what a bag gives off, counts. Acid, water activity and salt are told apart
(:mod:`haccp.rules.acidity`): there one of several rows is enough.
"""

from __future__ import annotations

from haccp.case import BatchCheck, words_of
from haccp.limits import Limit, Ruleset, exact
from haccp.record import Assay, BatchRecord, Finding, Outcome, Step
from haccp.rules.figures import Beside, of_batch, verdict
from haccp.rules.receive import KINDS

RULE = "assay.figure"
_PLAN = "none over"
_ANIMAL = frozenset({"red meat", "poultry", "fish", "shellfish", "shell egg", "egg", "pork", "offal"})
STEPS = {"receive": Step.RECEIVE, "cure": Step.BRINE, "record_keeping": Step.BAG, "shelf_life": Step.STORE}
_NAMES = {
    "sodium_nitrite_residual": "nitrite left, as sodium nitrite",
    "sodium_nitrite_total": "nitrite in all, as sodium nitrite",
    "sodium_nitrate_residual": "nitrate left, as sodium nitrate",
    "nitrite_ion_residual": "nitrite left, as the nitrite ion",
    "histamine": "histamine",
    "overall_migration": "what the bag gives off",
    "dose": "binder",
    "count": "Listeria monocytogenes",
}


def words_of_food(record: BatchRecord) -> frozenset[str]:
    """All words that are true of a batch's food: its method's, its kind, those of its lots, its cure."""
    words = words_of(record.method)
    kind = KINDS.get(record.method.material)
    words |= {kind} if kind else set()
    for each in record.deliveries:
        words |= each.words
    if words & _ANIMAL:
        words |= {"animal origin"}
    for cure in record.cures:
        words |= {"cured", cure.way}
    return words


def check_assays(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Every figure that was measured, beside the rows of its quantity."""
    words, found = words_of_food(record), list[Finding]()
    for assay in record.assays:
        for topic, step in STEPS.items():
            for row in ruleset.limits(topic, words, quantity=assay.quantity):
                if row.value is not None and not row.trigger:
                    found.append(_judged(assay, row, step))
    return found


def _judged(assay: Assay, row: Limit, step: Step) -> Finding:
    figure = Beside(row, exact(assay.value), exact(assay.tolerance))
    outcome, tail = verdict(figure, missed=Outcome.FAILS, doubtful=Outcome.UNPROVEN)
    if outcome is Outcome.MEETS and not assay.checked:
        outcome, tail = Outcome.UNPROVEN, ": its meter was not checked that day, so not proven."
    planned = row.second is not None and row.second_is == _PLAN
    if planned and outcome is Outcome.FAILS and row.second and exact(assay.value) <= row.second.value:
        # A sampling plan: between its two figures some samples may lie, over the higher one none.
        outcome = Outcome.TO_REVIEW
        tail = f"{tail[:-1]}, not over {row.second}: judged on all samples of the plan together."
    name = _NAMES.get(assay.quantity, assay.quantity)
    of = assay.of or (f"bag {assay.bag}" if assay.bag else "")
    found = f"{name[:1].upper()}{name[1:]} was found at {figure.measured}{f' ({of})' if of else ''}"
    said = f"{found}; {figure.required} ({row.whose}){tail}"
    return of_batch(RULE, step, outcome, said, bag=assay.bag, **figure.figures(assay.entry))


BATCH_CHECKS: list[BatchCheck] = [check_assays]
