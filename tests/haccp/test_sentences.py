"""What findings say: nothing estimated is called proven, one figure is rounded one way, plurals agree.

Common practice, no source: the sentences are our own.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from haccp.assess import assess
from haccp.limits import Amount, all_limits
from haccp.record import Assessment, Outcome, Stay
from haccp.rules.chill import check_stages
from haccp.rules.cook import check_hold
from tests.haccp.kitchen_log import (
    BATH,
    FRIDGE,
    SLURRY,
    at,
    bag,
    batch,
    drawn_case,
    of,
    reading,
    rules,
    series,
    steady,
)


def low_bath() -> Assessment:
    """A bath that never got hot enough."""
    cool = replace(BATH, readings=steady(59.5, 240.0), set_point_c=59.5)
    return assess(batch(logs=(cool, SLURRY, FRIDGE)), rules())


def coarse_bath() -> Assessment:
    """Four readings in four hours: the best estimate meets, what is proven does not."""
    coarse = replace(BATH, readings=series([(80.0 * n, 61.5) for n in range(4)]))
    return assess(batch(logs=(coarse, SLURRY, FRIDGE)), rules())


def short_cook() -> Assessment:
    """Out of the bath too early."""
    return assess(batch(bag(cook=(Stay("bath", at(0), at(75)),), chill=(), store=()), seen=80.0), rules())


def still_in() -> Assessment:
    """In the bath for an hour."""
    return assess(batch(bag(cook=(Stay("bath", at(0)),), chill=(), store=()), seen=60.0), rules())


def slow_chill() -> Assessment:
    """A thick bag in air."""
    air = replace(SLURRY, medium="blast_chiller", readings=steady(2.0, 600.0, 10.0, 240.0))
    thick = bag(thickness_mm=40.0, chill=(Stay("slurry", at(245)),), store=(), core_checks=())
    return assess(batch(thick, logs=(BATH, air, FRIDGE)), rules())


def unread_chill() -> Assessment:
    """A slurry that nobody read."""
    return assess(batch(bag(core_checks=()), logs=(BATH, replace(SLURRY, readings=()), FRIDGE)), rules())


def warm_store() -> Assessment:
    """A fridge that got warm for a day."""
    warm = replace(FRIDGE, readings=(reading(340, 2.0), reading(900, 6.4), reading(1500, 6.1)))
    return assess(batch(seen=1600, logs=(BATH, SLURRY, warm)), rules())


EVERY = [low_bath, coarse_bath, short_cook, still_in, slow_chill, unread_chill, warm_store]


@pytest.mark.parametrize("told", EVERY, ids=lambda each: each.__name__)
def test_an_estimate_is_never_called_proven_and_never_said_twice(told):
    for each in told().all_findings:
        assert "safe" not in each.sentence
        assert each.sentence.endswith((".", "%")), each.sentence
        assert "  " not in each.sentence
        assert ".." not in each.sentence
        assert "best estimate" not in (each.best or "")
        assert "estimate" not in each.basis
        for clause in each.sentence.replace(";", ".").split(". "):
            assert not ("best estimate" in clause.lower() and "proven" in clause), clause
        for wrong in ("1 days", "1 hours", "1 readings", "1 bags", " a an "):
            assert f" {wrong}" not in f" {each.sentence}"


def test_a_low_bath_says_one_figure_one_way():
    [hold] = of(low_bath(), "cook.hold")
    assert hold.outcome == Outcome.FAILS
    assert hold.measured in hold.sentence
    assert hold.best in hold.sentence
    assert "at most" not in hold.sentence


def test_a_miss_is_proven_only_where_the_most_that_the_readings_allow_misses_too():
    sure = drawn_case([0, 41], [60.0, 60.0])
    assert "4 min short, proven." in check_hold(sure)[0].sentence
    # The best curve holds 41 min, the upper one might have held 50.
    open_ = drawn_case([0, 9, 50], [59.9, 60.0, 60.0], high=[60.0, 60.0, 60.0])
    [found] = check_hold(open_)
    assert found.outcome == Outcome.FAILS
    assert "short, proven" not in found.sentence


def test_a_chill_that_missed_by_its_best_estimate_is_not_called_proven():
    case = drawn_case(
        [0, 60, 70, 150, 300],
        [60, 60, 58, 20.0, 2.0],
        low=[60, 60, 58, 1.0, 0.0],
        high=[60, 60, 58, 30.0, 9.0],
        attributes={"cook-chill"},
        out_min=60,
        chill=(Stay("slurry", at(70), at(300)),),
        store=(),
    )
    [found] = [each for each in check_stages(case) if each.rule == "chill.stage"]
    assert found.outcome == Outcome.FAILS
    assert "By the best estimate" in found.sentence
    assert "proven" not in found.sentence
    assert found.measured.endswith("by the best estimate")


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [(1, "day", "1 day"), (5, "day", "5 days"), (6, "month", "6 months"), (1, "month", "1 month"),
     (2, "h", "2 h"), (45, "min", "45 min"), (-18, "degC", "−18 °C")],
)  # fmt: skip
def test_an_amount_is_said_in_the_singular_and_the_plural(value, unit, said):
    assert str(Amount(Fraction(value), unit)) == said


def test_no_row_prints_several_of_a_thing_in_the_singular():
    for row in all_limits():
        if row.value is not None and row.value != 1 and row.unit in ("day", "month"):
            assert str(row.amount).endswith("s"), row.id
