"""`manage.py ruleset`: what changed between two states of the law, and which methods it touches."""

from __future__ import annotations

from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from kitchen.people.actions import change_regime

pytestmark = pytest.mark.usefixtures("on_time")


def told(*arguments: str) -> str:
    out = StringIO()
    call_command("ruleset", *arguments, stdout=out)
    return out.getvalue()


def test_it_says_what_is_in_force_at_each_site(factory):
    said = told()
    assert "Test kitchen: United Kingdom (UK) on 2026-11-16" in said
    assert "Elsewhere: United Kingdom (UK)" in said
    assert "Elsewhere" not in told("--site", "test-kitchen")


def test_two_days_of_one_site(factory):
    factory.method(dish="Chicken breast")
    said = told("--diff", "2005-12-31", "2006-01-01", "--site", "test-kitchen")
    # Food hygiene law of 2006: 8 °C cold, 63 °C hot.
    assert "UK-CHILL-8: not in force → at most 8 °C" in said
    assert "UK-HOT-63: not in force → at least 63 °C" in said
    assert "1 open method is touched" in said
    assert "Chicken breast, version 1: " in said


def test_a_change_of_regime_shows_between_two_days(factory):
    day = date(2026, 11, 20)
    change_regime(regime="UK-SCT", from_day=day, reason="North.", hand=factory.hand(factory.chef))
    said = told("--diff", str(day - timedelta(days=1)), str(day), "--site", "test-kitchen")
    assert "UK on 2026-11-19 to UK-SCT on 2026-11-20" in said
    # Scotland: food heated in the business and reheated, 82 °C.
    assert "UK-SC-REHEAT-82: not in force → at least 82 °C" in said
    assert "no open method is touched" in said


def test_two_regimes_and_what_a_method_would_fail_there(factory):
    factory.method(dish="Chicken breast")
    said = told("--diff", "UK@2026-11-16", "US-FDA@2026-11-16")
    assert "UK on 2026-11-16 to US-FDA on 2026-11-16" in said
    assert "Chicken breast, version 1: " in said
    assert "would fail: " in said
    assert "Elsewhere: no open method is touched." in said


def test_a_day_beside_a_regime_takes_that_regime(factory):
    assert "UK on 2005-12-31 to UK on 2026-11-16" in told("--diff", "2005-12-31", "UK@2026-11-16")


def test_nothing_changed_is_said_as_nothing(factory):
    assert "0 of " in told("--diff", "2026-11-15", "2026-11-16")


def test_one_limit_is_explained(db):
    said = told("--explain", "UK-CHILL-8")
    assert said.startswith("UK-CHILL-8: ")
    assert "(law)" in said


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("--diff", "yesterday", "2026-11-16"), "neither a day"),
        (("--diff", "XX@2026-11-16", "2026-11-16"), "XX"),
        (("--explain", "FSA-60"), "UK-COOK-FSA-60"),
        (("--site", "nowhere"), "no site nowhere"),
    ],
)
def test_what_is_not_there_is_named(db, arguments, why):
    with pytest.raises(CommandError, match=why):
        told(*arguments)
