"""Raw food before the cook: deliveries and brine at, under and over their rows.

Sources: Regulation (EC) 853/2004, Annex III (poultry 4 °C, red meat 7 °C, offal 3 °C, mince 2 °C, fish in
melting ice); FDA Food Code 3-202.11 (41 °F); Food Hygiene Regulations, Schedule 4, read for food in brine
(8 °C).
"""

from __future__ import annotations

from datetime import date

import pytest

from haccp.assess import assess
from haccp.record import Brining, Delivery, Outcome
from haccp.rules.brine import check_brine_cold
from haccp.rules.receive import check_deliveries, check_lot_in_date, words_of_delivery
from tests.haccp.kitchen_log import at, batch, of, outcomes, reading, rules


def delivered(material: str, celsius: float | None, regime: str = "UK", words=frozenset(), **rest: object):
    """The finding on one lot of a food that was read so warm."""
    read = None if celsius is None else reading(-600, celsius)
    lot = Delivery("L7", "meat", at(-600), words_of_delivery(material, frozenset(words)), read, **rest)
    return check_deliveries(batch(deliveries=(lot,), regime=regime), rules(regime))


@pytest.mark.parametrize(
    ("regime", "material", "words", "limit", "edge"),
    [
        ("UK", "poultry", (), "UK-RAW-POULTRY-4", 4.0),
        ("UK", "beef", (), "UK-RAW-MEAT-7", 7.0),
        ("UK", "beef", ("minced",), "UK-RAW-MINCE-2", 2.0),
        ("UK", "beef", ("offal",), "UK-RAW-OFFAL-3", 3.0),
        ("UK", "lean_fish", (), "UK-RAW-FISH-ICE", 2.0),
        ("UK", "vegetable", (), "UK-RECV-NI", 8.0),
        ("US-FDA", "poultry", (), "USFDA-RECV-5", 5.0),  # 41 °F
        ("US-FDA", "fatty_fish", ("scombroid",), "USFDA-HISTAMINE-T", 40.0 / 9.0),  # 40 °F
    ],
)
def test_a_delivery_at_under_and_over_the_strictest_row_of_its_food(regime, material, words, limit, edge):
    for celsius, outcome in (
        (edge - 0.3, Outcome.MEETS),
        (edge, Outcome.MEETS),
        (edge + 0.1, Outcome.TO_REVIEW),
    ):
        [found] = delivered(material, round(celsius, 9), regime, words)
        assert (found.limit, found.outcome) == (limit, outcome), celsius


def test_a_delivery_that_nobody_read_is_reviewed():
    [found] = delivered("poultry", None)
    assert found.outcome == Outcome.TO_REVIEW
    assert "Nobody read" in found.sentence


def test_a_lot_past_its_use_by_is_found_and_on_its_last_day_is_not():
    def lot(day: date):
        return batch(deliveries=(Delivery("L7", "lamb", at(-600), frozenset(), use_by=day),))

    assert check_lot_in_date(lot(date(2026, 3, 3)), rules()) == []
    assert [each.outcome for each in check_lot_in_date(lot(date(2026, 3, 2)), rules())] == [Outcome.TO_REVIEW]


@pytest.mark.parametrize(
    ("celsius", "outcome"), [(7.8, Outcome.MEETS), (8.0, Outcome.MEETS), (8.1, Outcome.TO_REVIEW)]
)
def test_a_brine_is_kept_cold(celsius, outcome):
    soak = Brining("BR1", at(-200), at(-140), reading(-200, celsius))
    [found] = check_brine_cold(batch(brinings=(soak,)), rules())
    assert (found.outcome, found.limit) == (outcome, "UK-RAW-BRINE-8")


def test_both_are_part_of_an_assessment():
    warm = Delivery("L7", "lamb", at(-600), words_of_delivery("lamb"), reading(-600, 9.0))
    soak = Brining("BR1", at(-200), at(-140), reading(-200, 5.0))
    found = assess(batch(deliveries=(warm,), brinings=(soak,)), rules())
    assert outcomes(found, "receive.temperature") == [Outcome.TO_REVIEW]
    assert outcomes(found, "brine.temperature") == [Outcome.MEETS]
    assert of(assess(batch(), rules()), "receive.temperature") == []
