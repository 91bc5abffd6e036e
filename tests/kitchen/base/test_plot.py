"""The plain plot: where a value lands, what breaks a curve, where words stand."""

from __future__ import annotations

import re

import pytest

from kitchen.base.plot import Curve, Level, Tick, Upright, plot

NAN = float("nan")


def draw(points, **more):
    return plot([Curve(points)], [Tick(0, "start"), Tick(10, "end")], title="T", desc="D", **more)


def path_of(picture, weight="2"):
    """The points of the one curve, by its weight."""
    (d,) = [each.d for each in picture.strokes if each.weight == weight]
    return [tuple(map(float, pair.split())) for pair in re.split("[ML]", d) if pair]


def test_the_ends_of_a_curve_stand_over_their_ticks_and_at_their_figures():
    picture = draw([(0, 0.0), (5, 50.0), (10, 100.0)])
    (x0, y0), (x1, y1), (x2, y2) = path_of(picture)
    labels = {each.words: each for each in picture.labels}
    assert (x0, x2) == (float(labels["start"].x), float(labels["end"].x))
    # Linear in both directions: the middle of the values is the middle of the picture.
    assert x1 == pytest.approx((x0 + x2) / 2, abs=0.1)
    assert y1 == pytest.approx((y0 + y2) / 2, abs=0.1)
    assert y2 < y1 < y0


def test_a_gap_parts_a_curve_and_a_single_reading_is_still_seen():
    picture = draw([(0, 60.0), (2, 61.0), (3, NAN), (4, 60.5), (5, NAN), (8, 61.0), (10, 62.0)])
    drawn = [each.d for each in picture.strokes if each.weight == "2"]
    assert len(drawn) == 3
    assert drawn[1].endswith("h1")


def test_fahrenheit_changes_the_words_and_not_the_shape():
    celsius, fahrenheit = (draw([(0, 0.0), (10, 100.0)], unit=unit) for unit in ("degC", "degF"))
    assert any(each.words == "100 °C" for each in celsius.labels)
    assert any(each.words.endswith("°F") for each in fahrenheit.labels)
    # 32 and 212 °F are 0 and 100 °C by definition; a round scale above 212 leaves a band free at the top.
    assert path_of(fahrenheit)[1][1] >= path_of(celsius)[1][1]


def test_the_words_of_neighbouring_levels_do_not_overlap():
    levels = [Level(60.0, "60 °C for 45 min"), Level(60.2, "set point")]
    picture = draw([(0, 5.0), (10, 60.0)], levels=levels)
    one, other = (float(each.y) for each in picture.labels if each.words in ("60 °C for 45 min", "set point"))
    assert abs(one - other) >= 16


def test_words_of_a_moment_stay_inside_the_picture():
    picture = draw(
        [(0, 5.0), (10, 60.0)], uprights=[Upright(0, "early"), Upright(10, "a long way off, at the end")]
    )
    anchors = {each.words: each.anchor for each in picture.labels}
    assert (anchors["early"], anchors["a long way off, at the end"]) == ("start", "end")


def test_one_reading_alone_is_drawn():
    assert [each.d for each in draw([(0, 64.0)]).strokes if each.weight == "2"]
