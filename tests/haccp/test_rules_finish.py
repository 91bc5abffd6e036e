"""The second cook against the reheating rows, and what a use-by rests on.

Sources: Department of Health cook-chill guidelines, 1989 (70 °C for 2 min: from memory); FDA Food Code
3-403.11 (165 °F for 15 s where food is reheated for hot holding).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from haccp.case import Case
from haccp.days import first_days, last_day, life_of
from haccp.heat import BagHeat
from haccp.record import Finish, Outcome, Step
from haccp.rules.finish import check_reheat
from tests.haccp.kitchen_log import DAY, at, bag, batch, core, rules


def case(regime: str = "UK", **changes: object) -> Case:
    """A case without heat: these rules look at the record alone."""
    record = batch(bag(**changes), regime=regime, seen=5000)
    return Case(
        record=record, ruleset=rules(regime), bag=record.bags[0], heat=BagHeat(None, None, None, None, ())
    )


SECOND = (Finish("second cook", at(1500)),)


@pytest.mark.parametrize(
    ("celsius", "outcome"),
    [
        (70.2, Outcome.MEETS),  # less the probe's 0.2 it is 70.0
        (70.1, Outcome.UNPROVEN),
        (70.0, Outcome.UNPROVEN),
        (69.9, Outcome.TO_REVIEW),
    ],
)
def test_a_core_measured_in_the_second_cook(celsius, outcome):
    [found] = check_reheat(case(finishes=SECOND, core_checks=(core(1490, celsius, Step.FINISH),)))
    assert (found.outcome, found.limit) == (outcome, "UK-CCH-REHEAT")


def test_of_several_readings_in_the_second_cook_the_lowest_counts():
    readings = (core(1480, 66.0, Step.FINISH), core(1490, 80.0, Step.FINISH))
    [found] = check_reheat(case(finishes=SECOND, core_checks=readings))
    assert found.outcome == Outcome.TO_REVIEW


def test_a_bag_served_cold_or_not_measured_has_no_finding_on_reheating():
    assert check_reheat(case(finishes=(Finish("served", at(1500)),))) == []
    assert check_reheat(case(finishes=SECOND, core_checks=())) == []


def test_the_food_code_asks_for_reheating_only_where_food_is_held_hot():
    """3-403.10: food that was cooked and chilled may be served at any temperature at once."""
    assert check_reheat(case("US-FDA", finishes=SECOND, core_checks=(core(1490, 50.0, Step.FINISH),))) == []


def test_days_count_with_or_without_the_first():
    assert last_day(date(2026, 3, 3), 5, 1) == date(2026, 3, 7)
    assert last_day(date(2026, 3, 3), 3, 0) == date(2026, 3, 6)  # France: day of making + 3
    assert last_day(date(2028, 2, 27), 5, 1) == date(2028, 3, 2)


def test_without_a_logged_sealing_the_earliest_day_known_counts():
    unsealed = case(sealed_at=None)
    assert set(first_days(unsealed)) == {"cooking"}
    facts = replace(unsealed.record.method, attributes=frozenset({"whole muscle"}), life_days=30)
    plain = replace(unsealed, record=replace(unsealed.record, method=facts))
    life = life_of(plain)
    assert life is not None
    assert life.use_by == last_day(DAY, 10, 1)
    assert life_of(case(sealed_at=None, cook=())) is None
