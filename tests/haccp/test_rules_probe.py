"""Probe checks at, under and over the printed bands, moved with the boiling point at altitude.

Sources: FSA guidance for small caterers (−1 to 1 °C in ice, 99 to 101 °C in boiling water: from memory);
FDA Food Code 4-203.11 (± 1 °C). Boiling point at 1500 m in the standard atmosphere: 95.0 °C (steam tables).
"""

from __future__ import annotations

import pytest

from haccp.record import ProbeCheck
from haccp.rules.probe import check_failed, check_interval, judge_probe_check
from tests.haccp.kitchen_log import at, batch, rules


@pytest.mark.parametrize("regime", ["UK", "US-FDA"])
@pytest.mark.parametrize(
    ("medium", "celsius", "passed"),
    [
        ("ice", -1.01, False),
        ("ice", -1.0, True),
        ("ice", 1.0, True),
        ("ice", 1.01, False),
        ("boiling", 98.9, False),
        ("boiling", 99.1, True),
        ("boiling", 100.9, True),
        ("boiling", 101.1, False),
    ],
)
def test_a_check_at_under_and_over_its_band(regime, medium, celsius, passed):
    verdict = judge_probe_check(medium, celsius, 0.0, rules(regime))
    assert verdict.passed == passed
    assert verdict.limit is not None
    assert verdict.sentence.endswith("passed." if passed else "put right.")


@pytest.mark.parametrize(
    ("celsius", "passed"), [(93.8, False), (94.2, True), (95.8, True), (96.2, False), (99.5, False)]
)
def test_the_band_in_boiling_water_moves_with_the_altitude(celsius, passed):
    assert judge_probe_check("boiling", celsius, 1500.0, rules()).passed == passed
    assert judge_probe_check("ice", 0.4, 1500.0, rules()).passed


def test_a_batch_without_untrusted_readings_has_no_finding_on_failed_checks():
    other = ProbeCheck("P9", at(10), "ice", 5.0)
    assert check_failed(batch(probe_checks=(other,)), rules()) == []


def test_a_regime_without_an_interval_asks_for_none():
    assert check_interval(batch(probe_checks=(), regime="US-FDA"), rules("US-FDA")) == []
