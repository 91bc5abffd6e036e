"""A measured file, as it came: water in a pot, brought to 90 °C and held there. See tests/data/README.md."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

from tests.kitchen.feeds.looks import keys, see

FILE = Path(__file__).resolve().parents[2] / "data" / "water_hold_90c.csv"
START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def test_the_measured_file_asks_for_its_channel_and_its_start() -> None:
    found = see(FILE.read_bytes())
    assert keys(found) == ["channel", "started_at"]
    labels = [each.label for each in found.questions[0].choices]
    assert labels == ["mean_a_c", "single_a_c", "mean_b_c", "single_b_c", "mean_c_c", "single_c_c"]


def test_every_row_of_the_measured_file_becomes_a_reading() -> None:
    data = FILE.read_bytes()
    found = see(data, {"channel": "3"}, started_at=START)
    (channel,) = found.channels
    assert channel.name == "mean_a_c"
    assert channel.unit == "degC"
    assert len(channel.readings) == found.rows == len(data.decode().splitlines()) - 1 == 1057
    assert (found.refused, found.breaks) == ((), ())
    first, last = channel.readings[0], channel.readings[-1]
    assert (first.line, first.at, first.celsius) == (2, START + timedelta(seconds=1), Decimal("24.46"))
    assert last.at == START + timedelta(seconds=7200)
    # The hold: within 0.3 °C of 90 to the end, as its source describes it.
    held = [each.celsius for each in channel.readings if each.at > START + timedelta(minutes=80)]
    assert all(abs(each - 90) <= Decimal("0.3") for each in held)


def test_the_rows_of_the_measured_file_lie_seven_seconds_apart() -> None:
    (channel,) = see(FILE.read_bytes(), {"channel": "3"}, started_at=START).channels
    steps = Counter((later.at - each.at).total_seconds() for each, later in pairwise(channel.readings))
    # Own count in the column elapsed_s with the csv module alone.
    assert steps == {7: 867, 6: 188, 2: 1}
