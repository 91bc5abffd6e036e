"""Deliveries: how warm a lot came in, against every row that its words trigger, and its own use-by."""

from __future__ import annotations

from typing import Any

from haccp.case import BatchCheck
from haccp.limits import Limit, Ruleset, exact
from haccp.record import BatchRecord, Delivery, Finding, Outcome, Reading, Step
from haccp.wording import Clock, difference, temperature

# What a food (a key of ``data/materials.toml``) is made of, in the words that trigger limits.
KINDS = {
    "beef": "red meat",
    "lamb": "red meat",
    "pork": "red meat",
    "fatty_meat": "red meat",
    "poultry": "poultry",
    "lean_fish": "fish",
    "fatty_fish": "fish",
    "egg": "shell egg",
    "vegetable": "vegetable",
    "potato": "vegetable",
}
_FLESH = frozenset({"red meat", "poultry", "fish"})


def words_of_delivery(material: str, attributes: frozenset[str] = frozenset()) -> frozenset[str]:
    """The words of a chilled lot of a food with its attributes; meat, poultry and fish come raw."""
    kind = KINDS.get(material)
    words = attributes | ({kind} if kind else set()) | ({"raw"} if kind in _FLESH else set())
    return words if "frozen" in words else words | {"chilled"}


def check_deliveries(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """Every lot that went into the batch was cold enough when it came, as far as it was read.

    A warm delivery is a prerequisite that was not kept: it is reviewed, and the cook that
    comes after is judged by itself.
    """
    clock, found = Clock.at(record.timezone, record.day), list[Finding]()
    for each in record.deliveries:
        rows = [
            row
            for row in ruleset.limits("receive", each.words, quantity="food_temperature")
            if row.operator in ("<=", "within")
        ]
        if not rows:
            continue
        row = min(rows, key=_upper)
        if each.reading is None:
            said = f"Nobody read how warm lot {each.lot} ({each.product}) was; {_asked(row)}."
            found.append(
                _finding(row, Outcome.TO_REVIEW, said, remedy="Read every delivery, between two packs.")
            )
        else:
            found.append(_warmth(each, each.reading, row, clock))
    return found


def _upper(row: Limit) -> float:
    return (row.upper or row.amount).celsius


def _asked(row: Limit) -> str:
    return f"{row.upper or row.amount} at most ({row.whose})"


def _finding(row: Limit, outcome: Outcome, said: str, **rest: Any) -> Finding:
    return Finding(
        rule="receive.temperature", step=Step.RECEIVE, outcome=outcome, sentence=said, limit=row.id, **rest
    )


def _warmth(delivery: Delivery, reading: Reading, row: Limit, clock: Clock) -> Finding:
    upper = row.upper or row.amount
    read = temperature(reading.celsius, upper.unit, "up")
    when = clock.time(delivery.at)
    start = f"Lot {delivery.lot} ({delivery.product}) came in at {read} at {when}; {_asked(row)}"
    figures: dict[str, Any] = {
        "measured": read,
        "required": f"at most {upper}",
        "entries": (reading.entry,) if reading.entry else (),
    }
    over = difference(reading.celsius - upper.celsius, upper.unit)
    if not reading.trusted:
        return _finding(
            row, Outcome.TO_REVIEW, f"{start}: read with a probe that failed its check.", **figures
        )
    if exact(reading.celsius) > upper.exact_celsius:
        rest = "it was rejected" if not delivery.accepted else "it was accepted all the same"
        return _finding(row, Outcome.TO_REVIEW, f"{start}: {over} too warm, and {rest}.", **figures)
    if exact(reading.celsius) + exact(reading.tolerance_k) > upper.exact_celsius:
        return _finding(
            row, Outcome.MEETS, f"{start}: met as read, not with the probe's tolerance.", **figures
        )
    return _finding(row, Outcome.MEETS, f"{start}: met, proven.", **figures)


def check_lot_in_date(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """No lot was past its own use-by when the batch was made."""
    return [
        Finding(
            rule="receive.use_by",
            step=Step.RECEIVE,
            outcome=Outcome.TO_REVIEW,
            sentence=(
                f"Lot {each.lot} ({each.product}) had its use-by on {Clock.date(each.use_by)}, before the "
                "batch was "
                f"made on {Clock.date(record.day)}."
            ),
            required=f"by {Clock.date(each.use_by)}",
        )
        for each in record.deliveries
        if each.use_by is not None and each.use_by < record.day
    ]


BATCH_CHECKS: list[BatchCheck] = [check_deliveries, check_lot_in_date]
