"""The Bench's lanes: now stands at a third, and each bar can be touched and read."""

import itertools
import re
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string

from kitchen.base.drawing import text_width
from kitchen.base.lanes import Bar, Excursion, Lane, lanes_picture

NOW = datetime(2026, 11, 24, 10, 47, tzinfo=UTC)


def at(minutes):
    return NOW + timedelta(minutes=minutes)


def bar(label, *minutes, end=None, outcome="meets limits"):
    start, hold_from, hold_until = (None if m is None else at(m) for m in minutes)
    return Bar(label, start, f"/{label}/", hold_from, hold_until, end and at(end), outcome)


BUSY = [
    Lane(
        "Bath 1 · 60.0 °C",
        (
            bar("Bags 7–10 · lamb neck", -150, -48, 72),
            bar("Bag 11", -20, 55, 118, outcome="unproven"),
            bar("Bag 12", 100, 150, 239),
        ),
        ticks=tuple(at(m) for m in (-120, -90, -30)),
        missing=(at(-60),),
        excursions=(Excursion(at(-45), at(-25)),),
        url="/baths/1/",
    ),
    Lane(
        "Bath 2",
        (
            bar("Bag 3 · a long cook", -700, -500, 400),
            bar("Bag 4", -110, -70, -10, end=-8),
            bar("Bag 5", 4, 40, 85),
        ),
    ),
    Lane("Ice slurry", (bar("Bag 2", -95, None, 25, outcome="fails limits"), bar("Bag 1", -95, None, None))),
    Lane("Fridge 2"),
]


def draw(lanes=BUSY, **given):
    return lanes_picture(lanes, now=NOW, timezone="Europe/London", **given)


def boxes(picture):
    size = float(picture.size)
    for label in picture.labels:
        reach = text_width(label.words, size) * 0.9
        x = float(label.x) - {"start": 0, "middle": reach / 2, "end": reach}[label.anchor]
        yield label.words, (x, x + reach, float(label.y) - 0.7 * size, float(label.y) + 0.2 * size)


@pytest.mark.parametrize("hours", [3, 6, 12])
def test_now_is_a_third_and_words_stand_apart(hours):
    picture = draw(span=timedelta(hours=hours))
    assert float(picture.now_x) == 320
    assert float(picture.per_minute) == pytest.approx(960 / (hours * 60), abs=1e-4)
    found = list(boxes(picture))
    for words, (left, right, _, bottom) in found:
        assert left >= 0, words
        assert right <= 961, words
        assert bottom <= float(picture.height), words
    for (one, a), (two, b) in itertools.combinations(found, 2):
        assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2], (one, two)


def test_every_bar_in_sight_is_one_large_link_apart_from_the_others():
    links = [each for each in draw().links if each.url.startswith("/Bag")]
    assert {each.url for each in links} == {f"/{b.label}/" for lane in BUSY for b in lane.bars}
    places = [tuple(map(float, (each.x, each.y, each.width, each.height))) for each in links]
    for _, _, width, height in places:
        # 820 px less the page's edges show the 960 units of the picture at 0.81: 60 units are 48 px.
        assert width >= 48
        assert height >= 60
    for (ax, ay, aw, ah), (bx, by, bw, bh) in itertools.combinations(places, 2):
        assert ax + aw <= bx + 0.2 or bx + bw <= ax + 0.2 or ay + ah <= by + 0.2 or by + bh <= ay + 0.2
    assert "Bag 11, 12:45, unproven" in {each.words for each in links}


def test_what_has_left_before_the_picture_begins_is_not_drawn():
    lanes = [Lane("Bath 1", (bar("Bag 1", -400, -380, -200, end=-190), bar("Bag 2", 500, 520, 560)))]
    assert not draw(lanes).links


def edges(picture):
    return [stroke.d for stroke in picture.strokes if stroke.weight == "2.2"]


def test_a_missing_reading_is_a_gap_and_an_excursion_a_bend():
    plain = draw([Lane("Bath 1")])
    gap = draw([Lane("Bath 1", missing=(at(-60),))])
    low = draw([Lane("Bath 1", excursions=(Excursion(at(-45), at(-25)),))])
    high = draw([Lane("Bath 1", excursions=(Excursion(at(-45), at(-25), below=False),))])
    assert (len(edges(plain)), len(edges(gap)), len(edges(low))) == (1, 2, 1)
    level = {float(y) for _, y in re.findall(r"([\d.]+) ([\d.]+)", edges(plain)[0])}
    assert len(level) == 1
    bent = [{float(y) for _, y in re.findall(r"([\d.]+) ([\d.]+)", edges(each)[0])} for each in (low, high)]
    assert max(bent[0]) > min(level)
    assert min(bent[1]) < min(level)


def test_it_is_drawn_without_styles_and_with_safe_words():
    lane = Lane("Bath <1>", (Bar("Bag & co", at(-5), '/b/"7"/', at(1), at(2)),))
    tree = ElementTree.fromstring(render_to_string("base/lanes.svg", {"lanes": draw([lane])}))
    assert not any("style" in element.attrib for element in tree.iter())
    assert tree.find("{*}a").attrib == {"href": '/b/"7"/', "aria-label": "Bag & co, 10:49"}
    assert tree.attrib["data-now"] == NOW.isoformat()
