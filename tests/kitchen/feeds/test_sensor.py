"""Error values of sensors, told from real ones by their context. Common practice, no source."""

from __future__ import annotations

import pytest

from tests.kitchen.feeds.looks import celsius, degrees, keys, refused, see


def run(*values: str, unit: str = "°C") -> str:
    return f"time;temp ({unit})\n" + "".join(
        f"2026-03-02 10:{at // 6:02d}:{at % 6 * 10:02d};{each}\n" for at, each in enumerate(values)
    )


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        (("85.0", "23.1", "23.2", "23.1"), [2]),
        (("85.0", "85.0", "23.2", "23.1"), [2, 3]),
        (("84.9", "85.0", "85.1"), []),
        (("84.9", "85.0", "85.0", "85.0", "84.9"), []),
        (("85.0", "84.9", "85.0", "85.0"), []),
        (("60.1", "85.0", "60.0"), [3]),
        (("79", "82", "85", "88"), []),
        (("80.2", "80.1", "80.0", "85.0"), [5]),
        (("84.8", "84.9", "85.0", "40.0", "30.0"), []),
        (("60.1", "-127", "60.0", "999", "60.1"), [3, 5]),
        (("60.1", "-127.00", "-127.00", "60.0"), [3, 4]),
        (("60.1", "0.0", "60.0"), [3]),
        (("0.2", "0.1", "0.0", "-0.1", "0.0"), []),
        (("60.1", "20.0", "0.0", "0.0", "0.1"), []),
        (("60.1", "450.0", "60.0"), [3]),
    ],
)
def test_values_are_judged_by_their_context(values: tuple[str, ...], wrong: list[int]) -> None:
    assert list(refused(see(run(*values)))) == wrong


@pytest.mark.parametrize(
    "word", ["", "---", "NaN", "nan", "ERR", "Error 3", "OL", "N/A", "null", "no data", "*", "Open"]
)
def test_words_and_signs_in_place_of_a_reading(word: str) -> None:
    found = see(run("60.1", word, "60.2"))
    assert celsius(found) == degrees("60.1", "60.2")
    assert "no reading" in refused(found)[3]


def test_power_up_value_in_fahrenheit() -> None:
    # 185 °F is 85 °C exactly.
    assert list(refused(see(run("185.0", "73.4", "73.6", unit="°F")))) == [2]


def test_context_does_not_reach_across_a_restart() -> None:
    text = run("84.9", "85.1", "85.0") + "logging restarted\n"
    text += "2026-03-02 10:05:00;85.0\n2026-03-02 10:05:10;23.0\n2026-03-02 10:05:20;23.1\n"
    assert list(refused(see(text))) == [6]


def test_a_channel_of_nothing_but_85_is_asked_about() -> None:
    text = run("85", "85", "85")
    assert keys(see(text)) == ["constant_2"]
    assert celsius(see(text, {"constant_2": "real"})) == degrees("85", "85", "85")


def test_an_error_in_one_channel_leaves_the_other_alone() -> None:
    text = "time;bath (°C);core (°C)\n2026-03-02 10:00:00;60.1;-127\n2026-03-02 10:00:10;60.2;20.1\n"
    found = see(text, {"channel": "2,3"})
    assert celsius(found, 0) == degrees("60.1", "60.2")
    assert celsius(found, 1) == degrees("20.1")
    assert refused(found)[2].startswith("core (°C): ")
