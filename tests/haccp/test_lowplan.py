"""A method for low temperature in New South Wales and Victoria, and a bag that is still in such a bath.

Sources of the figures: NSW Food Authority (55 °C; 6 h below 54.5 °C) and the Victorian template (55 °C; 6 h
between 55 and 60 °C), as the rows cite them. The holes in the evidence are made up.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from haccp.assess import assess
from haccp.plan import check_method
from haccp.record import Finding, MethodFacts, Outcome, Stay
from haccp.rules.low_cook import check_time_below
from tests.haccp.kitchen_log import BATH, METHOD, at, bag, batch, drawn_case, of, rules, steady

SHOULDER = replace(METHOD, attributes=frozenset({"red meat"}), set_point_c=58.0, bath_min=600.0)


def checked(method: MethodFacts, regime: str) -> list[Finding]:
    return check_method(method, rules(regime), shape="slab", thickness_tolerance_mm=1.0, band_k=0.3)


@pytest.mark.parametrize(("set_c", "refused"), [(55.0, False), (54.9, True), (58.0, False)])
@pytest.mark.parametrize(("regime", "limit"), [("AU-NSW", "AUNSW-BATH-55"), ("AU-VIC", "AUVIC-TEMP-55")])
def test_a_bath_under_55_is_refused(regime, limit, set_c, refused):
    found = of(checked(replace(SHOULDER, set_point_c=set_c), regime), "plan.bath")
    assert [(each.limit, each.outcome) for each in found] == ([(limit, Outcome.FAILS)] if refused else [])


def test_ten_hours_at_58_are_too_long_in_victoria_and_not_in_new_south_wales():
    [slow] = of(checked(SHOULDER, "AU-VIC"), "plan.time_below")
    assert (slow.limit, slow.outcome) == ("AUVIC-55-60-6H", Outcome.FAILS)
    assert of(checked(SHOULDER, "AU-NSW"), "plan.time_below") == []
    assert of(checked(replace(SHOULDER, set_point_c=64.0), "AU-VIC"), "plan.time_below") == []
    assert of(checked(replace(SHOULDER, bath_min=360.0), "AU-VIC"), "plan.time_below") == []


def test_where_no_hold_is_printed_the_method_is_not_called_good():
    """The law there asks for a step that is known to do its work, and prints no figure for whole meat."""
    [cook] = of(checked(SHOULDER, "AU-NSW"), "plan.cook")
    assert cook.outcome == Outcome.UNPROVEN


def test_without_a_curve_the_whole_time_in_the_bath_counts():
    """A bath that nobody read proves nothing of the core: five hours meet six, seven are not proven."""
    unread = replace(BATH, readings=(), set_point_c=58.0)
    for minutes, outcome in ((300.0, Outcome.MEETS), (420.0, Outcome.UNPROVEN)):
        one = bag(cook=(Stay("bath", at(0), at(minutes)),), chill=(), store=(), core_checks=())
        found = assess(batch(one, regime="AU-VIC", seen=minutes + 5, logs=(unread,)), rules("AU-VIC"))
        [below] = of(found, "cook.time_below")
        assert below.outcome == outcome
        [bath] = of(found, "cook.bath")
        assert (bath.outcome, bath.measured) == (Outcome.UNPROVEN, None)


def test_what_the_readings_leave_open_is_not_proven_either_way():
    case = drawn_case(
        [0, 300, 420, 500],
        [20, 55, 61, 61],
        regime="AU-VIC",
        low=[20, 50, 58, 60],
        high=[20, 60, 61, 61],
    )
    [found] = check_time_below(case)
    assert found.outcome == Outcome.UNPROVEN
    assert found.best is not None


def test_a_bag_that_is_still_in_the_bath_is_told_by_when():
    cool = replace(BATH, readings=steady(58.0, 240.0), set_point_c=58.0)
    one = bag(cook=(Stay("bath", at(0)),), chill=(), store=(), core_checks=())
    found = assess(batch(one, regime="AU-VIC", seen=240.0, logs=(cool,)), rules("AU-VIC"))
    [below] = of(found, "cook.time_below")
    assert (below.outcome, below.remedy_by) == (Outcome.UNPROVEN, at(360))
    assert "by 16:00" in below.sentence


def test_a_bath_that_sagged_under_the_least_is_reviewed_and_its_coldest_reading_named():
    sagged = replace(
        BATH, readings=(*steady(58.0, 200.0), *steady(54.6, 240.0, 10.0, 210.0)), set_point_c=58.0
    )
    one = bag(chill=(), store=(), core_checks=())
    found = assess(batch(one, regime="AU-NSW", seen=250.0, logs=(sagged,)), rules("AU-NSW"))
    [bath] = of(found, "cook.bath")
    assert (bath.outcome, bath.measured) == (Outcome.TO_REVIEW, "54.6 °C")
