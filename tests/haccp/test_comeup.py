"""Come-ups of interrupted cooks, on straight curves whose times are counted by hand, and on whole records.

That both come-ups and the cooling between count together against 6 h from 10 to 54.4 °C is US guidance (USDA
FSIS cooking guideline of December 2021, page seen).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from haccp.comeup import come_up, heatings
from haccp.course import Leg
from haccp.errors import RangeError, ReadingsError
from haccp.heat import bag_heat
from haccp.record import Outcome, Stay, Step
from haccp.rules.come_up import check_come_up
from tests.haccp.kitchen_log import BATH, FRIDGE, METHOD, SLURRY, at, bag, batch, drawn_case, series, steady

H = 3600.0
FROM, TO = 10.0, 54.4
# In hours and °C. First heating 0-4 h: 10 °C at 1 h, out at 4 h with 40 °C; cooling to 25 °C at 6 h; second
# heating 6-9 h: 54.4 °C at 8 h.
NEVER_HOT_AT_FIRST = ([0, 1, 4, 6, 8, 9], [4.0, 10.0, 40.0, 25.0, 54.4, 60.0])
# First heating 0-3 h: 10 °C at 1 h, 54.4 °C at 2 h, out at 3 h with 60 °C; under 54.4 °C from 4 h, 30 °C at
# 6 h; second heating 6-9 h: 54.4 °C at 7.5 h.
HOT_AT_FIRST = ([0, 1, 2, 3, 4, 6, 7.5, 9], [4.0, 10.0, 54.4, 60.0, 54.4, 30.0, 54.4, 60.0])


def together(hours, celsius, stays, **low):
    """The come-up of a curve in hours."""
    times = np.asarray(hours, dtype=float) * H
    spans = [(start * H, end * H) for start, end in stays]
    return come_up(times, celsius, low.get("hot", celsius), spans, from_c=FROM, to_c=TO)


def test_both_come_ups_and_the_cooling_between_count_together():
    found = together(*NEVER_HOT_AT_FIRST, [(0, 4), (6, 9)])
    assert found.heatings_s == pytest.approx((3 * H, 2 * H))
    assert found.between_s == pytest.approx((2 * H,))
    assert found.total_s == pytest.approx(7 * H)
    # Each of the two for itself would keep the 6 h.
    assert max(found.heatings_s) < 6 * H < found.total_s


def test_a_core_that_was_hot_and_cooled_counts_its_second_come_up_too():
    found = together(*HOT_AT_FIRST, [(0, 3), (6, 9)])
    assert found.heatings_s == pytest.approx((1 * H, 1.5 * H))
    assert found.between_s == pytest.approx((2 * H,))
    assert found.after_s == 0.0


def test_time_in_the_cold_between_does_not_count():
    """Chilled to 4 °C between the heatings: under 10 °C nothing of this kind grows."""
    hours, celsius = [0, 1, 4, 5, 10, 11, 13], [4.0, 10.0, 40.0, 10.0, 4.0, 10.0, 60.0]
    found = together(hours, celsius, [(0, 4), (10, 13)])
    assert found.between_s == pytest.approx((1 * H,))


def test_a_core_that_was_never_hot_counts_on_until_it_is_cold():
    found = together([0, 1, 3, 5, 6], [4.0, 10.0, 40.0, 10.0, 4.0], [(0, 3)])
    assert found.heatings_s == pytest.approx((2 * H,))
    assert found.after_s == pytest.approx(2 * H)
    # One that goes on rising after the bath counts until it is hot.
    risen = together([0, 1, 3, 4, 9], [4.0, 10.0, 50.0, 58.8, 4.0], [(0, 3)])
    assert risen.after_s == pytest.approx(0.5 * H)


def test_a_bath_that_sags_under_the_hot_edge_counts_its_sag():
    found = together([0, 1, 2, 3, 3.5, 4, 5], [4.0, 10.0, 54.4, 54.4, 50.0, 54.4, 60.0], [(0, 5)])
    assert found.total_s == pytest.approx(2 * H)


def test_no_core_between_the_curves_counts_longer():
    """Random curves (own computation)."""
    draw = np.random.default_rng(8)
    for _ in range(200):
        hours = np.concatenate(([0.0], np.cumsum(draw.uniform(0.2, 2.0, 9))))
        low = draw.uniform(0.0, 65.0, 10)
        high = low + draw.uniform(0.0, 6.0, 10)
        core = low + draw.uniform(0.0, 1.0, 10) * (high - low)
        stays = [(hours[0], hours[3]), (hours[5], hours[8])]
        inside = together(hours, core, stays)
        outside = together(hours, high, stays, hot=low)
        assert sum(inside.heatings_s) + sum(inside.between_s) <= outside.total_s + 1e-6


def test_one_heating_is_what_it_always_was():
    """10 °C at 1 h and 54.4 °C at 5.44 h on a straight rise."""
    assert together([0, 6], [0.0, 60.0], [(0, 6)]).total_s == pytest.approx(4.44 * H)


@pytest.mark.parametrize("stays", [[], [(2, 1)], [(0, 2), (1, 3)]])
def test_heatings_out_of_order_are_refused(stays):
    with pytest.raises(ReadingsError, match="order"):
        together([0, 6], [0.0, 60.0], stays)


def test_nonsense_is_refused():
    with pytest.raises(RangeError):
        come_up([0, 1], [5, 5], [5, 5], [(0, 1)], from_c=54.4, to_c=10.0)
    with pytest.raises(ReadingsError, match="change them round"):
        come_up([0, 1], [5, 5], [6, 6], [(0, 1)], from_c=10.0, to_c=54.4)


def thick_roll(*stays: Stay):
    """A thick roll in a bath of 60 °C, under the USDA advice of 6 h; out of a bath it lies in the kitchen."""
    end = max(each.out_at for each in stays)
    minutes = (end - at(0)).total_seconds() / 60
    log = replace(BATH, readings=steady(60.0, minutes), set_point_c=60.0)
    roll = bag(thickness_mm=120.0, shape="cylinder", cook=stays, chill=(), store=(), core_checks=())
    method = replace(METHOD, thickness_max_mm=130.0)
    return batch(roll, seen=minutes, logs=(log, SLURRY, FRIDGE), method=method)


def test_an_interrupted_roll_counts_all_its_warmth():
    """Two heatings of 150 and 500 min with 120 min on the bench between: over 6 h together."""
    whole = thick_roll(Stay("bath", at(0), at(500)))
    cut = thick_roll(Stay("bath", at(0), at(150)), Stay("bath", at(270), at(770)))
    found = {}
    for record in (whole, cut):
        heat = bag_heat(record, record.bags[0], timedelta(hours=1))
        spans = heatings(heat.course)
        curve = heat.curves.best_c
        found[len(spans)] = come_up(heat.curves.times_s, curve, curve, spans, from_c=FROM, to_c=TO)
    assert found[1].total_s < 6 * H < found[2].total_s
    assert found[2].total_s > found[1].total_s + 100 * 60
    assert len(found[2].between_s) == 1


def test_the_finding_counts_the_first_come_up_and_the_cooling_between():
    """7 h together, each part under 6 h: reviewed, whatever the hold."""
    hours, celsius = NEVER_HOT_AT_FIRST
    case = drawn_case([60.0 * each for each in hours], celsius)
    assert [each.outcome for each in check_come_up(case)] == [Outcome.TO_REVIEW]
    # The second heating alone would not be.
    alone = drawn_case([0, 120, 180], [25.0, 54.4, 60.0])
    assert check_come_up(alone) == []


def test_the_finding_counts_the_second_come_up_of_a_core_that_was_hot_before():
    """10 to 54.4 °C in 5.55 h, hot, cooled on the bench, heated again: each under 6 h, together over it."""
    hours = [0, 6, 7, 9, 11, 13]
    celsius = [6.4, 54.4, 58.0, 30.0, 54.4, 60.0]
    case = drawn_case([60.0 * each for each in hours], celsius)
    course = replace(
        case.heat.course, legs=(Leg(0.0, 7 * H, Step.COOK, BATH), Leg(9 * H, 13 * H, Step.COOK, BATH))
    )
    [found] = check_come_up(replace(case, heat=replace(case.heat, course=course)))
    assert found.outcome == Outcome.TO_REVIEW
    assert "counted together" in found.sentence
    # As one heating the second come-up would not be seen: 10 to 54.4 °C took 5.55 h.
    assert check_come_up(case) == []


def test_two_baths_without_a_pause_are_one_heating():
    two = (Stay("bath", at(0), at(100)), Stay("warmer", at(100), at(240)))
    warmer = replace(BATH, key="warmer", readings=series([(100.0 + 10 * n, 70.0) for n in range(15)]))
    record = batch(bag(cook=two, chill=(), store=(), core_checks=()), seen=240, logs=(BATH, warmer))
    assert heatings(bag_heat(record, record.bags[0], timedelta(hours=1)).course) == ((0.0, 240.0 * 60.0),)
