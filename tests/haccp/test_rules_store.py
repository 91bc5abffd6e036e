"""The store and the days: fridge readings against every limit, use-by as each row counts it.

Sources: Food Hygiene Regulations, Schedule 4 (8 °C); Department of Health cook-chill guidelines, 1989
(0 to 3 °C, 12 h between 5 and 10 °C, destroy above 10 °C, five days with cook and eating: from memory);
FDA Food Code 3-501.16, 3-501.17 and 3-502.12(D) (41 °F, 7 days); FSA guidance on vacuum-packed chilled
food (10 days).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from haccp.assess import assess
from haccp.record import Finish, Outcome, Stay
from tests.haccp.kitchen_log import FRIDGE, METHOD, at, bag, batch, of, outcomes, reading, rules, series

DAYS = 24 * 60.0


def fridge(*values: tuple[float, float], tolerance_k: float = 0.2):
    """The fridge's log with these readings, minutes and °C."""
    return replace(FRIDGE, readings=series(values, tolerance_k))


def stored(
    *values: tuple[float, float], regime: str = "UK", words=("cook-chill",), seen: float = 700.0, **changes
):
    """A bag in a fridge that was read so, assessed."""
    usual = batch()
    record = batch(
        bag(**changes),
        regime=regime,
        seen=seen,
        logs=(*usual.logs[:2], fridge(*values)),
        method=replace(METHOD, attributes=frozenset({"whole muscle", *words})),
    )
    return assess(record, rules(regime))


@pytest.mark.parametrize(
    ("regime", "words", "limit", "celsius", "outcome"),
    [
        ("UK", (), "UK-CHILL-8", 7.8, Outcome.MEETS),  # 7.8 and the probe's 0.2 are 8.0
        ("UK", (), "UK-CHILL-8", 7.9, Outcome.UNPROVEN),
        ("UK", (), "UK-CHILL-8", 8.0, Outcome.UNPROVEN),
        ("UK", (), "UK-CHILL-8", 8.1, Outcome.FAILS),
        ("UK", ("cook-chill",), "UK-CCH-STORE", 2.8, Outcome.MEETS),
        ("UK", ("cook-chill",), "UK-CCH-STORE", 3.0, Outcome.UNPROVEN),
        ("UK", ("cook-chill",), "UK-CCH-STORE", 3.1, Outcome.TO_REVIEW),
        ("UK", ("cook-chill",), "UK-CCH-10", 10.0, Outcome.UNPROVEN),
        ("UK", ("cook-chill",), "UK-CCH-10", 10.1, Outcome.FAILS),
        ("US-FDA", ("cook-chill",), "USFDA-COLD-5", 4.8, Outcome.MEETS),  # 5.0 °C is 41 °F
        ("US-FDA", ("cook-chill",), "USFDA-COLD-5", 4.9, Outcome.UNPROVEN),
        ("US-FDA", ("cook-chill",), "USFDA-COLD-5", 5.1, Outcome.FAILS),
    ],
)
def test_a_reading_at_under_and_over_a_store_limit(regime, words, limit, celsius, outcome):
    found = stored((400, 1.0), (500, celsius), regime=regime, words=words)
    assert outcomes(found, "store.temperature", limit) == [outcome]


@pytest.mark.parametrize(("celsius", "outcome"), [(5.0, []), (5.1, [Outcome.TO_REVIEW])])
def test_food_above_5_degrees_is_eaten_within_12_hours(celsius, outcome):
    found = stored((400, 1.0), (500, celsius), (600, 1.0))
    assert outcomes(found, "store.eat_within") == outcome
    if outcome:
        [one] = of(found, "store.eat_within")
        # An outage lasts from the last good reading before it, not from when it was found.
        assert one.since == at(400)
        assert one.remedy_by == at(400 + 720)


def test_the_12_hours_are_hours_on_the_absolute_clock():
    """London goes from 01:00 to 02:00 on 29 March 2026: 12 h from 20:00 on the 28th end at 09:00."""
    night = 25 * 1440.0 + 600.0
    found = stored((400, 1.0), (night, 1.0), (night + 60, 6.0), (night + 90, 1.0), seen=night + 100)
    [one] = of(found, "store.eat_within")
    assert one.since == at(night)
    assert one.remedy_by == at(night + 720)
    assert "09:00" in str(one.remedy)


def test_food_that_stayed_after_its_12_hours_fails_and_eaten_within_them_is_reviewed():
    values = [(400, 1.0), (500, 6.0), (600, 1.0)]
    assert outcomes(stored(*values, seen=400 + 721), "store.eat_within") == [Outcome.FAILS]
    eaten = (Finish("served", at(400 + 719)),)
    assert outcomes(stored(*values, seen=3000, finishes=eaten), "store.eat_within") == [Outcome.TO_REVIEW]
    too_late = (Finish("served", at(400 + 721)),)
    assert outcomes(stored(*values, seen=3000, finishes=too_late), "store.eat_within") == [Outcome.FAILS]


def test_a_fridge_that_was_never_read_is_unproven_once_a_reading_was_due():
    assert outcomes(stored(seen=332 + 719), "store.readings") == []
    assert outcomes(stored(seen=332 + 721), "store.readings") == [Outcome.UNPROVEN]
    assert outcomes(stored((400, 1.0), seen=332 + 721), "store.readings") == []


def test_each_whole_day_in_the_fridge_needs_its_two_readings():
    start = [(400, 1.0), (800, 1.0)]
    both = [*start, (400 + DAYS, 1.0), (800 + DAYS, 1.0)]
    seen = 500 + 2 * DAYS
    assert outcomes(stored(*both, seen=seen), "store.readings") == []
    assert outcomes(stored(*both[:3], seen=seen), "store.readings") == [Outcome.UNPROVEN]


def test_readings_of_an_untrusted_probe_are_no_readings():
    bad = replace(FRIDGE, readings=tuple(replace(reading(m, 1.0), trusted=False) for m in (400, 700)))
    usual = batch()
    record = batch(seen=332 + 721, logs=(*usual.logs[:2], bad))
    found = assess(record, rules())
    [one] = of(found, "store.readings")
    assert one.outcome == Outcome.UNPROVEN
    assert "failed its check" in one.sentence


def test_a_bag_that_left_the_chill_and_went_nowhere_is_unproven():
    assert outcomes(stored(store=()), "store.place") == [Outcome.UNPROVEN]
    assert outcomes(stored(store=(), chill=(Stay("slurry", at(245)),)), "store.place") == []


# -- days --------------------------------------------------------------------------------------


def use_by(regime: str = "UK", words=("cook-chill",), life: int = 30, **changes):
    """The use-by of a bag cooked on Tuesday 3 March 2026."""
    method = replace(METHOD, attributes=frozenset({"whole muscle", *words}), life_days=life)
    [one] = assess(batch(bag(**changes), regime=regime, method=method), rules(regime)).bags
    return one.use_by


def test_five_days_with_the_day_of_cooking_and_the_day_of_eating_end_on_the_fifth():
    assert use_by() == date(2026, 3, 7)


def test_ten_days_count_from_the_first_sealing_also_where_the_cook_was_later():
    """Life counts from the first sealing; a bag that was sealed the day before has a day less."""
    assert use_by(words=()) == date(2026, 3, 12)
    day_before = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
    assert use_by(words=(), sealed_at=day_before) == date(2026, 3, 11)


def test_seven_days_of_the_food_code_count_the_day_of_preparation_as_day_one():
    assert use_by("US-FDA") == date(2026, 3, 9)


def test_the_method_may_be_stricter_and_never_longer():
    assert use_by(life=3) == date(2026, 3, 5)
    assert use_by(life=9) == date(2026, 3, 7)


def test_the_day_is_the_day_at_the_site():
    """A cook that begins at 23:30 UTC in summer begins on the next day in London."""
    late = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)
    record = batch(bag(cook=(Stay("bath", late),), chill=(), store=(), sealed_at=late))
    record = replace(record, seen_at=late.replace(minute=50), day=date(2026, 7, 2))
    assert assess(record, rules()).bags[0].use_by == date(2026, 7, 6)


@pytest.mark.parametrize(
    ("moment", "outcome"),
    [
        (datetime(2026, 3, 7, 23, 59, tzinfo=UTC), Outcome.MEETS),
        (datetime(2026, 3, 8, 0, 1, tzinfo=UTC), Outcome.FAILS),
    ],
)
def test_a_bag_is_in_date_to_the_end_of_its_last_day(moment, outcome):
    here = replace(batch(), seen_at=moment)
    assert outcomes(assess(here, rules()), "store.use_by") == [outcome]
    gone = batch(bag(finishes=(Finish("served", moment),)))
    gone = replace(gone, seen_at=datetime(2026, 3, 20, tzinfo=UTC))
    assert outcomes(assess(gone, rules()), "store.use_by") == [outcome]


def test_a_bag_discarded_after_its_use_by_did_no_harm():
    gone = batch(bag(finishes=(Finish("discarded", datetime(2026, 3, 9, tzinfo=UTC)),)))
    gone = replace(gone, seen_at=datetime(2026, 3, 20, tzinfo=UTC))
    assert outcomes(assess(gone, rules()), "store.use_by") == [Outcome.MEETS]


def test_a_label_may_not_be_longer_than_the_life():
    assert outcomes(assess(batch(bag(use_by=date(2026, 3, 7))), rules()), "store.label") == []
    assert outcomes(assess(batch(bag(use_by=date(2026, 3, 8))), rules()), "store.label") == [
        Outcome.TO_REVIEW
    ]


def test_a_bag_served_although_its_cook_failed_is_found():
    short = bag(cook=(Stay("bath", at(0), at(60)),), finishes=(Finish("served", at(500)),), start_c=4.0)
    found = assess(batch(short, seen=700), rules())
    assert outcomes(found, "finish.served") == [Outcome.FAILS]
    good = bag(finishes=(Finish("served", at(500)),))
    assert of(assess(batch(good, seen=700), rules()), "finish.served") == []
