"""The pictures of a plan, drawn from its content: the flow of a family, the core of a method's worst bag."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from kitchen.base.drawing import number, text_width
from kitchen.base.picture import Pen, Picture
from kitchen.base.plot import Curve, Level, Tick, Upright, plot

WIDTH = 620.0
SIZE = 16.0
LEFT, RIGHT = 196.0, 530.0
BOX, TWO_LINES, GAP = 30.0, 48.0, 16.0
_STEPS_MIN = (5, 10, 15, 30, 60, 120, 240, 480, 720, 1440)


def flow_picture(name: str, way: Sequence[dict[str, Any]]) -> Picture:
    """One family's way, from top to bottom: steps in boxes, what comes in from the side, control points.

    A heavy frame is a critical control point; a dashed frame is a step that only some dishes take.
    """
    pen = Pen(SIZE)
    middle, top = (LEFT + RIGHT) / 2, 4.0
    for place, step in enumerate(way):
        bottom = top + (TWO_LINES if step["only"] else BOX)
        y = (top + bottom) / 2
        frame = f"M{number(LEFT)} {number(top)}H{number(RIGHT)}V{number(bottom)}H{number(LEFT)}Z"
        pen.draw(frame, 2.6 if step["point"] else 1.1, "5 3" if step["only"] else "")
        named = f"{place + 1} · {step['name']}"
        pen.say(middle, y - 9 if step["only"] else y, named, "middle", bold=bool(step["point"]), middle=True)
        if step["only"]:
            said = _short(f"only {step['only']}", RIGHT - LEFT - 12)
            pen.say(middle, y + 11, said, "middle", middle=True)
        if place:
            _arrow(pen, middle, top - GAP, top)
        if step["inputs"]:
            pen.say(LEFT - 40, y, ", ".join(step["inputs"]), "end", middle=True)
            pen.level(LEFT - 34, LEFT - 4, y, 1.1)
            pen.draw(_line((LEFT - 11, y - 4), (LEFT - 3, y), (LEFT - 11, y + 4)), 1.1)
        if step["point"]:
            pen.level(RIGHT, RIGHT + 12, y, 1.1)
            pen.say(RIGHT + 18, y, step["point"], bold=True, middle=True)
        top = bottom + GAP
    said = ", then ".join(step["name"].lower() for step in way)
    return pen.picture(WIDTH, top - GAP + 4, f"Flow diagram: {name}", said, "flow")


def _short(words: str, room: float) -> str:
    """As much of some words as there is room for."""
    if text_width(words, SIZE) <= room:
        return words
    while words and text_width(words + "…", SIZE) > room:
        words = words[:-1]
    return words.rstrip(" ,") + "…"


def _arrow(pen: Pen, x: float, top: float, bottom: float) -> None:
    pen.upright(x, top, bottom - 1, 1.1)
    pen.draw(_line((x - 4, bottom - 8), (x, bottom - 1), (x + 4, bottom - 8)), 1.1)


def _line(*points: tuple[float, float]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def core_picture(name: str, curve: dict[str, Any], unit: str) -> Picture | None:
    """The core of the worst bag from bag in, as it was reckoned; None where it could not be."""
    if not curve:
        return None
    minutes = [float(each) for each in curve["minutes"]]
    drawn = (
        ("best", 2.4, "", "best estimate"),
        ("low", 1.5, "7 3.5", "proven lowest"),
        ("high", 1.3, "1.5 3.5", "proven highest"),
    )
    curves = [
        Curve(list(zip(minutes, map(float, curve[key]), strict=True)), weight, dash, label)
        for key, weight, dash, label in drawn
    ]
    planned = float(curve["planned"])
    uprights = [Upright(planned, f"{span(planned)} planned")]
    if curve["needed"]:
        needed = float(curve["needed"])
        words = f"{span(math.ceil(needed))} needed"
        near = abs(needed - planned) < 0.25 * max(minutes)
        uprights.insert(0, Upright(needed, "" if near else words))
        if near:
            uprights[1] = Upright(planned, f"{words}, {uprights[1].label}")
    return plot(
        curves,
        _ticks(max(minutes)),
        title=f"Core of the worst bag: {name}",
        desc="; ".join(each.label for each in uprights),
        unit=unit,
        levels=[
            Level(float(curve["set_point"]), "set point"),
            *(Level(float(celsius), printed) for celsius, printed in curve["levels"]),
        ],
        uprights=uprights,
        width=1000,
        height=230,
        size=15,
    )


def _ticks(until: float) -> list[Tick]:
    step = next((each for each in _STEPS_MIN if until / each <= 8), _STEPS_MIN[-1])
    return [Tick(at, span(at)) for at in range(0, math.floor(until) + 1, step)]


def span(minutes: float) -> str:
    """*50 min*, *2 h*, *2 h 30 min*."""
    hours, rest = divmod(round(minutes), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d} min" if rest else f"{hours} h"
