"""The second cook against the reheating rows, and what a use-by rests on.

Sources: Department of Health cook-chill guidelines, 1989 (70 °C for 2 min: from memory); FDA Food Code
3-403.11 (165 °F for 15 s where food is reheated for hot holding).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from haccp.assess import assess
from haccp.case import Case
from haccp.days import first_days, life_of
from haccp.heat import BagHeat
from haccp.record import Finish, MediumLog, Outcome, Stay, Step
from haccp.rules.finish import check_reheat, check_use_by
from tests.haccp.kitchen_log import DAY, METHOD, at, bag, batch, core, of, reading, rules


def case(regime: str = "UK", **changes: object) -> Case:
    """A case without heat: these rules look at the record alone."""
    record = batch(bag(**changes), regime=regime, seen=5000)
    return Case(
        record=record, ruleset=rules(regime), bag=record.bags[0], heat=BagHeat(None, None, None, None, ())
    )


SECOND = (Finish("second cook", at(1500)),)


def reheated(*readings: tuple[float, float], regime: str = "UK", words: tuple[str, ...] = ()):
    """A bag whose core was read so in its second cook, minutes and °C."""
    checks = tuple(core(minutes, celsius, Step.FINISH) for minutes, celsius in readings)
    one = case(regime, finishes=SECOND, core_checks=checks)
    method = replace(one.record.method, attributes=one.record.method.attributes | set(words))
    return check_reheat(replace(one, record=replace(one.record, method=method)))


@pytest.mark.parametrize(
    ("celsius", "outcome"),
    [
        (70.2, Outcome.UNPROVEN),  # less the probe's 0.2 it is 70.0: reached, but 2 min are asked
        (70.1, Outcome.UNPROVEN),
        (70.0, Outcome.UNPROVEN),
        (69.9, Outcome.TO_REVIEW),
        (95.0, Outcome.UNPROVEN),
    ],
)
def test_one_reading_proves_a_temperature_and_no_hold(celsius, outcome):
    [found] = reheated((1490, celsius))
    assert (found.outcome, found.limit) == (outcome, "UK-CCH-REHEAT")
    assert (found.remedy is not None) == (outcome == Outcome.UNPROVEN)


@pytest.mark.parametrize(
    ("readings", "outcome"),
    [
        ([(1488, 71.0), (1490, 70.2)], Outcome.MEETS),  # two minutes, both at 70 less the probe's 0.2
        ([(1488, 71.0), (1490, 70.1)], Outcome.UNPROVEN),
        ([(1488.1, 71.0), (1490, 71.0)], Outcome.UNPROVEN),  # not two minutes
        ([(1484, 72.0), (1487, 69.0), (1490, 72.0)], Outcome.UNPROVEN),  # fell in between
        ([(1484, 66.0), (1487, 71.0), (1490, 71.0)], Outcome.MEETS),  # heated on since
        ([(1484, 72.0), (1487, 72.0), (1495, 66.0)], Outcome.MEETS),  # held, and then dished up
    ],
)
def test_two_readings_prove_a_hold_if_they_span_it(readings, outcome):
    [found] = reheated(*readings)
    assert found.outcome == outcome
    assert ("read the core again" in (found.remedy or "")) == (outcome == Outcome.UNPROVEN)


def test_a_row_that_asks_for_no_hold_is_met_by_one_reading():
    """Food Code 3-403.11(C): 135 °F for food of a processing plant in its intact pack, and no time."""
    [found] = reheated((1490, 57.5), regime="US-FDA", words=("commercially processed",))
    assert (found.outcome, found.limit) == (Outcome.MEETS, "USFDA-REHEAT-COMM")
    # Together with the row for hot holding (165 °F for 15 s) the cooler row lifts nothing.
    [found] = reheated((1490, 75.0), regime="US-FDA", words=("commercially processed", "hot hold"))
    assert found.outcome == Outcome.UNPROVEN


def test_of_several_readings_of_one_moment_the_lowest_counts():
    [found] = reheated((1489, 66.0), (1490, 80.0))
    assert found.outcome == Outcome.TO_REVIEW
    assert found.measured == "66.0 °C"


def test_a_bag_served_cold_or_not_measured_has_no_finding_on_reheating():
    assert check_reheat(case(finishes=(Finish("served", at(1500)),))) == []
    assert check_reheat(case(finishes=SECOND, core_checks=())) == []


def test_the_food_code_asks_for_reheating_only_where_food_is_held_hot():
    """3-403.10: food that was cooked and chilled may be served at any temperature at once."""
    assert check_reheat(case("US-FDA", finishes=SECOND, core_checks=(core(1490, 50.0, Step.FINISH),))) == []


def frozen_bag(seen: float, *more: Stay):
    """Sealed and cooked on day 1, in the freezer from day 3 on."""
    day = 1440.0
    freezer = MediumLog("freezer", "Freezer 1", "fridge_air", (reading(2 * day, -20.0),), freezer=True)
    usual = batch()
    stays = (Stay("fridge", at(332), at(2 * day)), Stay("freezer", at(2 * day)), *more)
    record = batch(
        bag(store=stays),
        seen=seen,
        logs=(*usual.logs, freezer),
        method=replace(usual.method, attributes=frozenset({"whole muscle", "cook-chill"}), life_days=0),
    )
    heat = BagHeat(None, None, None, None, ())
    return Case(record=record, ruleset=rules(), bag=record.bags[0], heat=heat)


def test_freezing_stops_the_count_and_thawing_resumes_it():
    """Five days by the cook-chill guidelines (from memory): 1, 2 and 3 are used, two are left after a month.

    The careless reading counts on in the freezer, or starts anew with thawing.
    """
    day = 1440.0
    inside = life_of(frozen_bag(30 * day))
    assert inside is not None
    assert (inside.use_by, inside.days_left) == (None, 2)
    [found] = check_use_by(frozen_bag(30 * day))
    assert found.outcome == Outcome.MEETS
    assert "2 days left" in found.sentence
    thawed = frozen_bag(30 * day + 60.0, Stay("fridge", at(30 * day)))
    life = life_of(thawed)
    assert life is not None
    # Thawed on 2 April, 30 days after the cook: that day and the next are the last two.
    assert life.use_by == DAY + timedelta(days=31)
    assert [each.outcome for each in check_use_by(thawed)] == [Outcome.MEETS]
    late = frozen_bag(33 * day, Stay("fridge", at(30 * day)))
    assert [each.outcome for each in check_use_by(late)] == [Outcome.FAILS]


def test_without_a_logged_sealing_the_earliest_day_known_counts():
    unsealed = case(sealed_at=None)
    assert set(first_days(unsealed)) == {"cooking"}
    facts = replace(unsealed.record.method, attributes=frozenset({"whole muscle"}), life_days=30)
    plain = replace(unsealed, record=replace(unsealed.record, method=facts))
    life = life_of(plain)
    assert life is not None
    assert life.use_by == DAY + timedelta(days=9)
    assert life_of(case(sealed_at=None, cook=())) is None


# -- a method that keeps nothing ------------------------------------------------------------------------


def kept(days: float, life: int = 0, **changes: object):
    """The findings on a bag of a method without cook-chill that is here so many days after its cook."""
    method = replace(METHOD, attributes=frozenset({"whole muscle"}), life_days=life, chill_medium=None)
    record = batch(bag(**changes), seen=days * 1440.0, method=method)
    return of(assess(record, rules()), "store.days")


def test_a_method_without_days_keeps_no_bag_over_night():
    """Own judgement: where nobody wrote a life into the method, none is proven."""
    assert kept(0.5) == []
    [found] = kept(3.0)
    assert found.outcome == Outcome.UNPROVEN
    assert "3 days later the record still has bag 1 in a fridge" in found.sentence
    assert found.remedy is not None
    assert kept(3.0, life=5) == []
    assert "1 day later the record" in kept(1.0)[0].sentence


def test_a_bag_that_left_the_bath_and_is_heard_of_no_more_is_unproven():
    [found] = kept(2.0, chill=(), store=(), core_checks=())
    assert found.outcome == Outcome.UNPROVEN
    assert "nothing in the record says what became of bag 1" in found.sentence


def test_a_bag_gone_on_its_day_or_discarded_later_has_no_such_finding():
    assert kept(9.0, finishes=(Finish("served", at(400)),)) == []
    assert kept(9.0, finishes=(Finish("discarded", at(4000)),)) == []
    [found] = kept(9.0, finishes=(Finish("served", at(3000)),))
    assert "bag 1 was kept 2 days longer" in found.sentence
