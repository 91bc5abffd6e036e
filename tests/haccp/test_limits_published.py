"""The loaded limits beside tables that were gathered apart from them, row by row.

Sources stand in each row of tests/data/cooling_limits.csv and of haccp/data/holdtables.toml.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from haccp.holdtables import NotCovered, hold_needed, longer_of, poultry_table
from haccp.limits import all_limits, regimes, ruleset
from tests.haccp.tables import rows
from tests.haccp.test_limits import DAY, LOADED

# Which limit prints which gathered row. Left out, as no rows of a regime: good practice for joints, the
# way to 3 °C of an edition of 2009, and the 96 h of an opinion.
SAME = {
    "FDA_COOL_1": "USFDA-COOL-A-1",
    "FDA_COOL_2": "USFDA-COOL-A-2",
    "FDA_ROP_1": "USFDA-CCSV-30D-1",
    "FSIS_B_1a": "USDA-COOL-OPT1-1",
    "FSIS_B_1b": "USDA-COOL-OPT1-2",
    "FSIS_B_2a": "USDA-COOL-OPT2-1",
    "FSIS_B_2b": "USDA-COOL-OPT2-2",
    "FSIS_B_3a": "USDA-COOL-OPT3-1",
    "FSIS_B_3b": "USDA-COOL-OPT3-2",
    "AU_FSANZ_1": "AU-COOL-1",
    "AU_FSANZ_2": "AU-COOL-2",
    "UK_DH89_40": "UK-CCH-COOL-1",
    "IE_GN15": "IE-CCH-COOL",
}
FREEZES = {
    "EU_FREEZE_FISH1": "EU-PARA-20",
    "EU_FREEZE_FISH2": "EU-PARA-35",
    "US_FREEZE_FISH1": "USFDA-PARA-1",
    "US_FREEZE_FISH2": "USFDA-PARA-2",
}


def gathered(key: str) -> dict[str, str]:
    """One row of the cooling limits."""
    [row] = rows("cooling_limits.csv", id=key)
    return row


@pytest.mark.parametrize(("key", "limit"), SAME.items(), ids=SAME)
def test_a_chill_is_asked_as_its_table_prints_it(key, limit):
    row, ours = gathered(key), LOADED[limit]
    assert ours.amount.seconds == 60.0 * float(row["minutes"])
    assert ours.end is not None
    assert ours.end.celsius == pytest.approx(float(row["to_c"]), abs=0.12 if "." in row["to_c"] else 0.6)
    if ours.start is not None:
        assert ours.start.celsius == pytest.approx(float(row["from_c"]), abs=0.6)


@pytest.mark.parametrize(("key", "limit"), FREEZES.items(), ids=FREEZES)
def test_a_freeze_against_parasites_is_asked_as_its_table_prints_it(key, limit):
    row, ours = gathered(key), LOADED[limit]
    assert (ours.operator, ours.amount.celsius) == ("<=", float(row["to_c"]))
    assert ours.hold is not None
    assert ours.hold.seconds == 60.0 * float(row["minutes"])


def test_the_seven_days_of_a_bag_are_those_of_the_table():
    assert LOADED["USFDA-CCSV-7D"].value == Fraction(gathered("FDA_ROP_2")["minutes"]) / (24 * 60)


BETWEEN = [
    limit
    for key in regimes()
    for limit in regimes()[key].limits
    if limit.quantity in ("core_hold", "core_temperature")
    and ruleset(key, DAY).between_rows(limit) is not None
]


@pytest.mark.parametrize("limit", BETWEEN, ids=lambda limit: limit.id)
def test_a_row_asks_what_its_published_table_asks_there(limit):
    """Off are the rows of chicken alone and the single temperatures: they ask less than the longer of two."""
    table = ruleset(limit.regime, DAY).between_rows(limit)
    asked = hold_needed(table, limit.amount.celsius)
    assert not isinstance(asked, NotCovered)
    assert limit.hold is not None
    # The gathered list of poultry gives whole minutes and seconds.
    step = 60.0 if limit.hold.unit == "min" else 1.0
    exact_row = limit.table != "usda-poultry"
    if exact_row or not limit.chosen_only:
        assert limit.hold.seconds == pytest.approx(asked, abs=1e-6 if exact_row else step)
        assert limit.hold.seconds >= asked or limit.hold.seconds == pytest.approx(asked)
    else:
        assert limit.hold.seconds < asked


def test_between_two_rows_of_poultry_the_logarithm_of_the_time_is_straight_and_no_single_z_is():
    """Chicken and turkey at 12 % fat: the longer of two; z from row to row is anything but one figure."""
    rules = ruleset("US-USDA", DAY)
    row = rules.limit("USDA-COOK-POULTRY70-140F")
    table = rules.between_rows(row)
    assert table is not None
    assert table.rows == poultry_table().rows
    assert table.rows == longer_of(poultry_table("chicken", 12.0), poultry_table("turkey", 12.0)).rows
    low, middle, high = (hold_needed(table, c) for c in (60.0, 60.0 + 5.0 / 18.0, 60.0 + 5.0 / 9.0))
    assert middle == pytest.approx((low * high) ** 0.5)


def test_a_row_without_a_published_table_has_nothing_between_it():
    assert ruleset("US-FDA", DAY).between_rows(LOADED["USFDA-COOK-POULTRY-165F"]) is None


def test_every_topic_has_rows_and_every_regime_a_file():
    topics = {limit.topic for limit in all_limits()}
    assert len(topics) == 18
    assert len(regimes()) == 16
