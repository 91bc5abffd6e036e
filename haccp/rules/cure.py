"""The cure: nitrite and nitrate that went in, on the basis on which each row is reckoned.

Only what the ruleset prints for this food is judged, and only where the weights were told. An
authority's permit for curing in a kitchen is a duty of its own (:mod:`haccp.rules.duties`).
"""

from __future__ import annotations

from fractions import Fraction

from haccp.case import BatchCheck, words_of
from haccp.errors import BasisError
from haccp.limits import Limit, Ruleset
from haccp.nitrite import CuringSalt, Expressed, Nitrite, Per, basis_of, ingoing, ingoing_pumped
from haccp.record import BatchRecord, Cure, Finding, Outcome, Step
from haccp.rules.figures import Beside, of_batch, strictest, verdict
from haccp.rules.receive import KINDS

CURED, DRY, PUMPED = "cured", "dry cured", "pumped"
RULE = "cure.ingoing"
_NITRITE = ("sodium_nitrite_ingoing", "nitrite_ion_ingoing")
_NITRATE = ("sodium_nitrate_ingoing",)


def words_of_cure(record: BatchRecord, cure: Cure) -> frozenset[str]:
    """The words by which the rows for a cure are chosen."""
    kind = KINDS.get(record.method.material)
    words = words_of(record.method) | {CURED, cure.way}
    return words | {kind} if kind else words


def check_ingoing(record: BatchRecord, ruleset: Ruleset) -> list[Finding]:
    """What each cure of this batch brought in, beside the strictest row at most and the row at least."""
    found = []
    for cure in record.cures:
        rows = ruleset.limits("cure", words_of_cure(record, cure))
        for quantities, percent in ((_NITRITE, cure.nitrite_percent), (_NITRATE, cure.nitrate_percent)):
            asked = [row for row in rows if row.quantity in quantities]
            for operator in ("<=", ">="):
                same = [row for row in asked if row.operator == operator]
                if same and percent:
                    found.append(_judged(cure, same, percent))
    return found


def _judged(cure: Cure, rows: list[Limit], percent: float) -> Finding:
    row = _strictest_of_all(rows)
    figure = reckoned(cure, row, percent)
    outcome, tail = verdict(figure, missed=Outcome.FAILS, doubtful=Outcome.UNPROVEN)
    if outcome is Outcome.UNPROVEN:
        most = f"{float(figure.value + figure.tolerance):.4g}"
        tail = f": met on meat and brine together, not proven on the meat alone (up to {most} mg/kg)."
    what = "nitrate, as sodium nitrate" if row.quantity in _NITRATE else _as(row)
    name = f"{cure.name[:1].upper()}{cure.name[1:]} ({cure.way})"
    said = f"{name} brought in {figure.measured} of {what}; {figure.required} ({row.whose}){tail}"
    remedy = None
    if outcome is Outcome.FAILS:
        remedy = (
            "A dose can't be taken back. Keep the food apart and weigh again; discard it if the weights hold."
        )
    elif outcome is Outcome.UNPROVEN:
        remedy = "Ask the authority on which mass its limit is reckoned, or use less curing salt."
    return of_batch(RULE, Step.BRINE, outcome, said, remedy=remedy, **figure.figures(cure.entry))


def _as(row: Limit) -> str:
    return (
        "nitrite, as the nitrite ion"
        if row.quantity.startswith("nitrite_ion")
        else "nitrite, as sodium nitrite"
    )


def _strictest_of_all(rows: list[Limit]) -> Limit:
    """The strictest of rows that may weigh nitrite as different things."""
    first = strictest([row for row in rows if row.quantity == rows[0].quantity])
    return first or rows[0]


def reckoned(cure: Cure, row: Limit, percent: float) -> Beside:
    """What a cure brought in [mg/kg], weighed as the row weighs it, beside the row.

    Where the row is reckoned on the meat alone and the cure lay in a brine, the figure is that on meat and
    brine, and its tolerance reaches up to all of the brine's nitrite in the meat: what meets the row
    there meets it on any mass. Errors: :class:`haccp.errors.RangeError` for weights that can't be.
    """
    salt = CuringSalt(percent, 0.0)
    if cure.way == PUMPED:
        amount = ingoing_pumped(salt, cure.cure_g, cure.brine_g, cure.pump_percent)
        return Beside(row, _weighed(amount, row))
    brine_g = 0.0 if cure.way == DRY else cure.brine_g
    amount = ingoing(salt, cure.cure_g, cure.meat_g, brine_g)
    value = _weighed(amount, row)
    if brine_g and _named_mass(row) is Per.MEAT:
        return Beside(row, value, _weighed(ingoing(salt, cure.cure_g, cure.meat_g), row) - value)
    return Beside(row, value)


def _weighed(amount: Nitrite, row: Limit) -> Fraction:
    """The figure as the row expresses it; the factor between the two is exact."""
    ion = row.quantity.startswith("nitrite_ion")
    return amount.expressed_as(Expressed.ION).amount if ion else amount.amount


def _named_mass(row: Limit) -> Per | None:
    """The mass that a row is known to be reckoned on; None where nothing says it."""
    try:
        return basis_of(row).per
    except BasisError:
        return None


BATCH_CHECKS: list[BatchCheck] = [check_ingoing]
