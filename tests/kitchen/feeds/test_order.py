"""Duplicates, rows out of order, gaps: rows are put in order only where that leaves no doubt."""

from __future__ import annotations

import pytest

from kitchen.feeds.shapes import LoggerFileError
from tests.kitchen.feeds.looks import celsius, degrees, refused, see, times


def clocked(*rows: str, heading: str = "time;temp_c") -> str:
    return f"{heading}\n" + "".join(f"2026-03-02 {each}\n" for each in rows)


def test_duplicates_count_once_and_are_reported() -> None:
    found = see(clocked("10:00:00;60.1", "10:00:10;60.2", "10:00:10;60.2", "10:00:20;60.3"))
    assert celsius(found) == degrees("60.1", "60.2", "60.3")
    assert "1 duplicate row counted once (line 4)." in found.notes
    assert found.refused == ()


def test_readings_that_contradict_each_other_are_both_refused() -> None:
    found = see(clocked("10:00:00;60.1", "10:00:10;60.2", "10:00:10;61.2", "10:00:20;60.3"))
    assert celsius(found) == degrees("60.1", "60.3")
    assert set(refused(found)) == {3, 4}


def test_times_to_the_minute_keep_the_first_of_each_minute() -> None:
    found = see(clocked("10:00;60.1", "10:00;60.2", "10:01;60.3", "10:01;60.4"))
    assert celsius(found) == degrees("60.1", "60.3")
    assert "with seconds" in refused(found)[3]


def test_newest_first_is_turned_round() -> None:
    found = see(clocked("10:00:20;60.3", "10:00:10;60.2", "10:00:00;60.1"))
    assert celsius(found) == degrees("60.1", "60.2", "60.3")
    assert any("newest row first" in each for each in found.notes)


def test_two_rows_that_changed_places_are_put_in_order() -> None:
    found = see(clocked("10:00:00;60.1", "10:00:20;60.3", "10:00:10;60.2", "10:00:30;60.4"))
    assert celsius(found) == degrees("60.1", "60.2", "60.3", "60.4")
    assert any("out of order" in each and "line 4" in each for each in found.notes)


def test_a_clock_that_was_put_back_is_no_disorder() -> None:
    """Sorted, the two runs would interleave every 3 and 7 s: the second pass is refused."""
    rows = [f"10:00:{each:02d};60.0" for each in range(0, 60, 10)]
    rows += [f"10:00:{each:02d};50.0" for each in range(33, 60, 10)] + ["10:01:03;50.0", "10:01:13;50.0"]
    found = see(clocked(*rows))
    assert list(refused(found)) == [8, 9]
    assert len(found.breaks) == 1
    assert any("goes back at line 8" in each for each in found.notes)


def test_a_jump_of_the_clock_is_a_gap() -> None:
    found = see(
        clocked(
            "10:00:00;60.1",
            "10:00:10;60.2",
            "10:00:20;60.3",
            "10:12:20;60.3",
            "10:12:30;60.2",
            "10:12:40;60.1",
        )
    )
    assert [f"{each:%H:%M:%S}" for each in found.breaks] == ["10:06:20"]
    assert any("Gap of 12.0 min before line 5" in each for each in found.notes)


def test_a_change_of_the_interval_is_no_gap() -> None:
    seconds = ["10:00:00", "10:00:10", "10:00:20", "10:00:30", "10:01:30", "10:02:30", "10:03:30"]
    assert see(clocked(*(f"{each};60.1" for each in seconds))).breaks == ()


def test_a_count_that_begins_again_has_no_start() -> None:
    text = "elapsed_s;temp_c\n0;60.0\n10;60.1\n20;60.2\n0;58.0\n10;58.1\n20;58.2\n30;58.3\n"
    found = see(text, {"started_at": "2026-03-02T09:00"})
    assert len(times(found)) == 3
    assert list(refused(found)) == [5, 6, 7, 8]
    assert "begins again at line 5" in refused(found)[8]


def test_refused_rows_come_by_line_with_their_text() -> None:
    found = see(clocked("10:00:00;60.1", "10:00:10;", "yesterday;60.2", "10:00:20;60.3"))
    assert [each.line for each in found.refused] == [3, 4]
    assert found.refused[0].text == "2026-03-02 10:00:10;"
    assert "blank" in found.refused[0].reason


def test_an_unknown_time_zone_is_the_callers_fault_and_not_the_files() -> None:
    with pytest.raises(KeyError):
        see(clocked("10:00;60"), timezone="Nowhere/Land")


def test_nothing_left_is_an_error_that_counts_the_reasons() -> None:
    with pytest.raises(LoggerFileError, match=r"2 × two different readings"):
        see(clocked("10:00:10;60.2", "10:00:10;61.2"))


@pytest.mark.parametrize("year", ["2062", "2006"])
def test_a_single_stray_time_is_refused_and_the_rest_kept(year: str) -> None:
    text = clocked(*(f"10:00:{each}0;60.{each}" for each in range(5)))
    text = text.replace("2026-03-02 10:00:20", f"{year}-03-02 10:00:20")
    found = see(text)
    assert celsius(found) == degrees("60.0", "60.1", "60.3", "60.4")
    assert "lies apart" in refused(found)[4]
