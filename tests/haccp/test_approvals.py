"""Approved figures in place of printed ones. Own reasoning, no source: approvals are the authority's."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from haccp.approvals import amended, covering, fits, looser, said_of
from haccp.facts import Allowance, Approval
from haccp.limits import ruleset

DAY = date(2026, 11, 25)
UK = ruleset("UK", DAY)
COLD = "UK-CHILL-8"


def approval(limit: str = COLD, day: date = date(2026, 1, 1), until: date | None = None, **allowed: float):
    return Approval(
        authority="the council", reference="EH/1", day=day, until=until, allows=(Allowance(limit, **allowed),)
    )


def covered(*approvals: Approval, on: date = DAY, words: frozenset[str] = frozenset({"poultry"})):
    return covering(UK, approvals, words=words, dish="Any", on=on)


def test_an_approved_figure_stands_under_the_limit_of_its_own_id():
    rules = amended(UK, covered(approval(value=9.0)))
    assert rules.limit(COLD).value == 9
    assert UK.limit(COLD).value == Fraction(8)
    assert rules.digest != UK.digest


def test_the_newest_of_two_counts_and_none_outside_its_days():
    old, new = approval(value=9.0), approval(day=date(2026, 6, 1), value=8.5)
    assert covered(new, old)[COLD][1].value == 8.5
    assert covered(new, old, on=date(2026, 3, 1))[COLD][1].value == 9.0
    assert covered(approval(until=date(2026, 11, 24), value=9.0)) == {}
    assert covered(approval(until=DAY, value=9.0)) != {}


@pytest.mark.parametrize("allowed", [{"hold": 5.0}, {"value": float("nan")}, {"value": float("inf")}])
def test_a_figure_that_the_limit_does_not_print_covers_nothing(allowed):
    assert not fits(UK.limit(COLD), Allowance(COLD, **allowed))
    assert covered(approval(**allowed)) == {}
    assert amended(UK, {}) is UK


def test_looser_is_told_from_stricter_on_both_sides_of_an_operator():
    assert looser(UK.limit(COLD), Allowance(COLD, value=8.1))
    assert not looser(UK.limit(COLD), Allowance(COLD, value=7.9))
    hot = UK.limit("UK-HOT-63")
    assert looser(hot, Allowance(hot.id, value=62.9))
    assert not looser(hot, Allowance(hot.id, value=63.1))
    held = next(row for row in UK.limits("cook", {"sealed"}) if row.hold is not None and row.hold.value)
    assert looser(held, Allowance(held.id, hold=float(held.hold.value) / 2))
    assert looser(held, Allowance(held.id))


def test_it_says_whose_word_it_is_and_until_when():
    words = said_of(approval(until=date(2027, 1, 31), value=9.0))
    assert "the council" in words
    assert "EH/1" in words
    assert "31 January 2027" in words
