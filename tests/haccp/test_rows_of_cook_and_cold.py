"""Every row on cook, chill, cold store, days and second cook: at its figure, just inside and just over.

The rows are read from the data of every regime, each judged alone, for a food with just the words that
trigger it; what they print comes from the sources that they cite. The other topics: test_rules_topics.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from haccp.case import Case
from haccp.days import life_of
from haccp.limits import Limit, all_limits
from haccp.record import Finding, Finish, Outcome, ServiceStay, Stay, Step
from haccp.rules.chill import check_stages
from haccp.rules.cook import HOLDS, check_hold
from haccp.rules.finish import check_reheat, check_use_by
from haccp.rules.low_cook import check_bath_hot_enough, check_time_below
from haccp.rules.put_away import check_into_store
from haccp.rules.store import check_temperature
from tests.haccp.kitchen_log import BATH, FRIDGE, at, core, drawn_case, series

SECOND = 1.0 / 60.0
MEETS = Outcome.MEETS
TOPICS = ("cook", "cool", "chill_store", "shelf_life", "reheat")
# What is judged elsewhere, or by nothing that a batch in a bag can show.
OTHERWISE = {
    "surface_temperature": "a surface that is seared is not in a bag",
    "heating_time": "food that is heated in part and cooked later",
    "log_reduction": "what a cook is to kill: a table or a competent person shows it",
    "log_increase": "what may grow in a chill: the growth rules (test_rules_growth)",
    "growth_log10": "what may grow in a come-up: the growth rules (test_rules_growth)",
    "air_temperature": "the air about eggs in their shells",
    "count": "what a laboratory finds (test_rules_topics)",
    "UK-CCH-5TO10": "a tier with a time (test_rules_store)",
    "USFDA-COOL-B": "food made of what stood warm never was in a bath",
    "USFDA-CCSV-30D-1": "the way to a store at 34 °F, in hours",
    "USFDA-CCSV-2009-72H": "an edition that is past, in hours",
    "USFDA-CCSV-SEAL": "food that is sealed after its cook never was in a bath",
    "USNYC-ROP-SEAL": "food that is sealed after its cook never was in a bath",
}


def alone(row: Limit, case: Case) -> Case:
    """The case under a ruleset that holds this row and no other."""
    return replace(case, ruleset=replace(case.ruleset, rows=(row,)))


def drawn(row: Limit, minutes: list[float], celsius: list[float], **changes: object) -> Case:
    """A bag of food that triggers the row, its core given outright."""
    words = row.applies | frozenset(sorted(row.any_of)[:1])
    regime = "UK"  # only tables are looked up in it; the rows are replaced
    case = drawn_case(minutes, celsius, regime=regime, attributes=words, **changes)
    assert row.triggered_by(case.words | words)
    return alone(row, case)


def rows(wanted: Callable[[Limit], bool]) -> list[Limit]:
    return [row for row in all_limits() if row.topic in TOPICS and _judged(row) and wanted(row)]


def _judged(row: Limit) -> bool:
    return row.value is not None and not row.advice and not {row.id, row.quantity} & OTHERWISE.keys()


def outcome(found: list[Finding], row: Limit) -> Outcome:
    [only] = [each for each in found if each.limit == row.id]
    return only.outcome


COOK = rows(lambda row: row.topic == "cook" and row.quantity in HOLDS)


@pytest.mark.parametrize("row", COOK, ids=lambda row: row.id)
def test_a_cook_row(row):
    hold_min, edge_c = (row.hold.seconds / 60.0 if row.hold else 0.0), row.amount.celsius

    def judged(celsius: float, minutes: float) -> Outcome:
        return outcome(check_hold(drawn(row, [0.0, max(minutes, SECOND)], [celsius, celsius])), row)

    assert judged(edge_c, hold_min) == MEETS
    assert judged(edge_c + 0.01, hold_min + SECOND) == MEETS
    assert judged(edge_c - 0.01, hold_min + SECOND) != MEETS
    if hold_min > SECOND:
        assert judged(edge_c + 0.01, hold_min - SECOND / 10.0) != MEETS


STAGES = rows(lambda row: row.topic == "cool" and row.end is not None and row.clock != "made")


def chilled(row: Limit, off_min: float) -> Outcome:
    """The core at the end of the stage so long after its clock began."""
    took = row.amount.seconds / 60.0 + off_min
    end_c, out, begun = row.end.celsius, 60.0, 70.0
    starts = {"bath out": out, "chill in": begun, "core": 61.0}[row.clock]
    first_c = row.start.celsius if row.start else 58.0
    chill = (Stay("slurry", at(61.0 if row.clock == "core" else begun), at(begun + took + 100)),)
    case = drawn(
        row,
        [0.0, out, starts + SECOND / 100 if starts == out else starts, starts + took, starts + took + 30],
        [first_c + 2, first_c + 2, first_c, end_c, end_c - 1],
        out_min=out,
        chill=chill,
        store=(),
    )
    return outcome(check_stages(case), row)


@pytest.mark.parametrize("row", STAGES, ids=lambda row: row.id)
def test_a_stage_of_the_chill(row):
    assert [chilled(row, off) for off in (-SECOND, 0.0, SECOND)] == [MEETS, MEETS, Outcome.FAILS]


@pytest.mark.parametrize(
    "row", rows(lambda row: row.event in ("chill in", "store in")), ids=lambda row: row.id
)
def test_into_the_chill_or_the_store_in_time(row):
    for off, wanted in ((-SECOND, MEETS), (0.0, MEETS), (SECOND, Outcome.FAILS)):
        then = 60.0 + row.amount.seconds / 60.0 + off
        stays = {"chill": (Stay("slurry", at(then), at(then + 60)),), "store": (Stay("fridge", at(then)),)}
        case = drawn(row, [0.0, 60.0, then + 90], [60.0, 60.0, 50.0], out_min=60.0, **stays)
        check = check_stages if row.event == "chill in" else check_into_store
        assert outcome(check(case), row) == wanted


COLD = rows(lambda row: row.topic in ("chill_store", "cool") and row.quantity == "food_temperature")


@pytest.mark.parametrize("row", COLD, ids=lambda row: row.id)
def test_the_cold_store(row):
    edge_c = (row.upper or row.amount).celsius

    def stored(celsius: float) -> list[Finding]:
        fridge = replace(FRIDGE, readings=series([(400.0, celsius), (500.0, celsius - 0.1)], 0.0))
        case = drawn(row, [0.0, 60.0], [60.0, 60.0], seen=600.0)
        logs = tuple(fridge if each.key == "fridge" else each for each in case.record.logs)
        return check_temperature(replace(case, record=replace(case.record, logs=logs)))

    # A tier that says from where on food is destroyed is not spoken of below it.
    met = [] if row.tier == "destroy" else [MEETS]
    assert [each.outcome for each in stored(edge_c)] == met
    assert [each.outcome for each in stored(edge_c - 0.01)] == met
    assert outcome(stored(edge_c + 0.01), row) == Outcome.FAILS


@pytest.mark.parametrize("row", rows(lambda row: row.quantity == "days"), ids=lambda row: row.id)
def test_the_days_of_a_life(row):
    """The day from which it counts is day one or day nought, as the row has it; all was on one day here."""
    for late, wanted in ((0, {MEETS}), (-1, {MEETS}), (1, {Outcome.FAILS})):
        days = int(row.amount.value) - row.first_day + late
        case = drawn(row, [0.0, 60.0], [60.0, 60.0], seen=1440.0 * 80)
        case = replace(case, record=replace(case.record, method=replace(case.record.method, life_days=0)))
        case = replace(case, bag=replace(case.bag, finishes=(Finish("served", at(1440.0 * days)),), store=()))
        assert life_of(case).use_by == case.record.day + timedelta(days=days - late)
        assert {each.outcome for each in check_use_by(case)} == wanted


@pytest.mark.parametrize(
    "row", rows(lambda row: row.topic == "reheat" and row.quantity in HOLDS), ids=lambda row: row.id
)
def test_the_second_cook(row):
    hold_min, edge_c = (row.hold.seconds / 60.0 if row.hold else 0.0), row.amount.celsius

    def reheated(celsius: float, minutes: float) -> Outcome:
        # Readings of one thing lie within two minutes, so a shorter hold is looked at over more.
        span = max(minutes, 2.0)
        checks = tuple(core(1490.0 + more, celsius, Step.FINISH, 0.0) for more in (0.0, span))
        done = {"core_checks": checks, "finishes": (Finish("second cook", at(1489)),)}
        case = drawn(row, [0.0, 60.0], [60.0, 60.0], seen=2000.0, **done)
        hot = (ServiceStay("hot hold", at(1495), at(1500)),) if "hot hold" in row.applies else ()
        return outcome(check_reheat(replace(case, bag=replace(case.bag, services=hot))), row)

    assert reheated(edge_c + 1e-9, hold_min) == MEETS
    assert reheated(edge_c + 0.01, hold_min + SECOND) == MEETS
    assert reheated(edge_c - 0.01, hold_min + SECOND) != MEETS
    if hold_min > 2.0:
        assert reheated(edge_c + 0.01, hold_min - SECOND) != MEETS


@pytest.mark.parametrize("row", rows(lambda row: row.clock == "bath in"), ids=lambda row: row.id)
def test_the_time_in_the_bath_below_a_temperature(row):
    allowed, end_c = row.amount.seconds / 60.0, row.end.celsius
    for off, wanted in ((-SECOND, MEETS), (0.0, MEETS), (SECOND, Outcome.FAILS)):
        case = drawn(row, [0.0, allowed + off, allowed + 60], [20.0, end_c, end_c + 1.0])
        assert outcome(check_time_below(case), row) == wanted


BATHS = rows(lambda row: row.topic == "cook" and row.quantity in ("bath_temperature", "food_temperature"))


@pytest.mark.parametrize("row", BATHS, ids=lambda row: row.id)
def test_the_bath_is_never_too_cool(row):
    edge_c = row.amount.celsius
    for set_c, wanted in ((edge_c, MEETS), (edge_c + 0.1, MEETS), (edge_c - 0.1, Outcome.FAILS)):
        bath = replace(BATH, set_point_c=set_c, readings=series([(0.0, edge_c + 0.2), (30.0, edge_c)]))
        case = drawn(row, [0.0, 60.0], [20.0, edge_c])
        case = replace(case, record=replace(case.record, logs=(bath, *case.record.logs[1:])))
        assert outcome(check_bath_hot_enough(case), row) == wanted
    sagged = replace(
        BATH, set_point_c=edge_c + 1.0, readings=series([(0.0, edge_c + 1), (30.0, edge_c - 0.01)])
    )
    case = replace(case, record=replace(case.record, logs=(sagged, *case.record.logs[1:])))
    assert outcome(check_bath_hot_enough(case), row) == Outcome.TO_REVIEW


def test_no_row_of_these_topics_is_left_out():
    every = {row.id for row in rows(lambda row: True)}
    timed = {row.id for row in rows(lambda row: row.clock in ("come-up", "store out", "bath in"))}
    kinds = {row.id for row in rows(lambda row: row.quantity in (*HOLDS, "food_temperature", "days"))}
    seen = (
        kinds
        | timed
        | {row.id for row in (*STAGES, *BATHS)}
        | {row.id for row in rows(lambda row: bool(row.event))}
    )
    assert every - seen == set()
    known = {row.id for row in all_limits()} | {row.quantity for row in all_limits()}
    assert OTHERWISE.keys() <= known
