"""haccp.shelf_life and haccp.lifefacts: days as each rule counts them, and the date that moves.

Rules: UK cook-chill guidelines 1989 (five days, the day of cooking and the day of eating included; from
memory), French decree of 21 December 2009 (day of making + 3; page seen), UK vacuum guidance (10 days
from the first sealing; page seen, count from memory), US Food Code 3-502.12 (7 days; page seen). The
worked example of the lamb and the days of model life are own computations, printed to a day.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from haccp.errors import DataError, RangeError
from haccp.growthmodels import growth_model
from haccp.limits import ruleset
from haccp.record import Outcome
from haccp.shelf_life import (
    Frozen,
    Gates,
    LifeClass,
    LifeFacts,
    LifeRule,
    cautions,
    combined,
    ending_terms,
    last_whole_day,
    life,
    model_end,
    moved_forward,
    offered_rules,
    rule_days,
    store_temperature,
)

LONDON, PARIS, CHICAGO = (ZoneInfo(each) for each in ("Europe/London", "Europe/Paris", "America/Chicago"))
COOK_CHILL = LifeRule("cook-chill", 5, "cooking", 1, 3.0)
MADE_PLUS_3 = LifeRule("made + 3", 3, "cooking", 0, 3.0)
TEN = LifeRule("ten days", 10, "sealing", 1, 8.0)
OPEN = Gates(Outcome.MEETS, Outcome.MEETS, False, True, Outcome.MEETS, True)


def at(day, hour=12, minute=0, zone=LONDON, month=6):
    return datetime(2026, month, day, hour, minute, tzinfo=zone)


def facts(sealed=None, cooked=None, **more):
    cooked = cooked or at(1)
    return LifeFacts(
        {"sealing": sealed or cooked, "cooking": cooked}, more.pop("process", LifeClass.B), **more
    )


def test_days_as_each_rule_counts_them():
    """Cooked on Monday 1 June: cook-chill until Friday 5, day of making + 3 until Thursday 4."""
    assert rule_days(COOK_CHILL, facts(), LONDON) == (date(2026, 6, 5), None)
    assert rule_days(MADE_PLUS_3, facts(), PARIS) == (date(2026, 6, 4), None)
    assert rule_days(TEN, facts(sealed=at(1)), LONDON) == (date(2026, 6, 10), None)
    # Sealed on Saturday, cooked on Monday: the ten days run from Saturday.
    saturday = facts(sealed=at(30, month=5), cooked=at(1))
    assert rule_days(TEN, saturday, LONDON)[0] == date(2026, 6, 8)
    assert life(saturday, [TEN, COOK_CHILL], OPEN, LONDON).governed_by == "cook-chill"


def test_rows_of_the_rulesets_become_rules():
    uk = LifeRule.from_limit(ruleset("UK", date(2026, 6, 1)).limit("UK-CCH-LIFE"))
    assert (uk.days, uk.counts_from, uk.first_day, uk.store_c) == (5, "cooking", 1, 3.0)
    us = LifeRule.from_limit(ruleset("US-FDA", date(2026, 6, 1)).limit("USFDA-CCSV-7D"))
    assert rule_days(us, facts(), CHICAGO)[0] == date(2026, 6, 7)
    with pytest.raises(DataError, match="count days"):
        LifeRule.from_limit(ruleset("UK", date(2026, 6, 1)).limit("UK-CHILL-8"))


def test_the_day_is_the_sites_day():
    """23:30 UTC on 30 June is 00:30 on 1 July in London, and still 30 June in Chicago."""
    late = facts(cooked=datetime(2026, 6, 30, 23, 30, tzinfo=UTC))
    assert rule_days(COOK_CHILL, late, LONDON)[0] == date(2026, 7, 5)
    assert rule_days(COOK_CHILL, late, CHICAGO)[0] == date(2026, 7, 4)


def test_freezing_stops_and_thawing_resumes():
    """Cooked on the 1st, frozen on the 3rd: used 1, 2, 3; two days are left, the day of thawing first."""
    in_freezer = facts(frozen=(Frozen(at(3)),))
    assert rule_days(COOK_CHILL, in_freezer, LONDON) == (None, 2)
    found = life(in_freezer, [COOK_CHILL, TEN], OPEN, LONDON)
    assert (found.use_by, found.days_left, found.governed_by) == (None, 2, "cook-chill")
    thawed = facts(frozen=(Frozen(at(3), at(20)),))
    assert rule_days(COOK_CHILL, thawed, LONDON)[0] == date(2026, 6, 21)
    # Frozen and thawed within a day, or overnight: no whole day was frozen.
    for until in (at(3, 18), at(4, 6)):
        assert rule_days(COOK_CHILL, facts(frozen=(Frozen(at(3), until),)), LONDON)[0] == date(2026, 6, 5)
    twice = facts(frozen=(Frozen(at(2), at(10)), Frozen(at(11), at(20))))
    assert rule_days(COOK_CHILL, twice, LONDON)[0] == date(2026, 6, 20)
    # After the last day the freezer brings nothing back.
    assert rule_days(COOK_CHILL, facts(frozen=(Frozen(at(6), at(20)),)), LONDON)[0] == date(2026, 6, 5)
    # Frozen on the last day: nothing is left on the day of thawing.
    assert rule_days(COOK_CHILL, facts(frozen=(Frozen(at(5), at(20)),)), LONDON)[0] == date(2026, 6, 19)
    assert life(thawed, [TEN], OPEN, LONDON, thaw_days=1).use_by == date(2026, 6, 21)
    frozen_life = LifeRule("cook-freeze", 56, "freezing", 1, -18.0)
    kept = replace(in_freezer, starts={**in_freezer.starts, "freezing": at(3)})
    assert rule_days(frozen_life, kept, LONDON)[0] == date(2026, 7, 28)


def test_combined_bags_keep_the_oldest_date_and_the_worst_class():
    monday, wednesday = (
        facts(cooked=at(1), process=LifeClass.A),
        facts(cooked=at(3), frozen=(Frozen(at(4), at(9)),)),
    )
    both = combined([wednesday, monday])
    assert both.starts["cooking"] == at(1)
    assert both.process is LifeClass.B
    assert both.frozen == ()
    assert rule_days(COOK_CHILL, both, LONDON)[0] == date(2026, 6, 5)
    with pytest.raises(RangeError):
        combined([])


def test_no_date_behind_a_closed_gate():
    for change, words in (
        ({"cook": Outcome.UNPROVEN}, "cook"),
        ({"chill": Outcome.TO_REVIEW}, "chill"),
        ({"chill": Outcome.FAILS, "chill_signed": True}, "chill"),
        ({"seal_intact": False}, "seal"),
        ({"probes": Outcome.FAILS}, "probe"),
        ({"store_log_complete": False}, "log of the store"),
    ):
        found = life(facts(), [COOK_CHILL], replace(OPEN, **change), LONDON)
        assert found.use_by is None
        assert words in found.reasons[0]
    signed = replace(OPEN, chill=Outcome.TO_REVIEW, chill_signed=True)
    assert life(facts(), [COOK_CHILL], signed, LONDON).use_by == date(2026, 6, 5)


def test_class_and_terms():
    whole = {"sealed_before_cook": True, "opened": False, "long_life_met": True, "reference_met": True}
    assert LifeClass.of(**whole) is LifeClass.A
    assert LifeClass.of(**{**whole, "long_life_met": False}) is LifeClass.B
    assert LifeClass.of(**{**whole, "long_life_met": False, "reference_met": False}) is LifeClass.C
    assert LifeClass.of(**{**whole, "opened": True}) is LifeClass.C
    assert LifeClass.of(**{**whole, "sealed_before_cook": False}) is LifeClass.C
    keys = {process: {each.key for each in ending_terms(process)} for process in LifeClass}
    assert keys[LifeClass.A] == set()
    assert keys[LifeClass.B] == {"c_botulinum_store"}
    assert keys[LifeClass.C] == {"c_botulinum_store", "listeria_store"}
    assert not ending_terms(LifeClass.B, controlling_factor=True)


def test_the_lamb_of_the_worked_example():
    """Class B, ten days by rule; at 5 °C 8 days if the kitchen is stricter; class C ends by Listeria."""
    lamb = facts(cooked=at(1, 14))
    assert life(lamb, [TEN], OPEN, LONDON).use_by == date(2026, 6, 10)
    assert life(lamb, [TEN], OPEN, LONDON, stricter_store_c=3.0).use_by == date(2026, 6, 10)
    found = life(lamb, [TEN], OPEN, LONDON, stricter_store_c=5.0)
    assert (found.use_by, found.governed_by) == (date(2026, 6, 9), "c_botulinum_store")
    end, key = model_end(replace(lamb, process=LifeClass.C), 5.0)
    assert (end - at(1, 14)) / timedelta(days=1) == pytest.approx(4.4, abs=0.05)
    assert key == "listeria_store"
    # A model never lengthens a rule.
    assert life(lamb, [COOK_CHILL], OPEN, LONDON, stricter_store_c=4.0).use_by == date(2026, 6, 5)
    assert model_end(replace(lamb, process=LifeClass.A), 8.0) == (None, "")
    # Half of the share is gone: half the time is left, from now on.
    half, _ = model_end(lamb, 5.0, so_far={"c_botulinum_store": 0.5}, at=at(3))
    assert (half - at(3)) / timedelta(days=1) == pytest.approx(4.3, abs=0.05)
    gone, _ = model_end(lamb, 5.0, so_far={"c_botulinum_store": 1.2}, at=at(3))
    assert gone == at(3)


def test_model_days_stop_in_the_freezer():
    lamb = facts(cooked=at(1))
    end, _ = model_end(lamb, 5.0)
    later, _ = model_end(replace(lamb, frozen=(Frozen(at(3), at(13)),)), 5.0)
    assert later - end == timedelta(days=10)
    assert model_end(replace(lamb, frozen=(Frozen(at(3)),)), 5.0)[0] is None
    assert model_end(replace(lamb, frozen=(Frozen(at(20), at(25)),)), 5.0)[0] == end


def test_other_ends_of_a_life():
    assert life(facts(), [TEN], OPEN, LONDON, validated_days=7).use_by == date(2026, 6, 7)
    raw = facts(raw_use_by=date(2026, 6, 3))
    assert life(raw, [TEN], OPEN, LONDON, fully_cooked=False).use_by == date(2026, 6, 3)
    assert life(raw, [TEN], OPEN, LONDON).use_by == date(2026, 6, 10)
    assert [each.days for each in offered_rules(validated=False)] == [5, 3]
    assert [each.days for each in offered_rules(validated=True)] == [5, 5]
    assert len(cautions()) == 5


def test_a_date_moves_forward_and_never_back():
    warm_at = at(3, 18)
    assert moved_forward(date(2026, 6, 5), warm_at, LONDON) == date(2026, 6, 2)
    assert moved_forward(date(2026, 6, 5), None, LONDON) == date(2026, 6, 5)
    assert moved_forward(date(2026, 6, 2), at(20), LONDON) == date(2026, 6, 2)
    assert store_temperature(5.0) == store_temperature(5.0, 3.5) == 5.0
    assert store_temperature(5.0, 4.5) == 5.5


def test_days_are_days_on_the_wall_across_a_clock_change():
    """London, the night of 25 October 2026 has 25 hours. Cooked on the 24th, the fifth day is the 28th."""
    october = facts(cooked=datetime(2026, 10, 24, 12, tzinfo=LONDON))
    assert rule_days(COOK_CHILL, october, LONDON)[0] == date(2026, 10, 28)
    assert last_whole_day(datetime(2026, 10, 25, 23, 59, tzinfo=LONDON), LONDON) == date(2026, 10, 25)
    assert last_whole_day(datetime(2026, 10, 25, 23, 58, tzinfo=LONDON), LONDON) == date(2026, 10, 24)
    assert last_whole_day(at(1, 23), LONDON, ends=time(22, 0)) == date(2026, 6, 1)


def test_nonsense_is_refused():
    with pytest.raises(RangeError, match="log when that was"):
        rule_days(LifeRule("x", 5, "opening", 1), facts(), LONDON)
    with pytest.raises(RangeError, match="log when that was"):
        model_end(facts(), 5.0, begins="opening")
    with pytest.raises(RangeError):
        LifeRule("x", 0, "cooking", 1)
    with pytest.raises(RangeError, match="thaw before"):
        Frozen(at(3), at(2))
    with pytest.raises(RangeError, match="time zone"):
        facts(cooked=datetime(2026, 6, 1, 12))  # noqa: DTZ001
    with pytest.raises(RangeError, match="follow each other"):
        facts(frozen=(Frozen(at(3)), Frozen(at(5))))
    with pytest.raises(RangeError):
        life(facts(), [], OPEN, LONDON)
    with pytest.raises(RangeError):
        store_temperature(float("nan"))
    assert growth_model("listeria_store").fails.figure.value == 2.0
