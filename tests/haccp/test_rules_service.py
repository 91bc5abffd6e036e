"""Service: kept hot, out at room temperature, a second cook, where a careless reading judges otherwise.

Sources: Food Hygiene Regulations Schedule 4 (63 °C; below it once and less than 2 h; cold food once and less
than 4 h); FDA Food Code 3-501.19 (4 h; 6 h for cold food that stays at 70 °F), 3-403.11(D) (2 h); the
2-hour/4-hour guide of Australia; DH guidelines 1989 (second cook within 30 min, served within 15 min).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from haccp.case import Case
from haccp.heat import BagHeat
from haccp.record import CoreCheck, Finish, Outcome, ServiceStay, Stay, Step
from haccp.rules.ambient import check_ambient
from haccp.rules.hot_hold import check_hot_hold, check_served_soon
from haccp.rules.reheat import check_begun, check_hot_in_time, check_once
from haccp.rules.service import end_of, words_of
from tests.haccp.kitchen_log import METHOD, at, bag, batch, reading, rules

MEETS, REVIEW, UNPROVEN, FAILS = Outcome


def case(
    regime: str = "UK", words: tuple[str, ...] = ("cook-chill",), seen: float = 5000.0, **facts: object
) -> Case:
    """A bag in service, without heat."""
    plain = {"cook": (), "chill": (), "store": (), "core_checks": (), "finishes": ()}
    method = replace(METHOD, attributes=frozenset(words))
    record = batch(bag(**{**plain, **facts}), regime=regime, seen=seen, method=method)
    heat = BagHeat(None, None, None, None, ())
    return Case(record=record, ruleset=rules(regime), bag=record.bags[0], heat=heat)


def hot(*values: tuple[float, float], regime: str = "UK", until: float = 300.0, **facts: object):
    """A bag kept hot from minute 0, with readings in minutes and °C."""
    stay = ServiceStay("hot hold", at(0), at(until), tuple(reading(*each) for each in values))
    return check_hot_hold(case(regime, services=(stay,), **facts))


def test_hot_food_that_nobody_read_is_unproven():
    [found] = hot()
    assert (found.limit, found.outcome) == ("UK-HOT-63", UNPROVEN)


def test_the_coldest_reading_counts_and_a_probe_within_its_tolerance_proves_nothing():
    assert [each.outcome for each in hot((10, 70), (100, 63.1), (200, 68))] == [UNPROVEN]
    assert [each.outcome for each in hot((10, 70), (100, 63.2), (200, 68))] == [MEETS]
    assert [each.outcome for each in hot((10, 63.2), regime="UK-SCT")] == [UNPROVEN]  # there: more than 63


def test_below_once_it_counts_from_the_last_hot_reading_to_the_next():
    """Read hot at 60, cool at 100, hot again at 170: up to 110 min below, which is less than two hours."""
    [found] = hot((60, 65), (100, 60), (170, 66))
    assert (found.limit, found.outcome) == ("UK-HOT-TOL-2H", REVIEW)
    assert "110 min" in found.sentence
    # The same cool reading between readings two hours apart: exactly two hours are too long.
    [found] = hot((60, 65), (100, 60), (180, 66))
    assert found.outcome == FAILS


def test_twice_below_is_once_too_often_however_short():
    [found] = hot((10, 65), (12, 60), (14, 65), (16, 60), (18, 65))
    assert found.outcome == FAILS
    assert "2 times" in found.sentence


def test_where_no_row_lets_it_be_below_it_fails_at_once():
    [found] = hot((10, 55), regime="CA-BC")
    assert (found.limit, found.outcome) == ("CABC-HOT-60", FAILS)


def test_a_roast_by_the_table_may_be_kept_cooler():
    stay = ServiceStay("hot hold", at(0), at(60), (reading(5, 55.0),))
    assert [e.outcome for e in check_hot_hold(case("US-FDA", services=(stay,)))] == [FAILS]
    roast = replace(stay, words=frozenset({"roast table"}))
    [found] = check_hot_hold(case("US-FDA", services=(roast,)))
    assert (found.limit, found.outcome) == ("USFDA-HOT-54-ROAST", MEETS)


def test_a_bag_still_below_says_until_when_it_may_be_served():
    stay = ServiceStay("hot hold", at(0), None, (reading(10, 65), reading(40, 58)))
    [found] = check_hot_hold(case(services=(stay,), seen=50.0))
    assert (found.outcome, found.remedy_by) == (REVIEW, at(130))


# -- served in time ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("minutes", "found"), [(15, []), (15.1, [REVIEW])])
def test_it_is_served_soon_after_the_last_hot_reading(minutes, found):
    cores = tuple(CoreCheck(reading(each, 75), Step.FINISH) for each in (-10, 0))
    one = case(core_checks=cores, finishes=(Finish("second cook", at(-30)), Finish("served", at(minutes))))
    assert [each.outcome for each in check_served_soon(one)] == found
    kept = replace(one, bag=replace(one.bag, services=(ServiceStay("hot hold", at(1)),)))
    assert check_served_soon(kept) == []


# -- room temperature -------------------------------------------------------------------------------------


def out(
    regime: str, *stays: tuple[float, float], words=("served cold",), readings=(), store=(), **facts: object
):
    """Stays at room temperature, in minutes."""
    services = tuple(
        ServiceStay("ambient", at(one), at(two), tuple(readings), frozenset(words), **facts)
        for one, two in stays
    )
    return check_ambient(case(regime, services=services, store=store))


def test_cold_food_may_be_out_once_in_the_kingdom_and_cumulatively_in_australia():
    assert [each.outcome for each in out("UK", (0, 100))] == [MEETS]
    assert [each.outcome for each in out("UK", (0, 100), (200, 210))] == [FAILS]
    assert [each.outcome for each in out("AU-NZ", (0, 100), (200, 300))] == [MEETS]
    assert [each.outcome for each in out("AU-NZ", (0, 100), (200, 341))] == [FAILS]


def test_after_two_hours_it_does_not_go_back_into_the_cold():
    back = (Stay("fridge", at(120)),)
    assert [each.rule for each in out("AU-NZ", (0, 119), store=back)] == ["ambient.time"]
    rules_found = {each.rule: each.outcome for each in out("AU-NZ", (0, 120), store=back)}
    assert rules_found == {"ambient.time": MEETS, "ambient.chilled_again": FAILS}


def test_six_hours_need_readings_that_show_it_stayed_cool():
    """3-501.19(C): from 41 °F or colder, and never above 70 °F. Five hours without a reading are too long."""
    assert [each.limit for each in out("US-FDA", (0, 300))] == ["USFDA-TPHC-4H"]
    cool = (reading(0, 4.0), reading(240, 20.0))
    [found] = out("US-FDA", (0, 300), readings=cool)
    assert (found.limit, found.outcome) == ("USFDA-TPHC-6H", MEETS)
    [found] = out("US-FDA", (0, 300), readings=(reading(0, 8.0), reading(240, 20.0)))
    assert found.outcome == FAILS
    [found] = out("US-FDA", (0, 300), readings=(reading(0, 4.0), reading(240, 21.2)))
    assert found.outcome == FAILS
    [found] = out("US-FDA", (0, 300), readings=(reading(0, 4.0),))  # nothing says how warm it got
    assert found.outcome == FAILS


def test_unmarked_food_is_thrown_away_where_the_clock_stands_for_the_thermometer():
    assert "ambient.marked" in [each.rule for each in out("US-FDA", (0, 60), marked=False)]
    assert "ambient.marked" not in [each.rule for each in out("US-FDA", (0, 60), marked=True)]
    assert "ambient.marked" not in [each.rule for each in out("UK", (0, 60), marked=False)]


def test_hot_food_on_a_cold_table_is_held_to_the_two_hours_and_the_untold_to_the_stricter():
    assert [(e.limit, e.outcome) for e in out("UK", (0, 120), words=("served hot",))] == [
        ("UK-HOT-TOL-2H", FAILS)
    ]
    assert [(e.limit, e.outcome) for e in out("UK", (0, 130), words=())] == [("UK-HOT-TOL-2H", FAILS)]


# -- the second cook --------------------------------------------------------------------------------------


def second(regime: str, left: float | None, begun: float, *cores: tuple[float, float], words=("cook-chill",)):
    """A bag out of the store at one minute and in its second cook at another."""
    store = () if left is None else (Stay("fridge", at(-600), at(left)),)
    checks = tuple(CoreCheck(reading(*each), Step.FINISH) for each in cores)
    return case(regime, words, store=store, finishes=(Finish("second cook", at(begun)),), core_checks=checks)


def test_a_second_cook_begins_within_half_an_hour_where_it_is_told_when_the_store_was_left():
    assert [each.outcome for each in check_begun(second("UK", 0, 30))] == [MEETS]
    assert [each.outcome for each in check_begun(second("UK", 0, 31))] == [REVIEW]
    assert check_begun(second("UK", None, 31)) == []


def test_it_is_hot_in_time_by_the_first_reading_that_is_hot():
    words = ("cook-chill", "hot hold")
    assert [
        e.outcome for e in check_hot_in_time(second("US-FDA", 0, 5, (60, 60), (119, 75), words=words))
    ] == [MEETS]
    assert [
        e.outcome for e in check_hot_in_time(second("US-FDA", 0, 5, (60, 60), (121, 75), words=words))
    ] == [FAILS]
    # Not hot yet when last read, within the time: how hot it must be is another check's to say.
    assert check_hot_in_time(second("US-FDA", 0, 5, (60, 60), words=words)) == []
    assert [e.outcome for e in check_hot_in_time(second("US-FDA", 0, 5, (130, 60), words=words))] == [FAILS]


def test_food_is_reheated_once():
    one = second("UK", 0, 5)
    assert check_once(one) == []
    again = replace(one, bag=replace(one.bag, finishes=(*one.bag.finishes, Finish("second cook", at(400)))))
    [found] = check_once(again)
    assert (found.outcome, "2 times" in found.sentence) == (REVIEW, True)


def test_a_stay_of_which_nobody_told_how_it_was_served_takes_the_rows_for_both():
    untold, cold = (ServiceStay("ambient", at(0), words=frozenset(each)) for each in ((), ("served cold",)))
    there = case(services=(untold,))
    assert {"served cold", "served hot"} <= words_of(there, untold)
    assert "served hot" not in words_of(there, cold)
    assert "time as control" not in words_of(there, ServiceStay("hot hold", at(0)))


def test_a_stay_ends_as_told_or_when_the_bag_was_gone_and_never_before_it_began():
    stay = ServiceStay("ambient", at(10))
    assert end_of(case(services=(stay,), seen=400.0), stay) == at(400)
    gone = case(services=(stay,), seen=400.0, finishes=(Finish("served", at(90)),))
    assert end_of(gone, stay) == at(90)
    assert end_of(gone, ServiceStay("ambient", at(10), at(60))) == at(60)
    assert end_of(gone, ServiceStay("ambient", at(100))) == at(100)
