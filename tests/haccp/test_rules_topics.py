"""Every row of the law that a rule judges: at its figure, just on the right side, just on the wrong one.

The rows are the shipped ones; their sources stand beside them in haccp/data. Whether a figure at the limit
meets it is the row's own word (`strict`). What a record looks like is our own (rows_of_topics.py).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from haccp.limits import Limit, all_limits
from haccp.record import Outcome
from haccp.rules.figures import base
from haccp.words import TOPICS
from tests.haccp.rows_of_topics import BUILDERS, _frozen, _heated, kept_days

# Judged by rules with tests of their own: cook, come-up, chill, store and days kept.
ELSEWHERE = {"cook", "cool", "chill_store", "shelf_life"}
# Numbers that no batch can show: they are of the plan, of an instrument when it is bought, of a person.
OF_THE_PLAN = {
    ("allergen", "count"): "how many allergens the list has: the list itself is compared (test_allergens)",
    ("traceability", "steps"): "how far the chain is to be known: the supplier (test_rules_papers)",
    ("record_keeping", "checks_per_day"): "how often a fridge is read (test_rules_store)",
    ("record_keeping", "count"): "what the kitchen's plan is to hold",
    ("record_keeping", "age"): "how old a supervisor's certificate is",
    ("record_keeping", "elements"): "what the kitchen's plan is to hold",
    ("record_keeping", "principles"): "what the kitchen's plan is to rest on",
    ("probe_check", "interval"): "how often a probe is checked (test_rules_probe)",
    ("probe_check", "resolution"): "what a probe shows when it is bought",
    ("reheat", "core_hold"): "how hot the second cook is (test_rules_finish)",
    ("reheat", "core_temperature"): "how hot the second cook is (test_rules_finish)",
}
# Judged by other rows of the same law.
BY_OTHERS = {
    "AU-2H4H-2": "the rows before and after it judge the same time",
    "USFDA-PROBE-AMBIENT": "every probe is held to the row for food, which is the stricter",
}
ROWS = [
    row
    for row in all_limits()
    if row.topic not in ELSEWHERE and row.value is not None and not row.trigger and not row.advice
]
JUDGED = [row for row in ROWS if (row.topic, row.quantity) in BUILDERS and row.id not in BY_OTHERS]
# A hundredth of a degree, a second, a day, a month, one thing: the next figure that a kitchen can log.
STEP = {"degC": Fraction(1, 100), "degF": Fraction(1, 100), "day": Fraction(86400), "field": Fraction(1)}
TIMES = ("s", "min", "h")


def step(row: Limit) -> Fraction:
    """The smallest difference that is looked at."""
    if row.unit in TIMES:
        return Fraction(1)
    return STEP.get(row.unit, Fraction(1, 1000))


def on_the_float(row: Limit, value: Fraction) -> Fraction:
    """The nearest float on the right side: 135 °F has no float in °C."""
    if Fraction(repr(float(value))) == value:
        return value
    sign = 1 if row.operator == ">=" else -1
    return value + sign * Fraction(1, 10**9)


def edges(row: Limit) -> list[tuple[Fraction, int]]:
    """The figures of a row with the direction in which it is missed."""
    low = base(row)
    if row.operator == "<=":
        return [(low, 1)]
    if row.operator == ">=":
        return [(low, -1)]
    high = base(row, upper=True)
    return [(low, -1), (high, 1)] if high != low else [(low, -1)]


def meets(row: Limit, value: Fraction) -> bool:
    """Whether the finding on this row, and there must be one, says that it is met."""
    build = BUILDERS[row.topic, row.quantity]
    if row.unit == "day" and row.quantity == "retention":
        build = kept_days
    found = [each for each in build(row, value) if each.limit == row.id]
    # A second cook that is served in time, or food that goes back into the cold in time, is not spoken of.
    silent = row.event == "served" or row.tier == "chill again"
    assert found or silent, "no finding"
    outcomes = {each.outcome for each in found} - ({Outcome.TO_REVIEW} if _tolerance(row) else set())
    return outcomes <= {Outcome.MEETS}


def _tolerance(row: Limit) -> bool:
    """A row that lets food be below its temperature for a time: within it the bag is still reviewed."""
    return row.topic == "hot_hold" and row.quantity == "elapsed_time" and not row.event


# A band at delivery or in the raw store is judged at its warm end only.
WARM_END_ONLY = {"UK-RAW-FISH-ICE", "UK-VP-BULK", "IE-RAW-5"}


@pytest.mark.parametrize("row", JUDGED, ids=lambda row: row.id)
def test_a_row_is_met_at_its_figure_and_just_inside_and_missed_just_outside(row):
    for edge, outward in edges(row):
        if outward < 0 and row.id in WARM_END_ONLY:
            assert meets(row, edge - step(row))
            continue
        small = step(row)
        at = on_the_float(row, edge) if outward * (1 if row.operator == "<=" else -1) else edge
        assert meets(row, edge - outward * small), f"just inside {row.printed}"
        assert meets(row, at) != row.strict, f"at {row.printed}"
        if not (row.quantity == "fields" and outward > 0):
            assert not meets(row, edge + outward * small), f"just outside {row.printed}"


@pytest.mark.parametrize(
    "row", [each for each in JUDGED if each.topic == "parasite" and each.hold], ids=lambda row: row.id
)
def test_a_hold_against_parasites_is_as_long_as_it_says(row):
    hours = Fraction(row.hold.seconds) / 3600
    for short, outcome in ((0, True), (1, False)):
        if row.quantity == "freeze_hold":
            found = _frozen(row, base(row), hours - Fraction(short, 100))
        elif row.hold.value:
            found = _heated(row, row.amount.celsius + 0.01, row.hold.seconds / 60.0 - short / 60.0)
        else:
            continue
        assert ([each.outcome for each in found] == [Outcome.MEETS]) is outcome


def test_every_topic_has_rules_and_every_row_is_judged_or_has_its_reason():
    judged = {row.topic for row in JUDGED} | ELSEWHERE | {"allergen"}
    assert judged == set(TOPICS)
    left = {(row.topic, row.quantity) for row in ROWS if (row.topic, row.quantity) not in BUILDERS}
    days = {(row.topic, row.quantity) for row in ROWS if row.unit == "date"}
    assert left - days == set(OF_THE_PLAN)
    assert {row.id for row in ROWS} >= set(BY_OTHERS)
