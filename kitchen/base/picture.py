"""A drawing as plain values: strokes and words in the units of one view box.

``templates/base/chart.svg`` draws it, with presentation attributes alone (a strict content
security policy shuts style attributes out), the same on a page and in a PDF.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from kitchen.base.drawing import number


@dataclass(frozen=True)
class Stroke:
    """A path in ink: `d`, its weight, its dashes, how dark it is, and whether it is filled."""

    d: str
    weight: str = "1"
    dash: str = ""
    dark: str = "1"
    filled: bool = False


@dataclass(frozen=True)
class Label:
    """Words at a place; `y` is their base line."""

    x: str
    y: str
    words: str
    anchor: str = "start"
    bold: bool = False
    size: str = ""


@dataclass(frozen=True)
class Picture:
    """What the template draws. `kind` is the class by which a page gives it its width."""

    width: str
    height: str
    size: str
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    title: str
    desc: str
    kind: str = "chart"


@dataclass
class Pen:
    """Gathers strokes and labels. `size` is the height of the letters."""

    size: float
    strokes: list[Stroke] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    def draw(self, d: str, weight: float = 1, dash: str = "", dark: float = 1, filled: bool = False) -> None:
        """Add a path, if there is anything in it."""
        if d:
            self.strokes.append(Stroke(d, f"{weight:g}", dash, f"{dark:g}", filled))

    def level(
        self, x1: float, x2: float, y: float, weight: float = 1, dash: str = "", dark: float = 1
    ) -> None:
        """Add a level line."""
        self.draw(f"M{number(x1)} {number(y)}H{number(x2)}", weight, dash, dark)

    def upright(
        self, x: float, y1: float, y2: float, weight: float = 1, dash: str = "", dark: float = 1
    ) -> None:
        """Add an upright line."""
        self.draw(f"M{number(x)} {number(y1)}V{number(y2)}", weight, dash, dark)

    def say(
        self,
        x: float,
        y: float,
        words: str,
        anchor: str = "start",
        *,
        bold: bool = False,
        middle: bool = False,
    ) -> None:
        """Add words; with `middle` they stand centred on `y`, else on it."""
        base = y + 0.35 * self.size if middle else y
        self.labels.append(Label(number(x), number(base), words, anchor, bold))

    def picture(self, width: float, height: float, title: str, desc: str, kind: str = "chart") -> Picture:
        """What was gathered."""
        return Picture(
            number(width),
            number(height),
            number(self.size),
            tuple(self.strokes),
            tuple(self.labels),
            title,
            desc,
            kind,
        )
