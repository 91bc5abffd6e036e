"""The strip of a finding: which side is forbidden, where the figures stand."""

import itertools
import math
import re

import pytest

from haccp.record import Finding, Outcome, Step
from kitchen.base.drawing import text_width
from kitchen.base.strip import finding_strip, margin_strip


def wall_and_hatch(picture):
    wall = next(float(re.match(r"M([\d.]+)", s.d)[1]) for s in picture.strokes if s.weight == "2.4")
    hatched = next(s.d for s in picture.strokes if s.dark == "0.8")
    xs = [float(x) for pair in re.findall(r"M([\d.]+) [\d.]+L([\d.]+)", hatched) for x in pair]
    return wall, min(xs), max(xs)


@pytest.mark.parametrize(
    ("measured", "required", "at_least", "unit"),
    [
        (41, 45, True, "min"),
        (62, 45, True, "min"),
        (9.4, 8, False, "°C"),
        (60.0, 60.0, True, "°C"),
        (0, 6, False, "h"),
    ],
)
def test_the_forbidden_side_is_hatched_up_to_the_wall(measured, required, at_least, unit):
    wall, first, last = wall_and_hatch(
        margin_strip(measured=measured, required=required, at_least=at_least, unit=unit)
    )
    if at_least:
        assert last == pytest.approx(wall, abs=0.1)
        assert first < wall
    else:
        assert first == pytest.approx(wall, abs=0.1)
        assert last > wall


def test_durations_are_to_scale_from_zero():
    picture = margin_strip(measured=41, required=45, at_least=True, unit="min")
    wall, *_ = wall_and_hatch(picture)
    filled = next(s.d for s in picture.strokes if s.filled)
    left, right = re.match(r"M([\d.]+) [\d.]+H([\d.]+)", filled).groups()
    assert (float(right) - float(left)) / (wall - float(left)) == pytest.approx(41 / 45, abs=0.002)


@pytest.mark.parametrize("measured", [0.0, 1.0, 44.9, 45.0, 45.1, 400.0])
def test_words_stand_apart_and_inside(measured):
    picture = margin_strip(
        measured=measured, required=45, at_least=True, unit="min", margin_text="a margin of so many min"
    )
    boxes = []
    for label in picture.labels:
        half, y = text_width(label.words, 14) * 0.45, float(label.y)
        boxes.append((float(label.x) - half, float(label.x) + half, y - 10, y + 3))
    assert all(
        left >= 0 and right <= 300 and bottom <= float(picture.height) for left, right, _, bottom in boxes
    )
    for a, b in itertools.combinations(boxes, 2):
        assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2]


def finding(outcome, measured, required):
    return Finding("r", Step.COOK, outcome, "s", measured_value=measured, required_value=required, unit="min")


@pytest.mark.parametrize(
    ("outcome", "measured", "required", "side"),
    [
        (Outcome.MEETS, 50, 45, "at least"),
        (Outcome.FAILS, 41, 45, "at least"),
        (Outcome.UNPROVEN, 41, 45, "at least"),
        (Outcome.FAILS, 130, 120, "at most"),
        (Outcome.MEETS, 100, 120, "at most"),
        (Outcome.MEETS, 45, 45, "at least"),
    ],
)
def test_a_finding_says_which_side_meets_it(outcome, measured, required, side):
    assert f"{side} {required} min" in finding_strip(finding(outcome, measured, required)).title


def test_without_two_figures_there_is_no_strip():
    assert finding_strip(finding(Outcome.UNPROVEN, None, 45)) is None
    with pytest.raises(ValueError, match="finite"):
        margin_strip(measured=math.nan, required=45, at_least=True, unit="min")
