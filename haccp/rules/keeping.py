"""For how long the records of a batch are kept, against the longest time that a row asks."""

from __future__ import annotations

from fractions import Fraction

from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset, exact
from haccp.record import BatchRecord, Finding, Outcome, Step
from haccp.rules.assays import words_of_food
from haccp.rules.figures import of_batch
from haccp.wording import plural

RULE = "records.kept"
TOPICS = ("record_keeping", "traceability")
FRIDGE = "fridge"
# Days of a mean month of the Gregorian calendar, 146097/4800, and half a minute of slack for none.
_MONTH_DAYS = Fraction(146097, 4800)


def check_kept(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """The kitchen keeps its records at least as long as the strictest row asks.

    Rows that count from the end of a product's life get the method's days on top.
    """
    keeping = record.keeping
    rows = asked_of(record, ruleset)
    if keeping is None or not rows:
        return []
    row = max(rows, key=lambda each: _days(each, record))
    kept = exact(keeping.months)
    enough = _enough(kept, row, record)
    where = f" ({keeping.where})" if keeping.where else ""
    months = plural(int(kept), "month") if kept.denominator == 1 else f"{float(kept):g} months"
    extra = f" after the life of {plural(record.method.life_days, 'day')}" if _on_top(row) else ""
    asked = f"at least {row.amount}{extra} asked ({row.whose})"
    said = f"Records of this batch are kept for {months}{where}; {asked}"
    return [
        of_batch(
            RULE,
            Step.RECORDS,
            Outcome.MEETS if enough else Outcome.TO_REVIEW,
            f"{said}: {'met' if enough else 'too short'}.",
            limit=row.id,
            measured=months,
            required=f"at least {row.amount}{extra}",
            remedy=None if enough else "Keep the records longer, and write that into the plan.",
        )
    ]


def asked_of(record: BatchRecord, ruleset: Ruleset) -> list[Limit]:
    """The rows on retention that this batch's food triggers."""
    words = words_of_food(record)
    return [row for topic in TOPICS for row in ruleset.limits(topic, words, quantity="retention")]


def _on_top(row: Limit) -> bool:
    """Whether a row counts from the end of the product's life."""
    return row.clock == "sold out" or "shelf life plus" in row.condition


def _days(row: Limit, record: BatchRecord) -> Fraction:
    value = row.amount.value * (_MONTH_DAYS if row.unit == "month" else 1)
    return value + (record.method.life_days if _on_top(row) else 0)


def _enough(months: Fraction, row: Limit, record: BatchRecord) -> bool:
    """Months are held against months, and against days as mean months."""
    if row.unit == "month" and not _on_top(row):
        return months >= row.amount.value
    return months * _MONTH_DAYS >= _days(row, record)


BATCH_CHECKS: list[BatchCheck] = [check_kept]
