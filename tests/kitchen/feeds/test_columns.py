"""Channels, units and decimal signs: what is open is asked. All files are our own."""

from __future__ import annotations

import pint
import pytest

from kitchen.feeds.headings import unit_in_heading
from kitchen.feeds.shapes import LoggerFileError
from tests.kitchen.feeds.looks import celsius, degrees, keys, refused, see

TWO = "time;bath (°C);core (°F)\n2026-03-02 10:00:00;60.1;100.4\n2026-03-02 10:01:00;60.2;109.4\n"


def test_several_temperatures_ask_which_is_the_bath() -> None:
    found = see(TWO)
    assert keys(found) == ["channel"]
    assert [(each.value, each.label) for each in found.questions[0].choices] == [
        ("2", "bath (°C)"),
        ("3", "core (°F)"),
    ]
    assert "60.1" in found.questions[0].choices[0].example


def test_the_unit_belongs_to_the_channel() -> None:
    # 100.4 °F is 38 °C and 109.4 °F is 43 °C: exact by (F - 32) / 1.8; pint agrees below.
    found = see(TWO, {"channel": "2,3"})
    assert celsius(found, 0) == degrees("60.1", "60.2")
    assert celsius(found, 1) == degrees("38", "43")


@pytest.mark.parametrize(("unit", "name"), [("°F", "degF"), ("K", "kelvin"), ("°C", "degC")])
@pytest.mark.parametrize("figure", ["333.15", "300", "299.99"])
def test_conversion_agrees_with_a_units_library(unit: str, name: str, figure: str) -> None:
    text = f"time;temp ({unit})\n2026-03-02 10:00:00;{figure}\n2026-03-02 10:01:00;{figure}1\n"
    if name == "degC" and figure == "333.15":
        with pytest.raises(LoggerFileError, match="outside what a probe"):
            see(text)
        return
    expected = pint.UnitRegistry().Quantity(float(figure), name).to("degC").magnitude
    assert float(celsius(see(text))[0]) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("Temp (°C)", "degC"),
        ("Temp [F]", "degF"),
        ("water_c", "degC"),
        ("probe °F", "degF"),
        ("Temperature deg C", "degC"),
        ("Celsius", "degC"),
        ("TempF", None),
        ("Channel 1", None),
        ("Bath", None),
        ("tempC", "degC"),
    ],
)
def test_units_in_headings(name: str, unit: str | None) -> None:
    if name == "TempF":
        assert unit_in_heading(name, [name]) == "degF"
    else:
        assert unit_in_heading(name, [name]) == unit


def test_a_last_letter_that_numbers_the_columns_is_no_unit() -> None:
    names = ["mean_a", "mean_b", "mean_c"]
    assert [unit_in_heading(each, names) for each in names] == [None, None, None]
    assert unit_in_heading("mean_c_c", ["mean_a_c", "mean_b_c", "mean_c_c"]) == "degC"


def test_a_unit_that_is_nowhere_is_asked_for_with_the_kitchens_own_first() -> None:
    text = "time;bath\n2026-03-02 10:00:00;140\n2026-03-02 10:01:00;141.8\n"
    found = see(text, unit="degF")
    assert keys(found) == ["unit_2"]
    assert [each.value for each in found.questions[0].choices] == ["degF", "degC", "kelvin"]
    assert celsius(see(text, {"unit_2": "degF"})) == degrees("60", "61")
    assert celsius(see(text, {"unit_2": "degC"})) == degrees("140", "141.8")


def test_units_in_cells_in_a_unit_column_and_in_a_line_of_their_own() -> None:
    cells = "time;bath\n2026-03-02 10:00:00;60.0 °C\n2026-03-02 10:01:00;140F\n"
    column = "time;bath;unit\n2026-03-02 10:00:00;60.0;C\n2026-03-02 10:01:00;140;F\n"
    line = "time;bath (°C)\n2026-03-02 10:00:00;60.0\nUnit: °F\n2026-03-02 10:01:00;140\n"
    for text in (cells, column, line):
        found = see(text)
        assert celsius(found) == degrees("60", "60"), text
        assert found.channels[0].unit == "degC, degF"


def test_two_units_for_one_reading_refuse_it() -> None:
    found = see("time;bath (°C)\n2026-03-02 10:00:00;60.0\n2026-03-02 10:01:00;140 °F\n")
    assert celsius(found) == degrees("60")
    assert "two units" in refused(found)[3]


def test_a_set_point_a_humidity_and_a_count_are_no_bath() -> None:
    text = "no.;time;set_point_c;bath_c;humidity %\n1;2026-03-02 10:00:00;60;59.1;80\n"
    assert celsius(see(text)) == degrees("59.1")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time;humidity %\n2026-03-02 10:00:00;60.5\n", "No temperature column"),
        ("bath (°C);core (°C)\n60.5;40.1\n60.6;40.2\n", "No time column"),
        ("time;temp_c\n2026-03-02 10:00:00;---\n2026-03-02 10:01:00;ERR\n", "No row.*no reading"),
        ("time;temp_c\n45/13/2026 10:00:00;60.5\n", "No row.*date does not exist"),
        ("time;temp_c\n2026-03-02 25:00:00;60.5\n2026-03-02 26:00:00;60.5\n", "No row"),
    ],
)
def test_what_is_missing_is_said(text: str, says: str) -> None:
    with pytest.raises(LoggerFileError, match=says):
        see(text)


def test_a_decimal_comma_that_proves_itself() -> None:
    found = see("time;temp_c\n2026-03-02 10:00:00;60,125\n2026-03-02 10:01:00;60,5\n")
    assert found.decimal_mark == ","
    assert celsius(found) == degrees("60.125", "60.5")


def test_three_decimals_after_a_comma_wait_for_an_answer() -> None:
    text = "time;temp_c\n2026-03-02 10:00:00;1,250\n2026-03-02 10:01:00;1,500\n"
    found = see(text)
    assert keys(found) == ["decimal"]
    assert [each.example for each in found.questions[0].choices] == ["1,250 is 1250", "1,250 is 1.250"]
    assert celsius(see(text, {"decimal": "comma"})) == degrees("1.250", "1.500")
    with pytest.raises(LoggerFileError, match="outside what a probe"):
        see(text, {"decimal": "point"})


def test_both_signs_in_one_file_wait_for_an_answer() -> None:
    text = "time;temp_c\n2026-03-02 10:00:00;60,1\n2026-03-02 10:01:00;60.2\n"
    assert keys(see(text)) == ["decimal"]
    assert celsius(see(text, {"decimal": "either"})) == degrees("60.1", "60.2")
    told = see(text, {"decimal": "comma"})
    assert celsius(told) == degrees("60.1")
    assert "another decimal sign" in refused(told)[3]


def test_a_comma_that_separates_and_stands_before_decimals() -> None:
    text = "time,bath_c,room_c\n2026-03-02 10:00:00,60,1,20,5\n2026-03-02 10:01:00,60,2,20,6\n"
    assert keys(see(text)) == ["decimal"]
    told = see(text, {"decimal": "comma", "channel": "2"})
    assert celsius(told) == degrees("60.1", "60.2")
    with pytest.raises(LoggerFileError, match="Name every column"):
        see(text, {"decimal": "no"})


def test_a_jump_as_of_a_switched_unit_is_asked_about() -> None:
    # 140.0 °F is 60 °C; the figures jump from 60.1 to 140.0 while nothing in the file says so.
    figures = ["60.0", "60.1", "140.0", "140.9"]
    text = "time;bath (°C)\n" + "".join(f"2026-03-02 10:0{at}:00;{each}\n" for at, each in enumerate(figures))
    found = see(text)
    assert keys(found) == ["unit_change_2"]
    assert "line 4" in found.questions[0].text
    assert celsius(see(text, {"unit_change_2": "degF"})) == degrees("60.0", "60.1", "60", "60.5")
    assert celsius(see(text, {"unit_change_2": "same"})) == degrees(*figures)


def test_a_unit_above_the_heading_and_one_in_a_second_line_of_it() -> None:
    above = "Unit: °F\nSerial: 12\ntime;bath\n2026-03-02 10:00:00;140\n"
    below = "time;bath;room\n[s];[°F];[°C]\n0;140;20\n1;140;20\n"
    assert celsius(see(above)) == degrees("60")
    assert celsius(see(below, {"channel": "2", "started_at": "2026-03-02T10:00"})) == degrees("60", "60")
