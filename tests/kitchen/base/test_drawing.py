"""Thinning, room for words and hatching, each against an independent computation."""

import re
from pathlib import Path

import fontpkg_ibm_plex_sans
import numpy as np
import pytest
from fontTools.ttLib import TTFont
from scipy.optimize import isotonic_regression

from kitchen.base import drawing


def columns(points):
    """Lowest and highest of each pixel column, by brute force."""
    found = {}
    for x, y in points:
        low, high = found.get(int(x), (y, y))
        found[int(x)] = (min(low, y), max(high, y))
    return found


def walk(seed, count=5000, width=900.0):
    rng = np.random.default_rng(seed)
    heights = 200 + np.cumsum(rng.normal(0, 0.4, count))
    heights[rng.integers(0, count, 12)] += rng.normal(0, 90, 12)  # excursions of one reading
    return list(zip(np.linspace(0, width, count).tolist(), heights.tolist(), strict=True))


@pytest.mark.parametrize("seed", range(6))
def test_thinning_keeps_the_extremes_of_every_column(seed):
    points = walk(seed)
    thinned = drawing.thin(points)
    assert columns(thinned) == columns(points)
    assert set(thinned) <= set(points)
    assert thinned == sorted(thinned, key=points.index)
    assert (thinned[0], thinned[-1]) == (points[0], points[-1])
    assert len(thinned) <= 4 * 901


def test_few_points_are_left_alone():
    points = walk(1, count=2000)
    assert drawing.thin(points) == points


def test_runs_part_at_what_is_not_a_number():
    blank = float("nan")
    assert drawing.runs([(0, blank), (1, 2.0), (2, 3.0), (3, blank), (4, blank), (5, 1.0)]) == [
        [(1, 2.0), (2, 3.0)],
        [(5, 1.0)],
    ]


@pytest.mark.parametrize("seed", range(40))
def test_labels_are_spread_as_little_as_can_be(seed):
    # The least-squares answer, from scipy's isotonic regression: with the distances taken off, the
    # places must not fall, and bounds on all of them clip the unbounded answer.
    rng = np.random.default_rng(seed)
    count, apart, low, high = int(rng.integers(1, 9)), 18.0, 50.0, 260.0
    wanted = np.sort(rng.choice([55.0, 60.0, 62.0, 140.0, 200.0, 258.0], count) + rng.normal(0, 6, count))
    steps = apart * np.arange(count)
    best = np.clip(isotonic_regression(wanted - steps).x, low, high - steps[-1]) + steps
    shuffled = rng.permutation(count)
    places = drawing.spread(wanted[shuffled].tolist(), apart, low, high)
    assert np.array(places) == pytest.approx(best[shuffled], abs=1e-9)


def test_labels_without_room_share_it():
    assert drawing.spread([5, 5, 5], 20, 0, 10) == pytest.approx([0, 5, 10])


def test_rows_hold_nothing_that_touches():
    assert drawing.rows([(0, 10), (5, 20), (12, 30), (40, 50), (20.5, 39)], gap=1) == [0, 1, 0, 0, 2]


def test_hatching_fills_the_rectangle_and_stays_in_it():
    left, top, right, bottom = 13.0, 40.0, 71.5, 88.0
    strokes = re.findall(r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", drawing.hatch(left, top, right, bottom, 7))
    for stroke in strokes:
        x1, y1, x2, y2 = map(float, stroke)
        assert left <= x1 < x2 <= right
        assert top <= y2 < y1 <= bottom
        assert x2 - x1 == pytest.approx(y1 - y2, abs=0.11)
    # Each stroke runs along x + y = a whole number of sevenths of the page.
    assert len(strokes) == len([n for n in range(100) if left + top < 7 * n < right + bottom])
    assert drawing.hatch(10, 10, 10, 50) == ""


WORDS = [
    "core, best estimate",
    "60 °C, 45 min (FSA)",
    "bag out 11:40",
    "Bags 7–10 · lamb neck",
    "−5 °C",
    "MMMWWW",
]


@pytest.mark.parametrize("words", WORDS)
def test_words_have_the_room_that_the_font_needs(words):
    # Against the advance widths in the font file itself.
    font = TTFont(next(Path(fontpkg_ibm_plex_sans.ROOT, "files").glob("IBMPlexSans[[]*.ttf")))
    names, widths, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    drawn = 15 * sum(widths[names[ord(sign)]][0] for sign in words) / em
    assert drawn <= drawing.text_width(words, 15) <= 1.25 * drawn


@pytest.mark.parametrize(
    ("value", "text"), [(3.0, "3"), (3.14, "3.1"), (-0.04, "0"), (-2.5, "-2.5"), (100, "100")]
)
def test_coordinates_are_short(value, text):
    assert drawing.number(value) == text
