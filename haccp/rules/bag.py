"""The bag against its method: no thicker and no warmer than the method was proven for."""

from __future__ import annotations

from haccp.case import BagCheck, Case
from haccp.record import Finding, Outcome, Step
from haccp.wording import difference, temperature


def check_method_kept(case: Case) -> list[Finding]:
    """A bag outside its method: thicker or warmer than the method was proven for."""
    method, bag, found = case.record.method, case.bag, []
    if bag.thickness_mm is not None and bag.thickness_mm > method.thickness_max_mm:
        over = bag.thickness_mm - method.thickness_max_mm
        found.append(
            case.found(
                "cook.thickness",
                Step.BAG,
                Outcome.TO_REVIEW,
                f"Bag {bag.code} is {bag.thickness_mm:g} mm thick; the method is for "
                f"{method.thickness_max_mm:g} mm at "
                f"most: {over:g} mm too thick. It is judged by its own thickness.",
                measured=f"{bag.thickness_mm:g} mm",
                required=f"at most {method.thickness_max_mm:g} mm",
                margin=f"{over:g} mm over",
                measured_value=bag.thickness_mm,
                required_value=method.thickness_max_mm,
                unit="mm",
            )
        )
    if bag.start_c is not None and bag.start_c > method.start_max_c:
        over = bag.start_c - method.start_max_c
        found.append(
            case.found(
                "cook.start",
                Step.BAG,
                Outcome.TO_REVIEW,
                f"Bag {bag.code} went in at {temperature(bag.start_c)}; the method is for "
                f"{temperature(method.start_max_c)} "
                f"at most: {difference(over)} too warm.",
                measured=temperature(bag.start_c),
                required=f"at most {temperature(method.start_max_c)}",
                margin=f"{difference(over)} over",
            )
        )
    return found


CHECKS: list[BagCheck] = [check_method_kept]
