"""Allergens: what the lots bring into the bag is declared for the dish, and on its label where it has one."""

from __future__ import annotations

from haccp.allergens import is_known, list_of, named, of_material
from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset, exact
from haccp.record import Assay, BatchRecord, Finding, Outcome, Step
from haccp.rules.assays import words_of_food
from haccp.rules.figures import Beside, of_batch
from haccp.wording import listed, plural

RULE, TOPIC = "allergen.declared", "allergen"
_SULPHITES = ("sulphur_dioxide", "sulphite")
_WATER = "added_water"


def brought_in(record: BatchRecord) -> dict[str, list[str]]:
    """Every allergen of the batch's food, with where it comes from in words."""
    found: dict[str, list[str]] = {}
    itself = of_material(record.method.material)
    if itself is not None:
        found[itself] = ["the food itself"]
    for each in record.deliveries:
        for name in sorted(named(each.allergens or ())):
            found.setdefault(name, []).append(f"lot {each.lot}")
    return found


def check_declared(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Nothing is in the bag that the dish does not declare. Judged where the dish's list was told.

    A word that is on no list is reviewed, not failed: it may be another name of one that is declared.
    """
    sheet = record.allergens
    row = next((each for each in ruleset.limits(TOPIC, words_of_food(record), quantity="count")), None)
    if sheet is None or row is None:
        row = row or _duty(ruleset, record)
        if sheet is None or row is None:
            return []
    brought, asked = brought_in(record), list_of(row.id)
    declared = named(sheet.declared)
    missing = {name: where for name, where in brought.items() if name not in declared}
    unlabelled = set(brought) - named(sheet.label) - missing.keys() if sheet.label is not None else set[str]()
    if asked is not None:
        missing = {
            name: where for name, where in missing.items() if name in asked.allergens or not is_known(name)
        }
        unlabelled = {name for name in unlabelled if name in asked.allergens or not is_known(name)}
    if not missing and not unlabelled:
        count = plural(len(brought), "allergen")
        said = (
            f"The dish declares every allergen of its lots ({row.whose}): met."
            if brought
            else (f"No lot of this batch declares an allergen, nor is the food one ({row.whose}).")
        )
        return [_finding(row, Outcome.MEETS, said, record, measured=count)]
    certain = [name for name in (*missing, *unlabelled) if is_known(name)]
    parts = [f"{name} (from {listed(where)})" for name, where in missing.items()]
    said = ""
    if parts:
        said = f"The dish does not declare {listed(parts)}; every allergen on the list must be ({row.whose})."
    if unlabelled:
        labels = f"The label does not declare {listed(sorted(unlabelled))} ({row.whose})."
        said = f"{said} {labels}".strip()
    return [
        _finding(
            row,
            Outcome.FAILS if certain else Outcome.TO_REVIEW,
            said,
            record,
            remedy="Declare it for the dish and on the label, and tell the guests who were served.",
        )
    ]


def _duty(ruleset: Ruleset, record: BatchRecord) -> Limit | None:
    """A row that asks for the declaration by its sulphites where the regime counts no list."""
    rows = ruleset.limits(TOPIC, words_of_food(record))
    return next((each for each in rows if list_of(each.id) is not None), None)


def _finding(
    row: Limit,
    outcome: Outcome,
    said: str,
    record: BatchRecord,
    *,
    measured: str | None = None,
    remedy: str | None = None,
) -> Finding:
    entries = tuple(each.entry for each in record.deliveries if each.entry and each.allergens)
    return of_batch(
        RULE, Step.RECORDS, outcome, said, limit=row.id, measured=measured, remedy=remedy, entries=entries
    )


def check_triggers(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """A duty that begins at a figure: sulphites are declared, added water is named."""
    rows = [
        row for row in ruleset.limits(TOPIC, words_of_food(record)) if row.trigger and row.value is not None
    ]
    found = []
    for assay in record.assays:
        for row in rows:
            if row.quantity == assay.quantity and assay.quantity in (*_SULPHITES, _WATER):
                found += _begun(assay, row, record)
    return found


def _begun(assay: Assay, row: Limit, record: BatchRecord) -> list[Finding]:
    figure = Beside(row, exact(assay.value))
    if not figure.met:
        return []
    sheet = record.allergens
    told = any(each.limit == row.id and each.kept for each in record.duties)
    declared = sheet is not None and "sulphites" in named(sheet.declared)
    done = told or (assay.quantity in _SULPHITES and declared)
    what = "sulphites are declared" if assay.quantity in _SULPHITES else "the name says that water was added"
    tail = "and that is done." if done else "and nothing shows that it is done."
    said = f"At {figure.measured} {what} ({row.whose}: {figure.required}), {tail}"
    outcome = Outcome.MEETS if done else Outcome.FAILS
    remedy = None if done else "Put it on the label and on the menu."
    return [
        of_batch(
            "allergen.trigger", Step.RECORDS, outcome, said, remedy=remedy, **figure.figures(assay.entry)
        )
    ]


BATCH_CHECKS: list[BatchCheck] = [check_declared, check_triggers]
