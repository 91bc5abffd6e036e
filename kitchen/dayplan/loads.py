"""What one method asks of a plan: how much a bath can take, and how long its chill lasts."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

from haccp import bath as water
from haccp.conduction import Body, Shape
from haccp.design import Chiller, StageLimit, chill_minutes
from haccp.errors import HaccpError
from haccp.limits import Ruleset
from haccp.materials import material, medium
from haccp.ranges import Range
from haccp.steady import Piece
from kitchen.equipment.models import Bath
from kitchen.methods.actions import BAND_K
from kitchen.methods.models import Method

# Muscle with its water, at which a load takes most heat from a bath [J/(kg K)]: from memory.
SPECIFIC_HEAT = 3700.0
COLDEST_C = 0.0
ENDLESS = {Shape.FINITE_CYLINDER: Shape.CYLINDER, Shape.BRICK: Shape.SLAB}


def _shape(method: Method) -> Shape:
    shape = Shape(method.shape)
    return ENDLESS.get(shape, shape)


@lru_cache(maxsize=512)
def _load_kg(
    shape: Shape,
    half_m: float,
    food: str,
    kind: str,
    litres: float,
    heater_w: float,
    set_c: float,
    band_k: float,
) -> float:
    vessel = water.Bath.of(litres, heater_w)
    known = material(food)
    body = Body(shape, (half_m,), known.diffusivity.best, known.conductivity.best)
    load = water.Load(body, 0.0, SPECIFIC_HEAT, COLDEST_C, medium(kind).heat_transfer.high)
    return water.largest_load(vessel, load, set_c, 45.0, lambda run: run.pull_k <= band_k)


def load_kg(method: Method, bath: Bath) -> float | None:
    """The coldest bags that leave a bath in its band [kg]; None where its heater is not known."""
    if not bath.heater_w:
        return None
    return _load_kg(
        _shape(method),
        float(method.thickness_mm) / 2000.0,
        method.material,
        bath.medium,
        float(bath.volume_l),
        float(bath.heater_w),
        float(method.set_point_c),
        float(bath.band_k),
    )


def chill_min(method: Method, rules: Ruleset, words: Iterable[str]) -> float | None:
    """The time to plan for the chill [min]; None where the bags go from the bath to the plate.

    The longest that the thickest bag can take by the worst edges of its data; where even
    that has no end, the time that the limit allows.
    """
    if not method.chill_medium:
        return None
    rows = [
        row
        for row in rules.limits("cool", frozenset(words))
        if row.end is not None and row.value is not None and row.clock in ("bath out", "chill in", "core")
    ]
    set_c = float(method.set_point_c)
    core = Range(set_c - BAND_K, set_c, set_c + BAND_K)
    kind = medium(method.chill_medium)
    longest = 0.0
    for row in rows:
        allowed = row.amount.seconds / 60.0
        try:
            piece = Piece.of(
                _shape(method), material(method.material), core, float(method.thickness_tolerance_mm)
            )
            stage = StageLimit(row.id, None, row.end.celsius, allowed)  # type: ignore[union-attr]
            chiller = Chiller.of(kind, kind.default_c or Range(0.0, 3.0, 5.0))
            (minutes,) = chill_minutes(piece, chiller, [float(method.thickness_max_mm)], core, stage)
        except HaccpError:
            minutes = math.inf
        longest = max(longest, float(minutes) if math.isfinite(minutes) else allowed)
    return longest or None
