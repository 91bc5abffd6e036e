"""The strip beside a finding: measured against required, with the margin between them. Pure."""

from __future__ import annotations

import math

from haccp.record import Finding, Outcome
from kitchen.base.drawing import hatch, number, text_width
from kitchen.base.picture import Pen, Picture

FROM_ZERO = {"min", "h", "s", "d", "log10", "log", "g", "%", "mm", "mg/kg"}


def margin_strip(
    *,
    measured: float,
    required: float,
    at_least: bool,
    unit: str,
    measured_text: str = "",
    required_text: str = "",
    margin_text: str = "",
    width: float = 300,
    size: float = 14,
) -> Picture:
    """Draw a measured figure against a required one, both in `unit`.

    `at_least` says which side of the requirement meets it; the other side is hatched, like a
    wall. Durations and amounts are drawn from zero, temperatures about the two figures.
    """
    if not (math.isfinite(measured) and math.isfinite(required)):
        raise ValueError("A strip needs two finite figures.")
    pen = Pen(size)
    low, high = _range(measured, required, unit)

    def x(value: float) -> float:
        return 2 + (width - 4) * (value - low) / (high - low)

    here, wall, line = x(measured), x(required), size * 2.3
    forbidden = (2.0, wall) if at_least else (wall, width - 2)
    pen.draw(hatch(forbidden[0], line + 4, forbidden[1], line + 12, 6), 0.8, dark=0.8)
    pen.level(2, width - 2, line + 4, 1, dark=0.6)
    pen.upright(wall, line - 8, line + 12, 2.4)
    if unit in FROM_ZERO:
        pen.draw(f"M{number(x(0))} {number(line - 5)}H{number(here)}v9H{number(x(0))}Z", 1, filled=True)
    else:
        pen.draw(f"M{number(here)} {number(line + 3)}l-6 -10h12z", 1, filled=True)
    required_text = required_text or f"{required:g} {unit}"
    measured_text = measured_text or f"{measured:g} {unit}"
    _say(pen, wall, size * 0.95, required_text, width)
    _say(pen, here, line + 12 + size * 1.15, measured_text, width, bold=True)
    foot = line + 12 + size * 1.35
    if margin_text:
        foot += size * 1.75
        _say(pen, (here + wall) / 2, foot, margin_text, width)
        a, b, level = number(min(here, wall)), number(max(here, wall)), foot - size * 1.2
        pen.draw(f"M{a} {number(level)}H{b}M{a} {number(level - 3)}v6M{b} {number(level - 3)}v6", 1)
    words = f"{measured_text}; {'at least' if at_least else 'at most'} {required_text}"
    title = f"{words}; {margin_text}" if margin_text else words
    return pen.picture(width, foot + size * 0.35, title, "", "strip-picture")


def finding_strip(finding: Finding) -> Picture | None:
    """The strip of one finding, or None where it has no two figures to set against each other."""
    if finding.measured_value is None or finding.required_value is None or finding.unit is None:
        return None
    over = finding.measured_value >= finding.required_value
    meets = finding.outcome is Outcome.MEETS
    return margin_strip(
        measured=finding.measured_value,
        required=finding.required_value,
        at_least=over == meets,
        unit=finding.unit,
        measured_text=finding.measured or "",
        required_text=finding.required or "",
        margin_text=finding.margin or "",
    )


def _range(measured: float, required: float, unit: str) -> tuple[float, float]:
    """The ends of the strip: from zero, or about the two figures, with room at both sides."""
    if unit in FROM_ZERO and min(measured, required) >= 0:
        return 0.0, max(measured, required) * 1.2 or 1.0
    apart = max(abs(measured - required), 1.0)
    return min(measured, required) - 0.8 * apart, max(measured, required) + 0.8 * apart


def _say(pen: Pen, x: float, y: float, words: str, width: float, *, bold: bool = False) -> None:
    """Words centred on `x`, moved inwards where they would run out of the strip."""
    half = text_width(words, pen.size) / 2 * (1.06 if bold else 1)
    pen.say(min(max(x, half), width - half), y, words, "middle", bold=bold)
