"""Whatever the bytes, a look ends with a result, a question or a message: never with another error."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitchen.feeds.logger import look
from kitchen.feeds.shapes import LoggerFileError, Look

ROOT = Path(__file__).resolve().parents[3]
WORDS = (
    "time|temp_c|60.1|60,1|1,250|85.0|-127|---|NaN|°F|C|elapsed_s|0|7|1e9|99999999999999|46083.4|1772445600"
    "|03/04/2026|2026-03-02|10:00|10:00:10|25:61|2026-03-02T10:00:00Z|31/02/26|2026-10-25T01:30|stopped|Unit:"
)
CELL = st.one_of(
    st.sampled_from(WORDS.split("|")),
    st.text(alphabet='0123456789.,:;-/"T +eE°CF\t|\u0660²', max_size=14),
)
HEADING = st.sampled_from(["time;temp_c", "date;bath", "elapsed_s;°F", "time;a;b", "Time (UTC);temp [F]"])
LINE = st.tuples(st.lists(CELL, min_size=1, max_size=4), st.sampled_from([";", ",", "\t", "|"])).map(
    lambda both: both[1].join(both[0])
)


def answered(data: bytes, most: int = 12) -> Look | None:
    """Answer every question with its first choice until none is left."""
    said: dict[str, str] = {}
    for _ in range(most):
        try:
            found = look(data, said, timezone="Europe/London", started_at=None)
        except LoggerFileError as error:
            message = str(error)
            break
        if not found.questions:
            return found
        assert not found.channels
        typed = {"moment": "2026-03-02T09:00", "day": "2026-03-02"}
        for each in found.questions:
            assert each.key not in said, "an answer was not taken"
            said[each.key] = each.choices[0].value if each.choices else typed[each.kind]
    else:
        raise AssertionError("the questions do not end")
    assert len(message) > 20
    return None


def coherent(found: Look | None) -> None:
    if found is None:
        return
    for channel in found.channels:
        moments = [each.at for each in channel.readings]
        assert moments == sorted(set(moments))
        assert all(each.celsius.is_finite() and -60 <= each.celsius <= 300 for each in channel.readings)
        lines = {each.line for each in channel.readings}
        if len(found.channels) == 1:
            assert not lines & {each.line for each in found.refused}
            assert len(lines) + len(found.refused) <= found.rows


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_arbitrary_bytes(data: bytes) -> None:
    coherent(answered(data))


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(LINE, max_size=12))
def test_arbitrary_tables(lines: list[str]) -> None:
    coherent(answered("\n".join(lines).encode()))


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.lists(CELL, min_size=1, max_size=3), max_size=10),
    st.sampled_from(["time;temp_c", "date;bath", "elapsed_s;°F"]),
)
def test_a_heading_and_arbitrary_rows(cells: list[list[str]], heading: str) -> None:
    text = "\n".join([heading, "2026-03-02 10:00:00;60.1", *(";".join(each) for each in cells)])
    coherent(answered(text.encode()))


def test_a_look_needs_no_django() -> None:
    code = "import sys, kitchen.feeds.logger; sys.exit('django' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False, cwd=ROOT).returncode == 0
