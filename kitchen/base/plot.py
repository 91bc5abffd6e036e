"""A plain picture of temperatures along a line of time, from which the smaller charts are made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from haccp import units
from kitchen.base import axes
from kitchen.base.drawing import number, runs, spread, text_width, thin
from kitchen.base.picture import Pen, Picture


@dataclass(frozen=True)
class Tick:
    """A mark on the time axis, `at` as far along as the curves count it."""

    at: float
    label: str


@dataclass(frozen=True)
class Level:
    """A temperature [°C] that is drawn across, with its words in the margin."""

    celsius: float
    label: str


@dataclass(frozen=True)
class Upright:
    """A moment that is drawn upwards, with its words at the head."""

    at: float
    label: str


@dataclass(frozen=True)
class Curve:
    """One curve: pairs of time and °C; a pair that is not a number breaks it."""

    points: Sequence[tuple[float, float]]
    weight: float = 2
    dash: str = ""
    label: str = ""


def plot(
    curves: Sequence[Curve],
    ticks: Iterable[Tick],
    *,
    title: str,
    desc: str,
    unit: str = "degC",
    levels: Sequence[Level] = (),
    uprights: Sequence[Upright] = (),
    width: float = 960,
    height: float = 260,
    size: float = 16,
) -> Picture:
    """Lay the curves out over one time axis. Temperatures are given in °C and drawn in `unit`."""

    def figure(celsius: float) -> float:
        return units.to_fahrenheit(celsius) if unit == "degF" else celsius

    pen = Pen(size)
    times = [at for curve in curves for at, _ in curve.points] + [each.at for each in uprights]
    start, span = min(times), (max(times) - min(times)) or 1.0
    figures = [figure(c) for curve in curves for _, c in curve.points if c == c]
    figures += [figure(each.celsius) for each in levels]
    # A curve that dips a hair below a round figure does not open a whole empty band under it.
    slack = 0.02 * (max(figures) - min(figures))
    marks = axes.figure_ticks(min(figures) + slack, max(figures), most=5)
    labels = [axes.figure_label(mark, marks[1] - marks[0]) for mark in marks]
    labels[-1] += " °F" if unit == "degF" else " °C"
    margin = max((text_width(each.label, size) for each in levels), default=0.0)
    left = max(text_width(label, size) for label in labels) + size
    right = width - (margin + size * 2 if margin else size)
    top = size * (0.9 + 1.5 * (bool(uprights) + any(curve.label for curve in curves)))
    bottom = height - size * 2

    def x(at: float) -> float:
        return left + (right - left) * (at - start) / span

    def y(celsius: float) -> float:
        return bottom - (bottom - top) * (figure(celsius) - marks[0]) / (marks[-1] - marks[0])

    for mark, label in zip(marks, labels, strict=True):
        place = bottom - (bottom - top) * (mark - marks[0]) / (marks[-1] - marks[0])
        pen.level(left, right, place, 0.6, dark=0.3)
        pen.say(left - size / 2, place, label, "end", middle=True)
    for tick in ticks:
        pen.upright(x(tick.at), bottom, bottom + 6)
        pen.say(x(tick.at), bottom + size * 1.6, tick.label, "middle")
    pen.draw(f"M{number(left)} {number(top)}V{number(bottom)}H{number(right)}", 1.4)

    key = left
    for curve in curves:
        for run in runs([(x(at), y(celsius)) for at, celsius in curve.points]):
            points = [f"{number(a)} {number(b)}" for a, b in thin(run)]
            pen.draw(
                f"M{'L'.join(points)}" if len(points) > 1 else f"M{points[0]}h1", curve.weight, curve.dash
            )
        if curve.label:
            pen.level(key, key + 2.2 * size, size * 0.7, curve.weight, curve.dash)
            pen.say(key + 2.6 * size, size * 0.7, curve.label, middle=True)
            key += 3.8 * size + text_width(curve.label, size)

    heights = [y(each.celsius) for each in levels]
    for level, at, place in zip(levels, heights, spread(heights, size * 1.25, top, bottom), strict=True):
        pen.level(left, right, at, 1.1, "12 3 2 3")
        pen.draw(f"M{number(right)} {number(at)}h4L{number(right + size)} {number(place)}h4", 0.8)
        pen.say(right + size + 6, place, level.label, middle=True)
    for each in uprights:
        pen.upright(x(each.at), top - size * 0.3, bottom, 1.1)
        near_end = x(each.at) + text_width(each.label, size) > width
        pen.say(
            x(each.at) + (-4 if near_end else 4), top - size * 0.4, each.label, "end" if near_end else "start"
        )
    return pen.picture(width, height, title, desc)
