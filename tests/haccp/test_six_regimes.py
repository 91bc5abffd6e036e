"""One batch under six regimes: where they disagree its outcomes do, and each finding names the right row.

What they disagree on is section 14 of the gathered record duties (cold hold, hot hold, reheat, cook, cooling,
chilled life, ambient service); the figures are those of the sources that each row cites. The batch is
made up so that it lies between them: chicken at 73 °C, cold 140 min after the bath, kept at 4.7 °C, brought
back to 76 °C on the sixth day, held hot at 61 °C. What it does not touch: test_where_regimes_differ.py.

                 UK            Scotland      Ireland      US, Food Code  Victoria      Canada
cook, 73 °C      70 °C 2 min   70 °C 2 min   70 °C 2 min  165 °F         70 °C 2 min   74 °C
cooling          90 min to 3   90 min to 3   150 min to 3 2 h + 6 h to 5 2 h + 4 h     2 h + 4 h to 4
cold, 4.7 °C     3 and 8 °C    3 °C          3 and 5 °C   41 °F          5 °C          4.4 °C
days, the sixth  5             5             5            7              5             none printed
reheat, 76 °C    70 °C 2 min   82 °C         70 °C        165 °F 15 s    75 °C         74 °C
hot, 61 °C       63, 2 h under more than 63  63, 2 h under 135 °F         60 °C         60 °C
out, 2.5 h cold  under 4 h     none printed  none printed 4 h            4 h           none printed
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from haccp.assess import assess
from haccp.limits import ruleset
from haccp.record import Assessment, BatchRecord, Finish, MediumLog, Outcome, ServiceStay, Stay, Step
from tests.haccp.kitchen_log import (
    BATH,
    DAY,
    METHOD,
    at,
    bag,
    batch,
    core,
    of,
    reading,
    rules,
    series,
    steady,
)

SIX = ("UK", "UK-SCT", "IE", "US-FDA", "AU-VIC", "CA")
MEETS, FAILS, REVIEW = Outcome.MEETS, Outcome.FAILS, Outcome.TO_REVIEW
SIXTH_DAY = 5 * 24 * 60.0 + 120.0

CHICKEN = replace(
    METHOD,
    dish="Chicken breast",
    material="poultry",
    attributes=frozenset({"poultry", "cook-chill"}),
    set_point_c=73.0,
    bath_min=90.0,
    chill_medium="blast_chiller",
    life_days=7,
)
LOGS = (
    replace(BATH, readings=steady(73.0, 90.0), set_point_c=73.0),
    MediumLog("chiller", "Chiller 1", "blast_chiller", steady(-1.0, 240.0, 10.0, 110.0)),
    MediumLog(
        "fridge",
        "Fridge 2",
        "fridge_air",
        series([(240 + 360.0 * n, 4.6 + 0.1 * (n % 2)) for n in range(22)], 0.1),
        interval_min=720.0,
    ),
)
HOT = bag(
    thickness_mm=22.0,
    cook=(Stay("bath", at(0), at(90)),),
    chill=(Stay("chiller", at(110), at(240)),),
    store=(Stay("fridge", at(241), at(SIXTH_DAY - 20)),),
    core_checks=(
        core(200, 19.0),
        core(230, 2.5),
        core(SIXTH_DAY, 76.0, Step.FINISH),
        core(SIXTH_DAY + 3, 76.2, Step.FINISH),
    ),
    finishes=(Finish("second cook", at(SIXTH_DAY - 15)), Finish("served", at(SIXTH_DAY + 60))),
    services=(
        ServiceStay(
            "hot hold",
            at(SIXTH_DAY + 4),
            at(SIXTH_DAY + 60),
            (reading(SIXTH_DAY + 10, 61.5), reading(SIXTH_DAY + 50, 61.0)),
        ),
    ),
)
OUT = replace(
    HOT,
    code="2",
    store=(Stay("fridge", at(241), at(2000)),),
    core_checks=HOT.core_checks[:2],
    finishes=(Finish("served", at(2150)),),
    services=(ServiceStay("ambient", at(2000), at(2150), words=frozenset({"served cold"})),),
)


def record(regime: str) -> BatchRecord:
    """The same batch, as a kitchen under this regime would have logged it."""
    return batch(HOT, OUT, regime=regime, seen=SIXTH_DAY + 600.0, method=CHICKEN, logs=LOGS)


@cache
def judged(regime: str) -> Assessment:
    return assess(record(regime), rules(regime))


# Of the bag that was served hot (1) or cold (2): rule, then for each regime the rows and what they say.
EXPECTED: dict[tuple[str, str], dict[str, dict[str, Outcome]]] = {
    ("1", "cook.hold"): {
        "UK": {"UK-COOK-FSA-70": MEETS},
        "UK-SCT": {"UK-COOK-FSA-70": MEETS},
        "IE": {"IE-COOK-70": MEETS},
        "US-FDA": {"USFDA-COOK-POULTRY-165F": FAILS},
        "AU-VIC": {"AU-CCH-70": MEETS},
        "CA": {"CA-COOK-POULTRY": FAILS},
    },
    ("1", "chill.stage"): {
        "UK": {"UK-CCH-COOL-1": FAILS},
        "UK-SCT": {"UK-CCH-COOL-1": FAILS},
        "IE": {"IE-CCH-COOL": MEETS},
        "US-FDA": {"USFDA-CCSV-COOL-1": MEETS, "USFDA-CCSV-COOL-2": MEETS},
        "AU-VIC": {"AU-COOL-1": MEETS, "AU-COOL-2": MEETS},
        "CA": {"CA-COOL-1": MEETS, "CA-COOL-2": MEETS},
    },
    ("1", "store.temperature"): {
        # Above its own 3 °C the cook-chill guidelines have tiers that say what becomes of the food.
        "UK": {"UK-CHILL-8": MEETS, "UK-CCH-STORE": REVIEW},
        "UK-SCT": {"UK-CCH-STORE": REVIEW},
        "IE": {"IE-CCH-STORE": FAILS, "IE-CHILL-5": MEETS},
        "US-FDA": {"USFDA-COLD-5": MEETS},
        "AU-VIC": {"AU-COLD-5": MEETS},
        "CA": {"CA-BBQ-4": FAILS},
    },
    ("1", "finish.reheat"): {
        "UK": {"UK-CCH-REHEAT": MEETS},
        "UK-SCT": {"UK-SC-REHEAT-82": REVIEW},
        "IE": {"IE-REHEAT-70": MEETS},
        "US-FDA": {"USFDA-REHEAT-74": MEETS},
        "AU-VIC": {"AU-CCH-REHEAT-75": MEETS},
        "CA": {"CA-REHEAT-74": MEETS},
    },
    ("1", "hot_hold.temperature"): {
        # Less than two hours below 63 °C are tolerated once in the United Kingdom; two hours in Ireland.
        "UK": {"UK-HOT-TOL-2H": REVIEW},
        "UK-SCT": {"UK-SC-HOT-63": FAILS},
        "IE": {"IE-HOT-2H": REVIEW},
        "US-FDA": {"USFDA-HOT-57": MEETS},
        "AU-VIC": {"AU-HOT-60": MEETS},
        "CA": {"CA-BBQ-60": MEETS},
    },
    ("2", "ambient.time"): {
        "UK": {"UK-CHILL-TOL-4H": MEETS},
        "US-FDA": {"USFDA-TPHC-4H": MEETS},
        "AU-VIC": {"AU-2H4H-3": MEETS},
    },
}


@pytest.mark.parametrize("regime", SIX)
@pytest.mark.parametrize(("code", "rule"), EXPECTED, ids=lambda each: str(each))
def test_each_regime_judges_by_its_own_row(code, rule, regime):
    found = [each for each in of(judged(regime), rule) if each.bag == code]
    assert {each.limit: each.outcome for each in found} == EXPECTED[code, rule].get(regime, {})


@pytest.mark.parametrize(
    ("regime", "last", "limit"),
    [
        ("UK", 7, "UK-CCH-LIFE"),
        ("UK-SCT", 7, "UK-CCH-LIFE"),
        ("IE", 7, "IE-CCH-LIFE"),
        ("US-FDA", 9, "USFDA-CCSV-7D"),
        ("AU-VIC", 7, "AUVIC-LIFE-5D"),
        ("CA", 9, None),
    ],
)
def test_five_days_or_seven_and_where_nothing_is_printed_the_days_of_the_method(regime, last, limit):
    """Cooked on 3 March, that day as day one: five days end on the 7th, seven on the 9th."""
    assert judged(regime).bags[0].use_by == DAY.replace(day=last)
    found = [each for each in of(judged(regime), "store.use_by") if each.bag == "1"]
    assert {each.limit for each in found} == {limit}
    assert {each.outcome for each in found} == {FAILS if last == 7 else MEETS}


def test_victoria_limits_the_time_below_60_and_the_others_do_not():
    for regime in SIX:
        rows = {each.limit for each in of(judged(regime), "cook.time_below")}
        assert rows == ({"AUVIC-55-60-6H"} if regime == "AU-VIC" else set())


@pytest.mark.parametrize("regime", SIX)
def test_every_row_that_a_finding_names_is_in_force_there(regime):
    known = {row.id for row in ruleset(regime, DAY).rows}
    assert {each.limit for each in judged(regime).all_findings} - {None} <= known
