"""A row of a limits file, and each way in which it can be wrong: told with its file and its row."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from haccp.datafiles import load
from haccp.errors import DataError
from haccp.limitparse import parse_limit

ROW = next(row for row in load("uk")["limit"] if row["id"] == "UK-CHILL-8")


def parse(**changes):
    return parse_limit({**ROW, **changes}, "UK", "haccp/data/uk.toml", 7)


def test_a_row_keeps_its_figure_exactly():
    """Food Hygiene Regulations, Schedule 4: 8 °C."""
    assert parse().value == Fraction(8)
    assert parse(value=8.1).value == Fraction(81, 10)
    assert parse(**{"from": date(2006, 1, 1)}).in_force_from == date(2006, 1, 1)


WRONG = [
    ({"source": "nobody"}, "bibliography"),
    ({"unit": "furlong"}, "unit must be"),
    ({"operator": "about"}, "operator must be"),
    ({"value": "eight"}, "must be a number"),
    ({"value": True}, "must be a number"),
    ({"operator": "within"}, "upper edge"),
    ({"quantity": "core_hold"}, "how long it is"),
    ({"second": {"value": 1, "unit": "h"}}, "second"),
    ({"from": date(2020, 1, 2), "until": date(2020, 1, 1)}, "ends before it starts"),
    ({"from": "2020-01-02"}, "days are written"),
    ({"status": "rumour"}, "status must be"),
    ({"applies": ["not a word"]}, "not a word"),
    ({"colour": "blue"}, "unknown key colour"),
]


@pytest.mark.parametrize(("changes", "told"), WRONG, ids=[str(number) for number in range(len(WRONG))])
def test_a_wrong_row_is_named_with_its_file_and_number(changes, told):
    with pytest.raises(DataError, match=r"haccp/data/uk\.toml, limit 7 \(UK-CHILL-8\)") as error:
        parse(**changes)
    assert told in str(error.value)


@pytest.mark.parametrize("key", ["source", "unit", "provenance", "last_confirmed", "condition"])
def test_a_missing_key_is_named(key):
    with pytest.raises(DataError, match=f"{key} missing"):
        parse_limit({name: value for name, value in ROW.items() if name != key}, "UK", "uk.toml", 1)
