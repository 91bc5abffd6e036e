"""A critical limit as it is cited: what it says, whose it is, and how far its source was seen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haccp import explain
from haccp.errors import DataError
from haccp.limits import Limit, all_limits
from haccp.record import Assessment
from haccp.sources import source
from kitchen.batches.models import Batch

_OPERATORS = {">=": "at least ", "<=": "at most ", "within": "within ", "": ""}


@dataclass(frozen=True)
class Cited:
    """A limit in words, with its source."""

    row: Limit
    id: str
    whose: str
    condition: str
    figure: str
    title: str
    body: str
    section: str
    edition: str
    status: str
    provenance: str
    confidence: str
    not_covered: str
    last_confirmed: str
    explanation: str


def _row(limit: str, batch: Batch) -> Limit | None:
    """The row of the batch's own day; one that is in force on no such day was used by a check of its own."""
    try:
        return batch.rules.limit(limit)
    except DataError:
        return next((each for each in all_limits() if each.id == limit), None)


def cite(limit: str, batch: Batch) -> Cited | None:
    """A limit of the ruleset under which a batch was made."""
    row = _row(limit, batch)
    if row is None:
        return None
    origin = source(row.source)
    return Cited(
        row=row,
        id=row.id,
        whose=row.whose,
        condition=row.condition,
        figure=f"{_OPERATORS[row.operator]}{row.printed}",
        title=origin.title,
        body=origin.body,
        section=row.section,
        edition=row.edition or origin.year,
        status=row.status,
        provenance=row.provenance,
        confidence=row.confidence,
        not_covered=row.not_covered,
        last_confirmed=row.last_confirmed.isoformat(),
        explanation=explain(row, batch.method.attributes),
    )


def cite_all(limits: Iterable[str], batch: Batch) -> dict[str, Cited]:
    """Several limits by their ids, in the order in which they were first named."""
    found = ((each, cite(each, batch)) for each in dict.fromkeys(limits))
    return {limit: cited for limit, cited in found if cited}


def cited_in(assessment: Assessment, batch: Batch) -> dict[str, Cited]:
    """Every limit that an assessment used, in the order of its findings."""
    used = [each.limit for each in assessment.all_findings]
    used += [each.hold_limit for each in assessment.bags]
    return cite_all([each for each in used if each], batch)
