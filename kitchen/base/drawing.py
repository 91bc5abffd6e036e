"""What the drawings share: thinning, room for words, hatching. Pure: figures in, figures out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

Point = tuple[float, float]

# Advance widths of IBM Plex Sans in em, rounded up; digits are all alike there.
_NARROW = {**dict.fromkeys(" .,:;'|!", 0.32), **dict.fromkeys("iljI", 0.38), **dict.fromkeys("ftr()-·", 0.42)}
_WIDE = {**dict.fromkeys("mMW", 0.94), **dict.fromkeys("w", 0.82)}


def text_width(text: str, size: float) -> float:
    """About how wide a text is drawn, never less than it is by more than a hair."""
    return size * sum(
        _NARROW.get(sign) or _WIDE.get(sign) or (0.72 if sign.isupper() else 0.61) for sign in text
    )


def number(value: float) -> str:
    """A coordinate rounded to 0.1, without an idle zero."""
    text = f"{value:.1f}"
    return text.removesuffix(".0") if text != "-0.0" else "0"


def points_path(points: Iterable[Point]) -> str:
    """Points as one stretch of a path's `d`."""
    text = " ".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{text}" if " " in text else ""


def runs(points: Iterable[Point]) -> list[list[Point]]:
    """The stretches between holes: a point whose figure is not a number ends one."""
    found: list[list[Point]] = [[]]
    for x, y in points:
        if math.isfinite(x) and math.isfinite(y):
            found[-1].append((x, y))
        elif found[-1]:
            found.append([])
    return [run for run in found if run]


def thin(points: Sequence[Point], above: int = 2000) -> list[Point]:
    """Fewer points with the same picture: of each pixel column the first, lowest, highest and last.

    Up to `above` points are left alone. No excursion is lost, however short, since the lowest
    and the highest of every column stay.
    """
    if len(points) <= above:
        return list(points)
    kept: list[Point] = []
    begin = 0
    for index in range(1, len(points) + 1):
        if index < len(points) and math.floor(points[index][0]) == math.floor(points[begin][0]):
            continue
        column = range(begin, index)
        low = min(column, key=lambda i: points[i][1])
        high = max(column, key=lambda i: points[i][1])
        kept += [points[i] for i in sorted({begin, low, high, index - 1})]
        begin = index
    return kept


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Places for labels, near those wanted, at least `apart` from each other, within the bounds.

    Neighbours that collide are moved as one block about the middle of what they wanted. Where
    there is not room for all at that distance, they share the room evenly.
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    if len(order) > 1:
        apart = min(apart, (high - low) / (len(order) - 1))
    blocks: list[tuple[list[int], float]] = []  # members and the place of the first
    for index in order:
        members, first = [index], min(max(wanted[index], low), high)
        while True:
            size = (len(members) - 1) * apart
            middle = sum(wanted[i] - k * apart for k, i in enumerate(members)) / len(members)
            first = min(max(middle, low), high - size)
            if not blocks or blocks[-1][1] + len(blocks[-1][0]) * apart <= first + 1e-9:
                break
            members = blocks.pop()[0] + members
        blocks.append((members, first))
    places = [0.0] * len(wanted)
    for members, first in blocks:
        for k, index in enumerate(members):
            places[index] = first + k * apart
    return places


def rows(extents: Sequence[tuple[float, float]], gap: float) -> list[int]:
    """For each extent the first row in which it touches none before it."""
    taken: list[list[tuple[float, float]]] = []
    found = []
    for left, right in extents:
        row = next(
            (k for k, row in enumerate(taken) if all(right + gap <= a or b + gap <= left for a, b in row)),
            len(taken),
        )
        if row == len(taken):
            taken.append([])
        taken[row].append((left, right))
        found.append(row)
    return found


def hatch(left: float, top: float, right: float, bottom: float, apart: float = 7.0) -> str:
    """Rising strokes that fill a rectangle, as the `d` of one path.

    Strokes in place of a fill pattern: they look alike on screen and on paper, and
    neighbouring rectangles share the same set of strokes.
    """
    strokes = []
    offset = math.ceil((left + top) / apart) * apart
    while offset < right + bottom:
        x1, x2 = max(left, offset - bottom), min(right, offset - top)
        if x2 - x1 > 0.05:
            strokes.append(f"M{number(x1)} {number(offset - x1)}L{number(x2)} {number(offset - x2)}")
        offset += apart
    return "".join(strokes)


def between(holes: Sequence[float], start: float, end: float, half: float) -> list[tuple[float, float]]:
    """What is left of a stretch when a hole is cut about each of these places."""
    parts, at = [], start
    for hole in holes:
        if hole - half > at:
            parts.append((at, hole - half))
        at = max(at, hole + half)
    return [*parts, (at, end)] if end > at else parts


def height_at(points: Sequence[Point], x: float) -> float:
    """The height at one place of a line through points in the order of x."""
    for (x1, y1), (x2, y2) in pairwise(points):
        if x1 <= x <= x2:
            return y1 + (y2 - y1) * ((x - x1) / (x2 - x1) if x2 > x1 else 0)
    return 0.0
