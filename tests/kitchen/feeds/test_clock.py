"""Dates, starts and clock changes.

Clock changes of Europe/London in 2026: forward on 29 March 01:00 UTC, back on 25
October 01:00 UTC (the rule of the last Sunday, as in the tz database).
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from kitchen.feeds.shapes import LoggerFileError
from tests.kitchen.feeds.looks import keys, refused, see, times


def stamped(*stamps: str, heading: str = "time;temp_c") -> str:
    return f"{heading}\n" + "".join(f"{each};60.{at % 10}\n" for at, each in enumerate(stamps))


@pytest.mark.parametrize("date", ["03/04/2026", "03.04.2026", "3-4-2026"])
def test_a_date_that_can_be_read_two_ways_waits(date: str) -> None:
    text = stamped(f"{date} 10:00", f"{date} 10:01")
    found = see(text)
    assert keys(found) == ["date_order"]
    assert [each.example for each in found.questions[0].choices] == [
        "03/04/2026 is 3 April 2026",
        "03/04/2026 is 4 March 2026",
    ]
    assert times(see(text, {"date_order": "dmy"}))[0] == "2026-04-03 09:00:00"
    assert times(see(text, {"date_order": "mdy"}))[0] == "2026-03-04 10:00:00"


def test_two_digits_of_the_year_can_be_read_three_ways() -> None:
    found = see(stamped("03/04/05 10:00", "03/04/05 10:01"))
    assert [each.value for each in found.questions[0].choices] == ["dmy", "mdy", "ymd"]


def test_a_day_past_the_twelfth_proves_the_order_of_the_whole_file() -> None:
    found = see(stamped("12/02/2026 23:59", "13/02/2026 00:00"))
    assert times(found) == ["2026-02-12 23:59:00", "2026-02-13 00:00:00"]


def test_the_same_number_twice_leaves_nothing_open() -> None:
    assert times(see(stamped("03/03/2026 10:00"))) == ["2026-03-03 10:00:00"]


def test_dates_that_prove_both_orders_are_asked_and_the_others_refused() -> None:
    text = stamped("13/02/2026 10:00", "02/14/2026 10:00")
    assert keys(see(text)) == ["date_order"]
    assert list(refused(see(text, {"date_order": "dmy"}))) == [3]


@pytest.mark.parametrize(
    ("stamp", "utc"),
    [
        ("2026-07-01T10:00:00Z", "2026-07-01 10:00:00"),
        ("2026-07-01 10:00:00+02:00", "2026-07-01 08:00:00"),
        ("2026-07-01T10:00:00-0500", "2026-07-01 15:00:00"),
        ("2026-07-01 10:00:00 UTC", "2026-07-01 10:00:00"),
        ("2026-07-01 10:00:00", "2026-07-01 09:00:00"),
        ("2026/07/01 10:00:00.250", "2026-07-01 09:00:00"),
        ("1 Jul 2026 10:00 PM", "2026-07-01 21:00:00"),
        ("Jul 1, 2026 12:05 am", "2026-06-30 23:05:00"),
        ("20260701T100000", None),
        ("20260701 10:00", "2026-07-01 09:00:00"),
    ],
)
def test_stamps(stamp: str, utc: str | None) -> None:
    if utc is None:
        with pytest.raises(LoggerFileError):
            see(stamped(stamp, stamp))
    else:
        assert times(see(stamped(stamp))) == [utc]


def test_an_offset_in_the_heading_holds_for_the_column() -> None:
    assert times(see(stamped("2026-07-01 10:00", heading="Time (UTC);temp_c"))) == ["2026-07-01 10:00:00"]
    assert times(see(stamped("2026-07-01 10:00", heading="Time (GMT+1);temp_c"))) == ["2026-07-01 09:00:00"]


def test_a_repeated_hour_follows_the_order_of_the_file() -> None:
    text = stamped(*(f"2026-10-25 {each}" for each in ("00:30", "01:00", "01:30", "01:00", "01:30", "02:00")))
    found = see(text)
    assert times(found) == [
        f"2026-10-{each}:00"
        for each in ("24 23:30", "25 00:00", "25 00:30", "25 01:00", "25 01:30", "25 02:00")
    ]
    assert found.breaks == ()
    assert any("rows' order" in each for each in found.notes)


def test_an_hourly_log_repeats_the_stamp_itself() -> None:
    text = stamped(*(f"2026-10-25 {each}" for each in ("00:00", "01:00", "01:00", "02:00")))
    assert [each[11:13] for each in times(see(text))] == ["23", "00", "01", "02"]


def test_the_repeated_hour_newest_first() -> None:
    text = stamped(*(f"2026-10-25 {each}" for each in ("02:00", "01:30", "01:00", "01:30", "01:00", "00:30")))
    assert times(see(text))[1:5] == [f"2026-10-25 0{each}:00" for each in ("0:00", "0:30", "1:00", "1:30")]


def test_a_repeated_hour_that_comes_once_waits_for_an_answer() -> None:
    text = stamped(*(f"2026-10-25 {each}" for each in ("00:30", "01:00", "01:30", "02:00", "02:30")))
    assert keys(see(text)) == ["clock_change"]
    last = {each: times(see(text, {"clock_change": each}))[1:4] for each in ("first", "second", "kept")}
    assert [each[11:16] for each in last["first"]] == ["00:00", "00:30", "02:00"]
    assert [each[11:16] for each in last["second"]] == ["01:00", "01:30", "02:00"]
    assert [each[11:16] for each in last["kept"]] == ["00:00", "00:30", "01:00"]


def test_an_hour_that_does_not_exist_is_refused_with_the_reason() -> None:
    text = stamped(*(f"2026-03-29 {each}" for each in ("00:30", "00:45", "01:15", "01:30", "02:00", "02:15")))
    found = see(text)
    assert list(refused(found)) == [4, 5]
    assert "put forward" in refused(found)[4]
    assert [each[11:16] for each in times(found)] == ["00:30", "00:45", "01:00", "01:15"]
    # A logger that lives through that hour has not put its clock forward: what follows is not joined.
    assert len(found.breaks) == 1


def test_utc_stamps_know_no_clock_change() -> None:
    found = see(stamped("2026-10-25T00:59:50Z", "2026-10-25T01:00:00Z", "2026-10-25T01:00:10Z"))
    assert len(times(found)) == 3


@pytest.mark.parametrize(
    ("heading", "last", "clock"),
    [("elapsed_s", "90", "09:01:30"), ("Time (min)", "1,5", "09:01:30"), ("hours", "0.25", "09:15:00")],
)
def test_time_since_the_start_needs_the_start(heading: str, last: str, clock: str) -> None:
    text = f"{heading};temp_c\n0;60\n{last};61\n"
    found = see(text)
    assert keys(found) == ["started_at"]
    assert found.questions[0].kind == "moment"
    told = see(text, {"started_at": "2026-03-02T09:00"})
    assert times(told) == ["2026-03-02 09:00:00", f"2026-03-02 {clock}"]
    assert times(see(text, started_at=datetime(2026, 3, 2, 9, tzinfo=UTC))) == times(told)


def test_the_start_is_local_and_the_count_crosses_a_clock_change() -> None:
    text = "elapsed_h;temp_c\n0;60\n1;60\n2;60\n3;60\n"
    found = see(text, {"started_at": "2026-03-28T23:30", "time_unit": "h"})
    assert [each[11:16] for each in times(found)] == ["23:30", "00:30", "01:30", "02:30"]


def test_a_count_without_a_unit_waits() -> None:
    found = see("time;temp_c\n0;60\n10;61\n")
    assert keys(found) == ["time_unit"]
    assert [each.value for each in found.questions[0].choices] == ["ms", "s", "min", "h"]


def test_seconds_since_1970_and_spreadsheet_days() -> None:
    # 1 772 445 600 s is 2026-03-02 10:00:00 UTC (GNU date); day 46083 of a spreadsheet is 2026-03-02.
    assert times(see("unix_time;temp_c\n1772445600;60\n")) == ["2026-03-02 10:00:00"]
    sheet = "date;temp_c\n46083.4166666667;60\n46083.4173611111;60\n"
    assert keys(see(sheet)) == ["time_unit"]
    assert times(see(sheet, {"time_unit": "sheet"})) == ["2026-03-02 10:00:00", "2026-03-02 10:01:00"]


def test_clock_times_without_a_date() -> None:
    text = "time;temp_c\n23:59:50;60\n00:00:00;60\n00:00:10;61\n"
    assert keys(see(text)) == ["time_kind"]
    assert keys(see(text, {"time_kind": "clock"})) == ["first_day"]
    found = see(text, {"time_kind": "clock", "first_day": "2026-03-02"})
    assert times(found) == ["2026-03-02 23:59:50", "2026-03-03 00:00:00", "2026-03-03 00:00:10"]
    assert any("midnight" in each for each in found.notes)


def test_elapsed_with_one_colon_can_mean_two_things() -> None:
    text = "elapsed;temp_c\n00:00;60\n01:30;61\n"
    assert keys(see(text)) == ["elapsed_format", "started_at"]
    said = {"started_at": "2026-03-02T09:00"}
    assert times(see(text, {**said, "elapsed_format": "ms"}))[1] == "2026-03-02 09:01:30"
    assert times(see(text, {**said, "elapsed_format": "hm"}))[1] == "2026-03-02 10:30:00"
    three = "elapsed;temp_c\n00:00:00;60\n26:00:00;61\n"
    assert times(see(three, said))[1] == "2026-03-03 11:00:00"


def test_two_time_columns_are_asked_about() -> None:
    text = "Time read;Time sent;temp_c\n2026-03-02 10:00;2026-03-02 10:05;60\n"
    assert keys(see(text)) == ["time_column"]
    assert times(see(text, {"time_column": "1"})) == ["2026-03-02 10:00:00"]


@pytest.mark.parametrize("said", ["", "tomorrow", "9999-12-31T23:59", "0001-01-01T00:00"])
def test_an_answer_that_is_no_moment_of_this_century_is_asked_again(said: str) -> None:
    assert keys(see("elapsed_s;temp_c\n0;60\n", {"started_at": said})) == ["started_at"]
    clocks = "time;temp_c\n10:00:00;60\n10:00:10;61\n"
    assert keys(see(clocks, {"time_kind": "clock", "first_day": said[:10]})) == ["first_day"]
