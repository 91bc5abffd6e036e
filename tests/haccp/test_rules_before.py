"""Before the cook: how a lot came, waited, thawed and was cured, where a careless reading judges otherwise.

Sources: FDA Food Code 3-202.11, 3-501.13, 3-501.14(C); Regulation (EC) 853/2004 Annex III; Regulation (EC)
1333/2008 as assimilated (150 mg/kg as sodium nitrite); Regulation (EU) 2023/2108 (80 mg/kg as the ion).
Ingoing nitrite by the methods of the FSIS inspectors' calculations handbook.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from haccp.limits import ruleset
from haccp.record import Cure, Delivery, Outcome, RawHold, Thaw
from haccp.rules.arrival import check_arrivals
from haccp.rules.cure import check_ingoing
from haccp.rules.raw_hold import check_raw_bag, check_raw_holds
from haccp.rules.thaw import check_thaws
from tests.haccp.kitchen_log import DAY, METHOD, at, batch, reading, rules
from tests.haccp.rows_of_topics import case
from tests.haccp.test_limits import LOADED

MEETS, REVIEW, UNPROVEN, FAILS = Outcome


def arrived(words: set[str], regime: str, **facts: object):
    lot = Delivery("L1", "food", at(0), frozenset(words), **facts)
    return check_arrivals(batch(deliveries=(lot,), regime=regime), rules(regime))


def test_hot_food_is_judged_by_the_hot_row_and_not_by_the_cold_one():
    [found] = arrived({"hot"}, "US-FDA", reading=reading(0, 57.0, 0.0))
    assert (found.limit, found.outcome) == ("USFDA-RECV-HOT", REVIEW)  # 135 °F is 57.2 °C
    assert arrived({"chilled"}, "US-FDA", reading=reading(0, 3.0)) == []


def test_a_frozen_lot_is_judged_only_where_somebody_looked():
    assert arrived({"frozen"}, "US-FDA") == []
    [soft] = arrived({"frozen"}, "US-FDA", hard_frozen=False)
    assert (soft.limit, soft.outcome) == ("USFDA-RECV-FROZEN", REVIEW)


def test_food_that_may_come_warm_is_not_late_if_it_came_cold():
    assert arrived({"received warm"}, "US-FDA", reading=reading(0, 4.5)) == []
    # 5.0 less nothing: with the probe's tolerance it is not provenly at 41 °F.
    [found] = arrived({"received warm"}, "US-FDA", reading=reading(0, 5.0))
    assert found.outcome == UNPROVEN


# -- raw hold -----------------------------------------------------------------------------------------------


def test_a_raw_lot_whose_fridge_was_not_read_is_unproven_and_a_regime_without_a_row_says_nothing():
    hold = RawHold("L1", "lamb", frozenset({"raw", "red meat"}), at(-600), at(0))
    told = batch(raw_holds=(hold,), regime="AU-NZ")
    assert [each.outcome for each in check_raw_holds(told, rules("AU-NZ"))] == [UNPROVEN]
    assert check_raw_holds(batch(raw_holds=(hold,)), rules("UK")) == []


def test_a_reading_of_a_failed_probe_does_not_count_and_colder_than_a_band_is_no_trouble():
    bad = replace(reading(-300, 3.0), trusted=False)
    hold = RawHold("L1", "lamb", frozenset({"raw", "red meat"}), at(-600), at(0), (bad,))
    assert check_raw_holds(batch(raw_holds=(hold,)), rules("IE"))[0].outcome == UNPROVEN
    cold = replace(hold, readings=(reading(-300, -1.0),))
    assert check_raw_holds(batch(raw_holds=(cold,)), rules("IE"))[0].outcome == MEETS


def test_a_raw_bag_that_waited_thirty_days_is_within_the_food_code_and_one_more_is_not():
    row = LOADED["USFDA-RAWBAG-30D"]

    def waited(days: int):
        sealed = datetime(2026, 3, 3, 12, tzinfo=UTC)
        one = case(row, {"sealed_at": sealed}, seen=datetime(2026, 3, 3 + days, 12, tzinfo=UTC))
        return check_raw_bag(one)

    assert waited(0) == []  # cooked on the day of its sealing: nothing to say
    assert [each.outcome for each in waited(28)] == [MEETS]


# -- thaw ---------------------------------------------------------------------------------------------------


def thaw(regime: str, how: str, words: set[str] = frozenset({"raw"}), **facts: object):
    lot = Thaw("L1", "food", frozenset(words), how, at(-600), **facts)
    return check_thaws(batch(thaws=(lot,), regime=regime, seen=3000), rules(regime))


def test_a_thaw_that_nobody_read_is_unproven():
    [found] = thaw("US-FDA", "in the fridge", done_at=at(-60))
    assert (found.limit, found.outcome) == ("USFDA-THAW-FRIDGE", UNPROVEN)


def test_in_running_water_cold_water_does_not_excuse_a_long_time():
    """3-501.13(B): water at 70 °F, and raw food 4 h above 41 °F. Ten hours: too long only if proven."""
    water = (reading(-590, 15.0),)
    [found] = thaw("US-FDA", "in running water", done_at=at(0), water=water)
    assert (found.limit, found.outcome) == ("USFDA-THAW-WATER-3", UNPROVEN)
    warm = (reading(-580, 8.0), reading(-10, 12.0))
    [found] = thaw("US-FDA", "in running water", done_at=at(0), water=water, readings=warm)
    assert found.outcome == REVIEW
    [found] = thaw("US-FDA", "in running water", done_at=at(-400), water=water)
    assert found.outcome == MEETS


def test_a_closed_vacuum_pack_of_fish_is_to_be_opened():
    sealed = {"fish", "sealed"}
    cold = (reading(-300, 2.0),)
    [found] = thaw("US-FDA", "in the fridge", sealed, readings=cold, pack_open=False, done_at=at(0))
    assert (found.limit, found.outcome) == ("USFDA-THAW-ROPFISH", REVIEW)
    [found] = thaw("US-FDA", "in the fridge", sealed, readings=cold, pack_open=True, done_at=at(0))
    assert (found.limit, found.outcome) == ("USFDA-THAW-FRIDGE", MEETS)


def test_a_day_counts_from_thawed_through_and_not_from_out_of_the_freezer():
    """UK advice: within 24 h of fully defrosted. 50 h in all, 20 h of them thawed through."""
    [found] = thaw("UK", "in the fridge", done_at=at(1200), used_at=at(2400))
    assert (found.limit, found.outcome) == ("UK-THAW-24H", MEETS)
    [found] = thaw("UK", "in the fridge", done_at=at(0), used_at=at(1441))
    assert found.outcome == REVIEW


# -- cure ---------------------------------------------------------------------------------------------------

HAM = frozenset({"whole muscle", "cured"})


def cured(regime: str, day: date = DAY, words: frozenset[str] = HAM, **facts: object):
    plain = {"cure_g": 25.0, "meat_g": 1000.0, "nitrite_percent": 0.6, "brine_g": 0.0}
    told = Cure("cure A", str(facts.pop("way", "dry cured")), at(0), **{**plain, **facts})
    method = replace(METHOD, attributes=words, material="pork")
    record = batch(cures=(told,), regime=regime, method=method, day=day)
    return check_ingoing(record, ruleset(regime, day))


def test_the_same_cure_is_within_one_law_and_over_another_for_the_other_way_of_weighing():
    """25 g of a salt with 0.6 % in 1 kg: 150 mg/kg as sodium nitrite, 100 mg/kg as the ion (factor 0.667)."""
    [uk] = cured("UK")
    assert (uk.limit, uk.outcome) == ("UK-CURE-NO2-MEAT", MEETS)
    [eu] = cured("EU")
    assert (eu.limit, eu.outcome) == ("EU-CURE-NO2-NEW", FAILS)
    assert "as the nitrite ion" in eu.sentence


def test_the_law_of_the_day_holds():
    """Regulation (EU) 2023/2108 applies from 9 October 2025."""
    [before] = cured("EU", date(2025, 10, 8))
    assert (before.limit, before.outcome) == ("EU-CURE-OLD", MEETS)
    [after] = cured("EU", date(2025, 10, 9))
    assert (after.limit, after.outcome) == ("EU-CURE-NO2-NEW", FAILS)


def test_a_brine_is_not_weighed_as_if_all_of_it_went_into_the_meat():
    """50 g of 0.6 % in 1 kg meat and 1 kg brine: 150 on both, 300 on the meat: not proven, not failed."""
    [found] = cured("UK", way="immersed", cure_g=50.0, brine_g=1000.0)
    assert found.outcome == UNPROVEN
    [found] = cured("UK", way="immersed", cure_g=25.0, brine_g=1000.0)
    assert found.outcome == MEETS
    [found] = cured("UK", way="immersed", cure_g=60.0, brine_g=1000.0)
    assert found.outcome == FAILS


def test_food_without_nitrite_or_under_other_words_has_no_finding():
    assert cured("UK", nitrite_percent=0.0) == []
    assert cured("UK", words=HAM | {"traditional cure"}) == []


def test_weights_that_cannot_be_are_no_pass():
    with pytest.raises(Exception, match="more than nothing"):
        cured("UK", meat_g=0.0)
