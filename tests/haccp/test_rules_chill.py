"""The chill rule: stages of the FDA Food Code and of UK cook-chill at, just under and just over.

Sources: FDA Food Code 3-501.14 and 3-502.12(D)(2)(e), 135 °F to 70 °F in 2 h and to 41 °F in 6 h;
Department of Health, Guidelines on Cook-Chill and Cook-Freeze Catering Systems, 1989 (from memory):
begun within 30 min, 3 °C within 90 min more. The figures come from the data; the curves are given to
the second.
"""

from __future__ import annotations

import pytest

from haccp.record import Finish, Outcome, Stay
from haccp.rules.chill import check_stages
from tests.haccp.kitchen_log import at, core, drawn_case, of, outcomes, rules

SECOND = 1.0 / 60.0
US = [
    ("USFDA-CCSV-COOL-1", ("cook-chill",), 1),
    ("USFDA-CCSV-COOL-2", ("cook-chill",), 2),
    ("USFDA-COOL-A-1", ("chilled",), 1),
    ("USFDA-COOL-A-2", ("chilled",), 2),
]


def us_case(words, first_min: float, total_min: float, **changes: object):
    """A core at 60 °C until it leaves the bath at 60 min, and then at the end of each stage in time."""
    one, two = (rules("US-FDA").limit(f"USFDA-CCSV-COOL-{n}") for n in (1, 2))
    start, mid, end = one.start.celsius, one.end.celsius, two.end.celsius
    minutes = [0, 60, 61, 61 + first_min, 61 + total_min, 61 + total_min + 60]
    return drawn_case(
        minutes,
        [60, 60, start, mid, end, end - 1.0],
        regime="US-FDA",
        attributes=words,
        out_min=60,
        **changes,
    )


@pytest.mark.parametrize(("limit", "words", "stage"), US)
@pytest.mark.parametrize(
    ("off", "outcome"), [(-SECOND, Outcome.MEETS), (0.0, Outcome.MEETS), (SECOND, Outcome.FAILS)]
)
def test_the_food_code_stages_end_at_their_times(limit, words, stage, off, outcome):
    first, total = (120.0 + off, 300.0) if stage == 1 else (100.0, 360.0 + off)
    assert outcomes(check_stages(us_case(words, first, total)), "chill.stage", limit) == [outcome]


def test_time_saved_in_the_first_stage_may_be_used_in_the_second():
    found = check_stages(us_case(("cook-chill",), 30.0, 360.0))
    assert [each.outcome for each in of(found, "chill.stage")] == [Outcome.MEETS, Outcome.MEETS]


def uk_case(chill_min: float, begun_min: float = 10.0, **changes: object):
    """Out of the bath at 60 min, into the chill `begun_min` later, at 3 °C `chill_min` after that."""
    begun = 60.0 + begun_min
    stays = {"chill": (Stay("slurry", at(begun), at(begun + 200)),), "store": ()}
    return drawn_case(
        [0, 60, begun, begun + chill_min, begun + 200],
        [60, 60, 58, 3.0, 1.0],
        attributes={"cook-chill"},
        out_min=60,
        **(stays | changes),
    )


@pytest.mark.parametrize(
    ("off", "outcome"), [(-SECOND, Outcome.MEETS), (0.0, Outcome.MEETS), (SECOND, Outcome.FAILS)]
)
def test_uk_cook_chill_is_at_3_degrees_90_min_after_the_chill_began(off, outcome):
    assert outcomes(check_stages(uk_case(90.0 + off)), "chill.stage", "UK-CCH-COOL-1") == [outcome]


@pytest.mark.parametrize(
    ("off", "outcome"), [(-SECOND, Outcome.MEETS), (0.0, Outcome.MEETS), (SECOND, Outcome.FAILS)]
)
def test_uk_cook_chill_begins_30_min_after_the_bath(off, outcome):
    assert outcomes(check_stages(uk_case(60.0, 30.0 + off)), "chill.begun", "UK-CCH-COOL-0") == [outcome]


@pytest.mark.parametrize(
    ("off", "outcome"), [(-SECOND, Outcome.MEETS), (0.0, Outcome.MEETS), (SECOND, Outcome.FAILS)]
)
def test_uk_caterers_without_cook_chill_have_90_min_from_the_bath_to_8_degrees(off, outcome):
    case = drawn_case([0, 60, 150 + off, 300], [60, 60, 8.0, 2.0], attributes={"chilled"}, out_min=60)
    assert outcomes(check_stages(case), "chill.stage", "UK-COOL-90MIN") == [outcome]
    assert of(check_stages(case), "chill.stage", "UK-CCH-COOL-1") == []


def test_a_missed_stage_says_how_much_too_slow():
    [found] = of(check_stages(uk_case(115.0)), "chill.stage")
    assert found.outcome == Outcome.FAILS
    assert found.since == at(70 + 90)
    assert "at least 12.0 °C too warm, proven" in found.sentence  # 58 − 55 × 90/115 = 14.96 °C
    assert "115 min: 25 min too slow" in found.sentence


def test_a_stage_that_is_running_says_until_when():
    case = drawn_case(
        [0, 60, 70, 100],
        [60, 60, 58, 20],
        attributes={"cook-chill"},
        out_min=60,
        chill=(Stay("slurry", at(70)),),
        store=(),
    )
    [found] = of(check_stages(case), "chill.stage")
    assert found.outcome == Outcome.UNPROVEN
    assert found.remedy_by == at(160)
    assert "must be at 3 °C or below by 12:40" in found.sentence


def test_nothing_is_said_of_a_chill_before_the_bag_is_out():
    case = drawn_case([0, 60], [60, 60], attributes={"cook-chill"}, out_min=60)
    assert case.out_at is not None
    from dataclasses import replace

    still_in = replace(case, heat=replace(case.heat, course=replace(case.heat.course, out_at=None)))
    assert check_stages(still_in) == []


def test_a_bag_eaten_before_its_chill_was_due_needs_none():
    served = (Finish("served", at(75)),)
    case = drawn_case(
        [0, 60, 75], [60, 60, 58], attributes={"cook-chill"}, out_min=60, chill=(), store=(), finishes=served
    )
    assert check_stages(case) == []


def test_a_bag_that_was_never_chilled_fails_when_its_time_is_over():
    lies = {"chill": (), "store": ()}
    waiting = drawn_case([0, 60, 89], [60, 60, 50], attributes={"cook-chill"}, out_min=60, **lies)
    [begun] = of(check_stages(waiting), "chill.begun")
    assert (begun.outcome, begun.remedy_by) == (Outcome.UNPROVEN, at(90))
    late = drawn_case([0, 60, 200], [60, 60, 30], attributes={"cook-chill"}, out_min=60, **lies)
    assert outcomes(check_stages(late), "chill.begun") == [Outcome.FAILS]
    assert outcomes(check_stages(late), "chill.stage") == [Outcome.FAILS]


# -- by core readings ---------------------------------------------------------------------------

OPEN = {"low": [60, 60, 58, 0.0, 0.0], "high": [60, 60, 58, 12.0, 12.0]}


@pytest.mark.parametrize(
    ("minutes", "celsius", "outcome"),
    [
        (160.0, 2.8, Outcome.MEETS),  # 2.8 and 0.2 are 3.0: on the limit, in its last second
        (160.0, 2.9, Outcome.UNPROVEN),  # the probe may be 0.2 out
        (160.0 + SECOND, 2.8, Outcome.UNPROVEN),  # too late to prove it
        (150.0, 5.0, Outcome.UNPROVEN),  # before the end it proves nothing about the end
        (165.0, 3.3, Outcome.FAILS),  # warm after the end, whatever the probe
        (165.0, 3.1, Outcome.UNPROVEN),
    ],
)
def test_a_core_reading_proves_only_what_it_can(minutes, celsius, outcome):
    case = uk_case(60.0, core_checks=(core(minutes, celsius),), **OPEN)
    assert outcomes(check_stages(case), "chill.stage") == [outcome]


def test_of_several_readings_of_one_moment_the_warmest_counts():
    checks = (core(150, 2.0), core(151, 4.0))
    case = uk_case(60.0, core_checks=checks, **OPEN)
    assert outcomes(check_stages(case), "chill.stage") == [Outcome.UNPROVEN]


def test_an_untrusted_reading_proves_nothing():
    from dataclasses import replace

    good = core(150, 1.0)
    bad = replace(good, reading=replace(good.reading, trusted=False))
    assert outcomes(check_stages(uk_case(60.0, core_checks=(good,), **OPEN)), "chill.stage") == [
        Outcome.MEETS
    ]
    assert outcomes(check_stages(uk_case(60.0, core_checks=(bad,), **OPEN)), "chill.stage") == [
        Outcome.UNPROVEN
    ]
