"""One step back: of every lot in the batch it is known what it is, how much, from whom and since when."""

from __future__ import annotations

from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset
from haccp.record import BatchRecord, Delivery, Finding, Outcome, Step
from haccp.rules.assays import words_of_food
from haccp.rules.figures import of_batch
from haccp.wording import listed, plural

RULE = "trace.back"
TOPIC = "traceability"


def check_back(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """The supplier of every lot, and what its papers say where they were gone through."""
    known = [each for each in record.deliveries if each.supplier is not None]
    if not known:
        return []
    rows = ruleset.limits(TOPIC, words_of_food(record))
    row = next((each for each in rows if each.quantity in ("steps", "condition")), None)
    nameless = [each for each in known if not (each.supplier or "").strip() or not each.product.strip()]
    found = []
    if nameless:
        lots = listed([f"lot {each.lot}" for each in nameless])
        said = f"Of {lots} it is not written down from whom it came, or what it is{_whose(row)}."
        found.append(
            _finding(
                row, Outcome.TO_REVIEW, said, nameless, remedy="Correct the delivery: name its supplier."
            )
        )
    else:
        count = plural(len(known), "lot")
        said = f"Of {count} in this batch the supplier is known{_whose(row)}: met."
        found.append(_finding(row, Outcome.MEETS, said, known))
    return found + _papers(known, rows)


def _whose(row: Limit | None) -> str:
    return f" ({row.whose})" if row is not None else ""


def _papers(known: list[Delivery], rows: tuple[Limit, ...]) -> list[Finding]:
    """Lots whose papers were gone through, item by item, against the number that a row asks."""
    row = max(
        (each for each in rows if each.quantity == "fields"), key=lambda each: each.amount.value, default=None
    )
    looked_at = [each for each in known if each.papers is not None]
    if row is None or not looked_at:
        return []
    need = row.amount.value
    short = [each for each in looked_at if len(each.papers or ()) < need]
    if not short:
        lots = plural(len(looked_at), "lot")
        said = f"The papers of {lots} say all {row.amount} that are asked ({row.whose}): met."
        return [_finding(row, Outcome.MEETS, said, looked_at, rule="trace.papers")]
    fewest = min(short, key=lambda each: len(each.papers or ()))
    said = (
        f"The papers of lot {fewest.lot} ({fewest.product}) say {len(fewest.papers or ())} of the "
        f"{row.amount} that are asked ({row.whose})."
    )
    return [
        _finding(
            row,
            Outcome.TO_REVIEW,
            said,
            short,
            rule="trace.papers",
            remedy="Ask the supplier for the rest, and keep it with the delivery.",
        )
    ]


def _finding(
    row: Limit | None,
    outcome: Outcome,
    said: str,
    lots: list[Delivery],
    *,
    rule: str = RULE,
    remedy: str | None = None,
) -> Finding:
    return of_batch(
        rule,
        Step.RECORDS,
        outcome,
        said,
        limit=None if row is None else row.id,
        remedy=remedy,
        entries=tuple(each.entry for each in lots if each.entry),
    )


BATCH_CHECKS: list[BatchCheck] = [check_back]
