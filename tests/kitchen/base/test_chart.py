"""The bag's picture: nothing lost, nothing on top of another, whole on page and paper."""

import itertools
import math
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string

from haccp.record import BagCurve
from kitchen.base.chart import Hold, LimitLine, Spot, Stage, Words, core_chart
from kitchen.base.drawing import text_width

T0 = datetime(2026, 11, 24, 8, 10, tzinfo=UTC)


def at(minutes):
    return T0 + timedelta(minutes=minutes)


def curve(minutes=400, step=1.0, spike_at=None):
    """A made-up cook and chill with a first-order lag: only its drawing is tested."""
    times, medium, best = [], [], []
    core = 4.0
    for index in range(int(minutes / step) + 1):
        now = index * step
        bath = 60.2 if now < 210 else 1.5
        core += (bath - core) * step / 28
        times.append(now * 60)
        medium.append(bath if index != spike_at else 83.0)
        best.append(core)
    near = [tuple(value + shift for value in best) for shift in (0, -0.7, 0.6)]
    return BagCurve(T0, tuple(times), tuple(medium), *near)


def rich(width=960, **changed):
    given = {
        "limits": [LimitLine(c, f"{c} °C, a limit") for c in (60, 59.5, 8, 5, 3, 2)],
        "holds": [Hold(at(162), at(210), 59.5)],
        "stages": [
            Stage(at(210), at(330), "57 → 21 °C, 2 h", 57.2, 21.1),
            Stage(at(250), at(400), "to 5 °C"),
        ],
        "bag_in": at(0),
        "bag_out": at(210),
        "readings": [Spot(at(m), 60.1) for m in (5, 35, 65)],
        "checks": [Spot(at(208), 59.6)],
        "timezone": "Europe/London",
        "width": width,
    }
    return core_chart(curve(), **{**given, **changed})


def box(label, size):
    reach = text_width(label.words, size) * 0.9  # the estimate is generous; see test_drawing
    x = float(label.x) - {"start": 0, "middle": reach / 2, "end": reach}[label.anchor]
    return x, x + reach, float(label.y) - 0.7 * size, float(label.y) + 0.2 * size


PICTURES = {
    "page": rich(),
    "paper": rich(width=680, height=330, size=12),
    "narrow": rich(width=420, height=360, size=12),
    "fahrenheit": rich(unit="degF"),
    "night": rich(now=at(20 * 60)),
    "week": core_chart(curve(7 * 24 * 60, step=30), timezone="Pacific/Auckland", bag_in=at(0)),
    "start": core_chart(curve(0), timezone="Europe/London", bag_in=at(0), now=at(0)),
}


@pytest.mark.parametrize("name", PICTURES)
def test_no_words_touch_or_leave_the_picture(name):
    picture = PICTURES[name]
    boxes = [(label.words, box(label, float(picture.size))) for label in picture.labels]
    for words, (left, right, top, bottom) in boxes:
        assert left >= 0, words
        assert right <= float(picture.width) + 1, words
        assert top >= 0, words
        assert bottom <= float(picture.height), words
    for (one, a), (two, b) in itertools.combinations(boxes, 2):
        assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2], (one, two)


def medium_path(picture):
    return next(s.d for s in picture.strokes if s.weight == "1.1" and not s.dash and s.d.count(" ") > 40)


def test_one_reading_out_of_thousands_still_shows():
    spiked = medium_path(core_chart(curve(step=0.05, spike_at=3001), timezone="UTC"))
    plain = medium_path(core_chart(curve(step=0.05), timezone="UTC"))
    assert len(spiked) < 8001 * 8
    figures = [float(y) for y in spiked.removeprefix("M").split()[1::2]]
    assert sum(y < figures[0] - 30 for y in figures) == 1
    assert len({float(y) for y in plain.removeprefix("M").split()[1::2][:50]}) == 1


@pytest.mark.parametrize("gap", [(at(96), at(119)), (at(96.2), at(96.8)), (at(96), at(97))])
def test_a_gap_stays_blank(gap):
    path = medium_path(rich(gaps=[gap]))
    assert path.count("M") == 2
    assert medium_path(rich()).count("M") == 1


def test_what_is_not_a_number_stays_blank():
    whole = curve()
    best = [math.nan if 50 <= i < 60 else value for i, value in enumerate(whole.best_c)]
    picture = core_chart(
        BagCurve(T0, whole.at_s, whole.medium_c, tuple(best), whole.low_c, whole.high_c), timezone="UTC"
    )
    assert next(s.d for s in picture.strokes if s.weight == "2.6" and "M" in s.d[1:]).count("M") == 2
    assert not any("nan" in stroke.d for stroke in picture.strokes)


def test_times_are_the_kitchens_and_temperatures_its_unit():
    words = {label.words for label in rich(timezone="Asia/Kolkata", unit="degF").labels}
    # 08:10 UTC is 13:40 in India (UTC+5:30); 60 °C is 140 °F.
    assert {"bag in 13:40", "Asia/Kolkata", "hold, proven 16:22–17:10", "140 °F"} <= words


def test_the_core_starts_and_ends_where_it_did():
    # Own computation: two figures on a 0–60 axis whose place the axis labels tell.
    picture = rich()
    marks = {each.words.removesuffix(" °C"): float(each.y) for each in picture.labels if each.anchor == "end"}
    per_degree = (marks["0"] - marks["50"]) / 50
    core = next(s.d for s in picture.strokes if s.weight == "2.6" and s.d.count(" ") > 40)
    heights = [float(y) for y in core.removeprefix("M").split()[1::2]]
    zero = marks["0"] - 0.35 * float(picture.size)
    first, last = curve().best_c[0], curve().best_c[-1]
    assert (zero - heights[0]) / per_degree == pytest.approx(first, abs=0.1)
    assert (zero - heights[-1]) / per_degree == pytest.approx(last, abs=0.1)


def test_nothing_to_draw_is_said():
    empty = BagCurve(T0, (), (), (), (), ())
    with pytest.raises(ValueError, match="at least one moment"):
        core_chart(empty, timezone="UTC")
    assert core_chart(empty, timezone="UTC", bag_in=at(0)).labels


def test_it_is_drawn_with_presentation_attributes_and_safe_words():
    picture = rich(words=Words(title="Core <of> bag & 7"), limits=[LimitLine(60, "<60>")])
    svg = render_to_string("base/chart.svg", {"chart": picture})
    tree = ElementTree.fromstring(svg)
    assert not any("style" in element.attrib for element in tree.iter())
    assert tree.find("{*}title").text == "Core <of> bag & 7"
    assert "bag out 11:40" in tree.find("{*}desc").text
    assert tree.attrib["font-family"] == "IBM Plex Sans"


def test_it_prints(tmp_path):
    import pypdf
    from weasyprint import HTML

    svg = render_to_string("base/chart.svg", {"chart": PICTURES["paper"]})
    HTML(string=f"<title>x</title>{svg}").write_pdf(tmp_path / "x.pdf")
    text = pypdf.PdfReader(tmp_path / "x.pdf").pages[0].extract_text()
    assert "hold, proven 10:52–11:40" in text
    assert "57 → 21 °C, 2 h" in text
