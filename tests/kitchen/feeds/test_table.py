"""Separators, preambles, headings, quoted fields, stops and starts. All files are our own."""

from __future__ import annotations

import pytest

from kitchen.feeds.shapes import LoggerFileError
from tests.kitchen.feeds.looks import celsius, degrees, keys, refused, see, times


@pytest.mark.parametrize("sign", [";", "\t", ",", "|"])
def test_each_separator(sign: str) -> None:
    found = see(f"time{sign}temp_c\n2026-03-02 10:00:00{sign}60.1\n2026-03-02 10:01:00{sign}60.2\n")
    assert found.separator == sign
    assert celsius(found) == degrees("60.1", "60.2")


def test_mixed_separators_wait_for_an_answer() -> None:
    text = "time;temp (°C)\n" + "".join(f"2026-03-02 10:0{at}:00{';;;,,'[at]}60.{at}\n" for at in range(5))
    found = see(text)
    assert keys(found) == ["separator"]
    assert found.channels == ()
    assert [each.value for each in found.questions[0].choices] == ["semicolon", "comma"]
    assert found.questions[0].choices[1].example == "2026-03-02 10:03:00,60.3"
    told = see(text, {"separator": "semicolon"})
    assert celsius(told) == degrees("60.0", "60.1", "60.2")
    assert list(refused(told)) == [5, 6]


def test_an_answer_that_is_no_choice_is_asked_again() -> None:
    text = "time;temp (°C)\n2026-03-02 10:00;60.5\n2026-03-02 10:01,60.5\n"
    assert keys(see(text, {"separator": "full stop"})) == ["separator"]


def test_a_preamble_is_passed_over() -> None:
    text = (
        "Logger type;T-1\nSerial number;0012345\nLogging from;02.03.2026 10:00;5\nTime zone;UTC\n\n"
        "Time;Temperature [°C]\n2026-03-02T10:00:00;60,1\n2026-03-02T10:00:05;60,2\n"
    )
    assert celsius(see(text)) == degrees("60.1", "60.2")


def test_a_unit_line_below_the_heading() -> None:
    text = "Date;Time;Bath\n;;°F\n2026-03-02;10:00:00;140\n2026-03-02;10:00:30;212\n"
    found = see(text)
    # Fixed points of the Fahrenheit scale: 212 °F is 100 °C; 140 °F is 60 °C exactly by (F - 32) / 1.8.
    assert celsius(found) == degrees("60", "100")
    assert found.channels[0].unit == "degF"


def test_quoted_fields() -> None:
    text = '"Time","Temp, bath (°C)"\n"2026-03-02 10:00:00","60,1"\n"2026-03-02 10:00:10","60,2"\n'
    found = see(text)
    assert found.channels[0].name == "Temp, bath (°C)"
    assert celsius(found) == degrees("60.1", "60.2")


def test_an_open_quotation_mark_costs_one_line_only() -> None:
    found = see('time,temp_c\n2026-03-02 10:00,60.1\n2026-03-02 10:01,"60.2\n2026-03-02 10:02,60.3\n')
    assert celsius(found) == degrees("60.1", "60.3")
    assert "quotation mark" in refused(found)[3]


def test_a_declared_separator() -> None:
    assert see("sep=;\ntime;temp_c\n2026-03-02 10:00:00;60,5\n").separator == ";"


def test_a_row_with_more_columns_than_the_heading_is_refused() -> None:
    found = see("time;temp_c\n2026-03-02 10:00:00;60.5\n2026-03-02 10:01:00;60.5;1\n")
    assert "3 columns where the heading has 2" in refused(found)[3]


STOPPED = """time;temp_c
2026-03-02 10:00:00;60.1
2026-03-02 10:00:10;60.2
logging stopped
logging started
2026-03-02 10:00:20;60.1
2026-03-02 10:00:30;60.2
"""


def test_stop_and_start_lines_break_the_curve() -> None:
    found = see(STOPPED)
    assert [f"{each:%H:%M:%S}" for each in found.breaks] == ["10:00:15"]
    assert any("Line 4" in each for each in found.notes)
    assert len(found.channels[0].readings) == 4
    assert found.rows == 6


def test_an_event_column_breaks_the_curve_on_the_right_side() -> None:
    text = (
        "time;temp_c;event\n2026-03-02 10:00:00;60.1;\n2026-03-02 10:00:10;60.2;Stopped\n"
        "2026-03-02 10:00:20;60.1;Started\n2026-03-02 10:00:30;60.2;\n"
    )
    found = see(text)
    assert [f"{each:%H:%M:%S}" for each in found.breaks] == ["10:00:15"]


def test_a_repeated_heading_may_change_the_unit() -> None:
    text = (
        "time;temp (°C)\n2026-03-02 10:00:00;60.0\n2026-03-02 10:01:00;60.0\n"
        "time;temp (°F)\n2026-03-02 10:02:00;140\n2026-03-02 10:03:00;149\n"
    )
    found = see(text)
    assert celsius(found) == degrees("60", "60", "60", "65")
    assert found.channels[0].unit == "degC, degF"
    assert len(found.breaks) == 1


def test_columns_that_change_in_mid_file_are_refused_with_the_line() -> None:
    text = "time;temp (°C)\n2026-03-02 10:00:00;60.0\ntime;humidity;temp (°C)\n2026-03-02 10:02:00;40;60\n"
    with pytest.raises(LoggerFileError, match="line 3"):
        see(text)


def test_a_footer_is_listed_as_refused() -> None:
    found = see("time;temp_c\n2026-03-02 10:00:00;60.0\n# checksum 4711\n")
    assert "not a reading" in refused(found)[3]


def test_a_file_without_a_heading_asks_for_the_unit_only() -> None:
    text = "2026-03-02 10:00:00;60.1\n2026-03-02 10:01:00;60.2\n"
    assert keys(see(text)) == ["unit_2"]
    assert times(see(text, {"unit_2": "degC"})) == ["2026-03-02 10:00:00", "2026-03-02 10:01:00"]


def test_mixed_separators_half_and_half_wait_too() -> None:
    text = "time,temp_c\n2026-03-02 10:00,60.1\n2026-03-02 10:01;60.2\n"
    assert keys(see(text)) == ["separator"]
    assert celsius(see(text, {"separator": "comma"})) == degrees("60.1")


def test_columns_named_by_number_keep_their_heading() -> None:
    found = see("Time;1;2\n2026-03-02 10:00;60.1;20\n2026-03-02 10:01;60.2;21\n")
    assert keys(found) == ["channel"]
    assert [each.label for each in found.questions[0].choices] == ["1", "2"]
