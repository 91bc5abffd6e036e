"""Growth beside the rules: bands, what lifts what, the worse of core and surface, and the date in the store.

Sources of the growth figures: the models of ``data/growth.toml``; the values for straight rises and for
the Food Code's chill are own computation by the closed form of Baranyi and Roberts, 1994 (from memory);
times to toxin: Skinner and Larkin, 1998 (8.6 days at 5 °C, from memory); the 1 log: FSIS, Stabilization
Guideline, 2021. The bands beyond it are our own choice.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from haccp.assess import assess
from haccp.growthmodels import growth_model
from haccp.growthrules import growth_rules, how_known, judged
from haccp.record import Finish, Outcome, Stay
from haccp.rules.chill import check_stages
from haccp.rules.growth import check_growth
from haccp.stored import grown_in_store
from tests.haccp.kitchen_log import (
    BATH,
    FRIDGE,
    METHOD,
    SLURRY,
    at,
    bag,
    batch,
    drawn_case,
    of,
    outcomes,
    rules,
    series,
    steady,
)

DAY = 24 * 60.0


def come_up(hours: float, hold_min: float):
    """A straight rise from 4 to 50 °C, and a hold at 60 °C."""
    up = 60.0 * hours
    return drawn_case([0, up, up + 1, up + 1 + hold_min], [4, 50, 60, 60], attributes={"whole muscle"})


@pytest.mark.parametrize(
    ("hours", "hold_min", "grown", "outcome"),
    [
        (2, 45, 0.84, Outcome.MEETS),
        (4, 45, 2.85, Outcome.TO_REVIEW),
        (4, 100, 2.85, Outcome.TO_REVIEW),
        (4, 104, 2.85, Outcome.MEETS),  # 6 and 2.85 log at 11.5 min a log are 101.8 min
        (6, 600, 4.82, Outcome.FAILS),
    ],
)
def test_a_slow_come_up_needs_a_hold_that_kills_what_grew(hours, hold_min, grown, outcome):
    [found] = of(check_growth(come_up(hours, hold_min), ()), "growth.come_up")
    assert found.outcome == outcome
    # The minute from 50 to 60 °C adds a little.
    assert found.measured_value == pytest.approx(grown, abs=0.05)
    assert ("competent person" in found.sentence) == (outcome != Outcome.MEETS)


def test_a_come_up_that_kept_the_six_hours_is_not_lifted_by_that():
    """5.5 h from 10 to 54.4 °C is within the advice of the regime; the growth is not."""
    found = assess_drawn(come_up(5.9, 600))
    assert of(found, "cook.come_up") == []
    assert outcomes(found, "growth.come_up") == [Outcome.FAILS]


def assess_drawn(case):
    """The bag's own rules on a case whose curve is given."""
    from haccp.assess import BAG_CHECKS

    before = [each for check in BAG_CHECKS for each in check(case)]
    return [*before, *check_growth(case, before)]


def us_chill(plateau_min: float, end_min: float = 240.0):
    """57.2 °C, then a while at the organism's best temperature, 21 °C within 2 h, 5 °C at `end_min`."""
    return drawn_case(
        [0, 60, 62, 62 + plateau_min, 179, 60 + end_min],
        [60, 60, 46.4, 46.4, 21.0, 4.9],
        regime="US-FDA",
        attributes={"cook-chill", "whole muscle"},
        out_min=60,
        store=(),
    )


@pytest.mark.parametrize(
    ("plateau_min", "outcome"),
    [(5, Outcome.MEETS), (20, Outcome.MEETS), (45, Outcome.TO_REVIEW), (115, Outcome.FAILS)],
)
def test_a_chill_that_met_its_rule_meets_with_a_note_just_over_1_log_and_no_further(plateau_min, outcome):
    case = us_chill(plateau_min, end_min=240.0 if plateau_min < 60 else 360.0)
    stages = check_stages(case)
    assert {each.outcome for each in stages} == {Outcome.MEETS}
    [found] = of(check_growth(case, stages), "growth.chill")
    assert found.outcome == outcome
    assert ("noted" in found.sentence) == (plateau_min == 20)
    if outcome != Outcome.MEETS:
        assert "The rule that was met does not lift that." in found.sentence
    if plateau_min == 20:
        assert 1.0 < found.measured_value <= growth_rules().noted_to


def test_the_food_codes_own_chill_stays_under_1_log():
    """57.2 °C to 21.1 in 2 h and to 5 °C in 4 h more: 0.73 log (own computation)."""
    case = drawn_case(
        [0, 60, 61, 180, 420],
        [60, 60, 57.2, 21.1, 5.0],
        regime="US-FDA",
        attributes={"cook-chill"},
        out_min=60,
        store=(),
    )
    [found] = of(check_growth(case, check_stages(case)), "growth.chill")
    assert found.outcome == Outcome.MEETS
    assert found.measured_value == pytest.approx(0.73, abs=0.03)


def test_little_growth_does_not_lift_a_chill_that_was_missed():
    case = drawn_case(
        [0, 60, 70, 165, 300],
        [60, 60, 58, 3.0, 1.0],
        attributes={"cook-chill"},
        out_min=60,
        chill=(Stay("slurry", at(70), at(300)),),
        store=(),
    )
    found = assess_drawn(case)
    assert outcomes(found, "chill.stage") == [Outcome.FAILS]
    [grown] = of(found, "growth.chill")
    assert (grown.outcome, grown.measured_value < 1.0) == (Outcome.TO_REVIEW, True)
    assert "does not lift" in grown.sentence


def test_the_surface_counts_where_it_is_worse():
    """A bath that fails: the core stays at 58 °C, the surface lies at 45 °C for an hour and a half."""
    case = drawn_case([0, 30, 40, 130, 140], [60, 60, 58, 58, 58], attributes={"whole muscle"}, out_min=135)
    curves = case.heat.curves
    cool = np.array([60.0, 60.0, 45.0, 45.0, 45.0])
    cooled = replace(curves, surface_best_c=cool, surface_low_c=cool, surface_high_c=cool)
    case = replace(case, heat=replace(case.heat, curves=cooled))
    [found] = of(check_growth(case, ()), "growth.chill")
    assert "at the surface" in found.sentence
    assert found.outcome == Outcome.TO_REVIEW


def test_a_bound_that_alone_is_in_the_worst_band_is_unproven():
    model = growth_model("c_perfringens_chill")
    assert judged(model, 0.2, 0.9) == Outcome.MEETS
    assert judged(model, 0.2, 1.1) == Outcome.TO_REVIEW
    assert judged(model, 0.2, 3.0) == Outcome.UNPROVEN
    assert judged(model, 3.0, 3.1) == Outcome.FAILS


def test_starchy_food_is_looked_at_for_its_own_organism():
    words = {"cook-chill", "vegetable"}
    stays = {"chill": (Stay("slurry", at(70), at(300)),), "store": ()}
    case = drawn_case([0, 60, 70, 130, 300], [90, 90, 80, 3.0, 1.0], attributes=words, out_min=60, **stays)
    said = [each.sentence for each in of(check_growth(case, check_stages(case)), "growth.chill")]
    assert ["B. cereus" in each for each in said] == [False, True]


# -- the store ----------------------------------------------------------------------------------------


def stored(days: float, celsius: float, *, words=(), long_ago: float = 0.0, **changes: object):
    """A bag cooked at 63 °C, for so many days in a fridge that reads so, less the probe's 0.2 °C."""
    readings = series([(340 + 360.0 * n, celsius - 0.2) for n in range(int(days * 4) + 2)])
    method = replace(METHOD, attributes=frozenset({"whole muscle", *words}), life_days=10)
    logs = (BATH, SLURRY, replace(FRIDGE, readings=readings))
    record = batch(bag(**changes), seen=332 + days * DAY, logs=logs, method=method)
    return assess(record, rules())


@pytest.mark.parametrize(
    ("days", "outcome"),
    [(4.2, Outcome.MEETS), (4.4, Outcome.TO_REVIEW), (8.5, Outcome.TO_REVIEW), (8.8, Outcome.FAILS)],
)
def test_the_share_of_the_shortest_time_to_toxin_is_judged_by_its_bands(days, outcome):
    """8.6 days at 5 °C: half of it after 4.3 days. The UK rule allows ten days at up to 8 °C."""
    found = stored(days, 5.0)
    assert outcomes(found, "store.temperature", "UK-CHILL-8") == [Outcome.MEETS]
    [grown] = of(found, "growth.store")
    assert grown.outcome == outcome
    if outcome != Outcome.MEETS:
        assert "the rule in force allows 10 days" in grown.sentence


def test_a_warm_store_moves_the_date_forward_and_a_cold_one_never_back():
    """Cooked on 3 March: ten days end on the 12th; at 5 °C the share is whole on the 12th before noon."""
    assert stored(9.0, 5.0).bags[0].use_by == date(2026, 3, 11)
    assert stored(9.0, 3.0).bags[0].use_by == date(2026, 3, 12)
    assert stored(2.0, 5.0).bags[0].use_by == date(2026, 3, 12)
    # At 7 °C the shortest time is 4.7 days.
    early = stored(6.0, 7.0)
    assert early.bags[0].use_by == date(2026, 3, 7)
    [use_by] = of(early, "store.use_by")
    assert use_by.outcome == Outcome.FAILS
    assert "moved forward" in use_by.sentence


def test_a_store_at_3_degrees_adds_nothing():
    [grown] = of(stored(9.0, 3.0), "growth.store")
    assert grown.measured_value == 0.0


def mild(days: float, celsius: float, *words: str):
    """As :func:`stored`, of a food that got less than the reference cook or was opened after it."""
    return of(stored(days, celsius, words=words), "growth.store")


def test_listeria_counts_only_where_the_bag_was_opened_or_cooked_mildly():
    """0.45 log a day at 5 °C (own choice): 0.5 log after 1.1 days, 2 log after 4.4."""
    assert ["monocytogenes" in each.sentence for each in mild(1.0, 5.0)] == [False]
    for days, outcome in ((1.0, Outcome.MEETS), (1.3, Outcome.TO_REVIEW), (4.6, Outcome.FAILS)):
        [_, listeria] = mild(days, 5.0, "opened")
        assert (listeria.outcome, "monocytogenes" in listeria.sentence) == (outcome, True)
    low = replace(BATH, readings=steady(56.0, 240.0), set_point_c=56.0)
    found = assess(batch(logs=(low, SLURRY, FRIDGE), seen=3000), rules())
    assert len(of(found, "growth.store")) == 2


def test_food_cooked_for_a_long_life_in_its_closed_bag_has_no_toxin_to_reckon_with():
    hot = replace(BATH, readings=steady(93.0, 240.0), set_point_c=93.0)
    method = replace(METHOD, attributes=frozenset({"vegetable", "long life"}), material="vegetable")
    found = assess(batch(logs=(hot, SLURRY, FRIDGE), method=method, seen=3000), rules())
    assert of(found, "growth.store") == []
    opened = replace(method, attributes=method.attributes | {"opened"})
    found = assess(batch(logs=(hot, SLURRY, FRIDGE), method=opened, seen=3000), rules())
    assert len(of(found, "growth.store")) == 2


def test_an_unread_store_or_one_too_warm_for_the_model_says_nothing_of_growth():
    assert of(assess(batch(logs=(BATH, SLURRY, replace(FRIDGE, readings=()))), rules()), "growth.store") == []
    warm = replace(FRIDGE, readings=series([(400, 2.0), (700, 40.0)]))
    found = assess(batch(logs=(BATH, SLURRY, warm), seen=900), rules())
    assert of(found, "growth.store") == []
    assert Outcome.FAILS in outcomes(found, "store.temperature")


def test_growth_ends_when_the_bag_is_gone():
    gone = (Finish("served", at(332 + 2 * DAY)),)
    [late] = of(stored(9.0, 5.0, finishes=gone), "growth.store")
    [soon] = of(stored(2.0, 5.0), "growth.store")
    assert late.measured_value == pytest.approx(soon.measured_value, rel=1e-3)


# -- words ----------------------------------------------------------------------------------------------


def test_how_well_each_figure_is_known_is_said_in_plain_words():
    assert how_known(growth_model("c_perfringens_chill")) == (
        "the quickest rate, the temperatures between which it grows and the edge at 1 log: published; "
        "the lag, the ceiling and the edge at 3 log: own choice"
    )
    assert "the time to toxin: from memory" in how_known(growth_model("c_botulinum_store"))
    for each in of(stored(8.0, 5.0), "growth.store"):
        assert "from memory" in each.caution
        assert "own choice" in each.basis
        assert growth_model("c_botulinum_store").cautions[0] in each.caution


def test_the_cases_of_these_tests_have_one_organism_each():
    assert [each.key for each in growth_rules().chill] == ["c_perfringens_chill"]
    assert grown_in_store(drawn_case([0, 60], [60, 60], store=())) == []
