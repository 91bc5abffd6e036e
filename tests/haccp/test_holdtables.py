"""Published tables row by row, between their rows, along a curve; rows and sources stand in tests/data."""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from haccp.errors import DataError, RangeError, ReadingsError
from haccp.holdtables import (
    Between,
    NotCovered,
    cumulative_share,
    hold_needed,
    hold_table,
    hold_tables,
    longer_of,
    parse_table,
    poultry_table,
    share_along,
)
from haccp.lethality import log_reduction, organism
from haccp.limits import Limit
from tests.haccp.kitchen_log import rules
from tests.haccp.tables import rows

PRINTED = [
    *(("us-meat-65", row) for row in rows("lethality_tables.csv", table="FSIS_A_MEAT", log_target="6.5")),
    *(("us-meat-7", row) for row in rows("lethality_tables.csv", table="FSIS_A_MEAT", log_target="7")),
    *(("us-chicken-12", row) for row in rows("lethality_more.csv", food="chicken, 12 % fat")),
    *(("us-turkey-12", row) for row in rows("lethality_more.csv", food="turkey, 12 % fat")),
    *(("us-chicken-5", row) for row in rows("lethality_more.csv", food="chicken, about 5 % fat")),
    *(("us-turkey-5", row) for row in rows("lethality_more.csv", food="turkey, about 5 % fat")),
    *(("us-roast", row) for row in rows("lethality_more.csv", table="FDA_ROAST")),
    *(("uk-core", row) for row in rows("lethality_tables.csv", table="UK_CORE")),
    *(("uk-burger", row) for row in rows("lethality_tables.csv", table="UK_BURGER")),
    *(("uk-long-life", row) for row in rows("lethality_tables.csv", table="UK_NPCB_CFA")),
    *(("us-fish-listeria", row) for row in rows("lethality_more.csv", table="FDA_A3")),
    *(("us-fish-botulinum", row) for row in rows("lethality_tables.csv", table="FDA_A4")),
    *(("eu-long-life", row) for row in rows("lethality_tables.csv", table="ECFF_NPCB")),
]
FAHRENHEIT = (
    "us-meat-65",
    "us-meat-7",
    "us-chicken-12",
    "us-turkey-12",
    "us-chicken-5",
    "us-turkey-5",
    "us-roast",
)


def at_f(fahrenheit: float) -> float:
    """°F as °C."""
    return (fahrenheit - 32.0) / 1.8


@pytest.mark.parametrize(
    ("key", "row"), PRINTED, ids=lambda each: each if isinstance(each, str) else each["temp_f"]
)
def test_every_printed_row(key, row):
    """To half a unit of the fourth digit, which is how minutes are written in the test data."""
    celsius = at_f(float(row["temp_f"])) if key in FAHRENHEIT else float(row["temp_c"])
    needed = hold_needed(hold_table(key), celsius + 1e-9)
    assert needed == pytest.approx(float(row["minutes"]) * 60.0, rel=1e-6, abs=0.004)


def test_every_row_that_was_gathered_is_in_a_table():
    assert sum(len(table.rows) for table in hold_tables().values()) == len(PRINTED) + len(
        hold_table("us-comminuted").rows
    )


@pytest.mark.parametrize(
    ("key", "regime", "words", "table"),
    [
        ("uk-core", "UK", set(), "uk-core"),
        ("uk-long-life", "UK", {"long life"}, "uk-long-life"),
        ("us-roast", "US-FDA", {"whole muscle"}, "us-roast"),
        ("us-comminuted", "US-FDA", {"minced"}, "us-comminuted"),
    ],
)
def test_a_table_agrees_with_the_rows_of_the_ruleset_that_print_it(key, regime, words, table):
    """The two were written down separately; 1 s for what is printed as under one second."""

    def plain(limit: Limit) -> tuple[float, float]:
        assert limit.hold is not None
        return limit.amount.celsius, limit.hold.seconds

    ruled = sorted({plain(row) for row in rules(regime).limits("cook", words) if row.table == table})
    for row, pair in zip(hold_table(key).rows, ruled, strict=True):
        assert (row.celsius, row.seconds) == pytest.approx(pair, rel=1e-9)


def test_the_longer_of_chicken_and_turkey_is_the_list_that_was_seen():
    """The page seen lists the longer of the two at 12 % fat: 136 to 146 °F and every even row to 162 °F."""
    both = poultry_table(None, 12.0)
    seen = [
        row
        for row in rows("lethality_more.csv", table="FSIS_POULTRY_12FAT")
        if row["provenance"].startswith("page seen")
    ]
    assert len(seen) == 19
    for row in seen:
        needed = hold_needed(both, at_f(float(row["temp_f"])) + 1e-9)
        assert needed == pytest.approx(float(row["minutes"]) * 60.0, abs=0.004)


def test_other_species_mixtures_and_unknown_fat_take_the_longer_table():
    """Rule of the US cooking guideline (page seen): other species, mixtures, over 12 % fat or unknown."""
    longer = poultry_table()
    for celsius in np.linspace(57.8, 75.0, 200):
        asked = hold_needed(longer, float(celsius))
        for species in ("chicken", "turkey"):
            assert asked >= hold_needed(poultry_table(species, 12.0), float(celsius)) * (1 - 1e-12)
    assert poultry_table("duck").rows == poultry_table("chicken and turkey", 30.0).rows == longer.rows
    assert poultry_table("chicken", 12.01) is poultry_table("chicken") is hold_table("us-chicken-12")
    assert poultry_table("turkey", 5.0) is hold_table("us-turkey-5")
    assert poultry_table("turkey", 5.01) is hold_table("us-turkey-12")


def test_the_poultry_tables_are_no_straight_line():
    """Local z of the 12 % chicken column: 4.0 to 7.0 K (own computation on the published rows)."""
    local = [
        (high.celsius - low.celsius) / math.log10(low.seconds / high.seconds)
        for low, high in pairwise(hold_table("us-chicken-12").rows)
    ]
    assert 3.4 < min(local) < 4.2
    assert 5.4 < max(local) < 7.1
    # One D and z through the ends asks less than the table in the middle: an interpolation does not.
    table = hold_table("us-chicken-12")
    middle = at_f(148)
    first, last = table.rows[0], table.rows[-1]
    share = (middle - first.celsius) / (last.celsius - first.celsius)
    straight = first.seconds * (last.seconds / first.seconds) ** share
    assert straight < 0.75 * hold_needed(table, middle + 1e-9)


def test_between_two_rows_the_logarithm_is_straight():
    """The Food Code prints every second row of the USDA table; between, it agrees to one printed unit: one
    minute where a neighbouring row is printed in whole minutes (to 146 °F), one second above."""
    roast = hold_table("us-roast")
    for row in hold_table("us-meat-65").rows:
        unit = 60.0 if row.celsius <= at_f(146) + 1e-9 else 1.0
        if row.celsius < at_f(157):
            assert abs(hold_needed(roast, row.celsius) - row.seconds) <= unit
    middle = hold_needed(hold_table("uk-core"), 62.5)
    assert middle == pytest.approx(60.0 * math.sqrt(45.0 * 10.0))


def test_where_rows_are_far_apart_the_row_below_holds():
    table = hold_table("us-chicken-5")
    assert table.between == Between.ROW_BELOW
    assert hold_needed(table, at_f(144.9)) == pytest.approx(25.2 * 60)
    assert hold_needed(table, at_f(145) + 1e-9) == pytest.approx(8.4 * 60)


def test_under_the_lowest_row_nothing_and_over_the_highest_its_time():
    answer = hold_needed(hold_table("us-meat-65"), 54.44)
    assert isinstance(answer, NotCovered)
    assert "130 °F" in str(answer)
    assert hold_needed(hold_table("us-turkey-12"), 90.0) == pytest.approx(11.7)
    assert hold_needed(hold_table("us-roast"), at_f(157.9)) == pytest.approx(14.0)
    assert hold_needed(hold_table("us-roast"), 70.0) == 0.0


@pytest.mark.parametrize("key", sorted(hold_tables()))
def test_a_steady_hold_of_the_printed_time_earns_the_table(key):
    for row in hold_table(key).rows:
        if row.seconds > 0.0:
            at = [row.celsius, row.celsius]
            assert share_along([0, row.seconds], at, hold_table(key)) == pytest.approx(1.0)
            assert share_along([0, row.seconds / 2], at, hold_table(key)) == pytest.approx(0.5)


@pytest.mark.parametrize("key", ["us-chicken-12", "us-turkey-12", "uk-core", "uk-long-life", "us-comminuted"])
def test_share_by_quadrature(key):
    """Against scipy's adaptive quadrature of 1/h on a rise, a stay and a fall."""
    table = hold_table(key)
    low, high = table.lowest_c - 4.0, table.rows[-1].celsius + 3.0
    times, temps = np.array([0.0, 900.0, 1100.0, 1700.0]), np.array([low, high, high, low])

    def rate(t: float) -> float:
        asked = hold_needed(table, float(np.interp(t, times, temps)))
        return 0.0 if isinstance(asked, NotCovered) else 1.0 / asked

    marks = [900 * (row.celsius - low) / (high - low) for row in table.rows]
    edges = sorted({0.0, *marks, 900.0, 1100.0, *(1100 + (900 - each) / 1.5 for each in marks), 1700.0})
    # Just inside each edge, where the rate may jump.
    expected = sum(quad(rate, a + 1e-9, b - 1e-9, epsrel=1e-10)[0] for a, b in pairwise(edges))
    assert share_along(times, temps, table) == pytest.approx(expected, rel=1e-6)


def test_the_us_meat_table_is_worth_its_reduction():
    """Share x 6.5 against the closed form with the fitted D and z: 4 %, which is what whole minutes allow."""
    times, temps = [0.0, 3600.0, 9000.0], [5.0, 56.0, 60.0]
    kind = organism("salmonella_beef")
    inside = [3600.0, 9000.0]
    share = share_along(inside, [56.0, 60.0], hold_table("us-meat-65"))
    assert share * 6.5 == pytest.approx(log_reduction(inside, [56.0, 60.0], kind), rel=0.04)
    # On the way up from 5 °C only what lies at or over 130 °F counts.
    whole = share_along(times, temps, hold_table("us-meat-65"))
    assert share < whole < share * 1.1


def test_a_lower_curve_never_earns_more():
    """Random curves (own computation); the share of a proven lower curve is thereby a lower bound."""
    draw = np.random.default_rng(3)
    for table in (
        hold_table("us-chicken-12"),
        hold_table("uk-core"),
        hold_table("us-comminuted"),
        poultry_table(),
    ):
        for _ in range(50):
            times = np.cumsum(draw.uniform(1, 300, 12))
            core = table.lowest_c + draw.uniform(-5, 15, 12)
            below = core - draw.uniform(0, 3, 12)
            assert share_along(times, below, table) <= share_along(times, core, table) * (1 + 1e-12)
            # More points on the same line change nothing.
            finer = np.linspace(times[0], times[-1], 301)
            finer = np.union1d(finer, times)
            again = share_along(finer, np.interp(finer, times, core), table)
            assert again == pytest.approx(share_along(times, core, table), rel=1e-9, abs=1e-12)


def test_an_instantaneous_row_is_met_when_reached_and_not_a_hair_under():
    table = hold_table("us-roast")
    assert share_along([0, 10, 20], [60.0, 70.0, 60.0], table) == math.inf
    assert share_along([0, 10, 20], [60.0, 69.999, 60.0], table) < 2.0
    earned = cumulative_share([0, 10, 20], [60.0, 70.0, 60.0], table)
    assert np.isfinite(earned[0])
    assert np.isinf(earned[1:]).all()
    assert share_along([0.0], [75.0], table) == math.inf


def test_nonsense_is_refused():
    table = hold_table("uk-core")
    with pytest.raises(RangeError):
        hold_needed(table, math.nan)
    with pytest.raises(ReadingsError):
        share_along([0, 60, 30], [60, 60, 60], table)
    with pytest.raises(ReadingsError):
        share_along([0, 60], [60, math.nan], table)
    with pytest.raises(RangeError, match="fat"):
        poultry_table("chicken", math.nan)
    with pytest.raises(DataError, match="yeti"):
        hold_table("yeti")
    assert longer_of(table, table).rows == table.rows


ROW = {"at": 60.0, "hold": 45.0, "unit": "min", "provenance": "page seen"}
TABLE = {
    "key": "t",
    "name": "t",
    "where": "UK",
    "organism": "o",
    "log10": 6.0,
    "unit": "degC",
    "between": "log time",
    "sources": ["fsa-core-temperatures"],
    "section": "",
    "note": "",
    "rows": [ROW, {**ROW, "at": 65.0, "hold": 10.0}],
}


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"rows": [ROW, ROW]}, "not hotter"),
        ({"rows": [ROW, {**ROW, "at": 65.0, "hold": 46.0}]}, "shorter"),
        ({"rows": [{**ROW, "hold": 0.0}]}, "first row"),
        ({"rows": [{**ROW, "provenance": "hearsay"}]}, "where it is from"),
        ({"rows": [{**ROW, "unit": "h"}]}, "hold in s or min"),
        ({"between": "spline"}, "spline"),
        ({"sources": []}, "source"),
    ],
)
def test_a_table_that_does_not_hold_together_is_named(change, complaint):
    assert parse_table(TABLE, "here").rows[0].seconds == 2700.0
    with pytest.raises(DataError, match=complaint):
        parse_table({**TABLE, **change}, "here")
    with pytest.raises(DataError, match="key"):
        parse_table({name: value for name, value in TABLE.items() if name != "key"}, "here")
