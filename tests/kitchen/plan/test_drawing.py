"""The flow diagram and the curve, drawn from the content."""

from __future__ import annotations

from itertools import pairwise

from kitchen.base.drawing import text_width
from kitchen.plan.drawing import SIZE, core_picture, flow_picture, span


def test_each_step_has_its_box_and_each_control_point_a_heavy_one(planned):
    family = planned.part("families")[0]
    picture = flow_picture(family["name"], family["way"])
    frames = [each for each in picture.strokes if each.d.endswith("Z")]
    assert len(frames) == len(family["way"])
    assert len([each for each in frames if each.weight == "2.6"]) == 4
    assert len([each for each in frames if each.dash]) == 2
    assert "Delivery" in picture.labels[0].words
    assert picture.desc.startswith("delivery, then raw storage, then")


def test_no_word_leaves_the_drawing_and_no_box_touches_the_next(planned):
    for family in planned.part("families"):
        picture = flow_picture(family["name"], family["way"])
        for label in picture.labels:
            x, wide = float(label.x), text_width(label.words, SIZE)
            left = {"start": x, "middle": x - wide / 2, "end": x - wide}[label.anchor]
            assert left >= 0, label.words
            assert left + wide <= float(picture.width) + 0.1 * wide, label.words
        tops = [float(each.d.split()[1].split("H")[0]) for each in picture.strokes if each.d.endswith("Z")]
        assert all(after - before > 40 for before, after in pairwise(tops))
        assert tops[-1] < float(picture.height)


def step(name, **facts):
    """One step of a way."""
    return {"key": name, "name": name, "only": "", "point": "", "inputs": [], **facts}


def test_the_longest_input_has_room():
    picture = flow_picture("x", [step("Binding", inputs=["transglutaminase"])])
    label = next(each for each in picture.labels if each.words == "transglutaminase")
    assert float(label.x) - text_width(label.words, SIZE) >= 0


def test_many_dishes_are_cut_short_inside_their_box():
    dishes = ", ".join(f"a dish with a long name {number}" for number in range(9))
    picture = flow_picture("x", [step("Brining", only=dishes)])
    label = next(each for each in picture.labels if each.words.startswith("only"))
    assert label.words.endswith("…")
    assert text_width(label.words, SIZE) < 334


def test_the_curve_shows_set_point_limit_and_times(planned):
    curve = planned.part("validation")[0]["curve"]
    picture = core_picture("Chicken", curve, "degC")
    words = [each.words for each in picture.labels]
    assert "set point" in words
    assert "60 °C for 45 min" in words
    assert any("3 h planned" in each for each in words)
    assert core_picture("Chicken", {}, "degC") is None


def test_durations_are_spelt():
    assert [span(each) for each in (5, 60, 95, 1560)] == ["5 min", "1 h", "1 h 35 min", "26 h"]
