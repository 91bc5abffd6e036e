"""A sharper growth bound: the unknowns of a bag cut in halves, each piece bounded by itself.

A true bag lies in one of the pieces, so the largest of their bounds holds for it; and in each piece
the two curves lie closer together than those of the whole. Diffusivity, the smallest size and the heat
transfer of one stay are cut once each: eight pieces, eight times the work. So this is for a growth that
decides between two outcomes.

A heat transfer may be cut only where it is constant, though unknown, all through its stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Final

from haccp.bounds import ProvenCurves, UncertainBody, UncertainExposure, proven_curves
from haccp.errors import RangeError
from haccp.growth import BagGrowth, bag_growth
from haccp.growthmodels import GrowthModel, Hurdles
from haccp.ranges import Range

__all__ = ["PIECES_BASIS", "growth_in_pieces"]

_ANY: Final = Hurdles()
PIECES_BASIS: Final = "growth bound in eight pieces of what is unknown, the worst of them"


def _halves(whole: Range) -> tuple[Range, ...]:
    middle = 0.5 * (whole.low + whole.high)
    if whole.low == whole.high:
        return (whole,)
    return (
        Range(whole.low, min(whole.best, middle), middle),
        Range(middle, max(whole.best, middle), whole.high),
    )


def growth_in_pieces(
    body: UncertainBody,
    exposures: Sequence[UncertainExposure],
    curves: ProvenCurves,
    model: GrowthModel,
    *,
    from_s: float | None = None,
    until_s: float | None = None,
    hurdles: Hurdles = _ANY,
) -> BagGrowth:
    """Growth in a bag between two moments, bounded piece by piece; never above that of the whole.

    Parameters as for :func:`haccp.growth.bag_growth`; `curves`: from :func:`haccp.bounds.proven_curves` for
    the same body and stays. The heat transfer cut is that of the stay in which the span begins.
    Errors: as there; :class:`RangeError` for stays that do not cover the span.
    """
    whole = bag_growth(curves, model, from_s=from_s, until_s=until_s, hurdles=hurdles)
    begins = float(curves.times_s[0]) if from_s is None else from_s
    which = next((n for n, each in enumerate(exposures) if each.span_s[0] <= begins < each.span_s[1]), None)
    if which is None:
        raise RangeError("The growth begins outside the stays of the bag.")
    stay = exposures[which]
    smallest = min(range(len(body.half_sizes_m)), key=lambda n: body.half_sizes_m[n].best)
    transfers = _halves(stay.heat_transfer) if stay.steady else (stay.heat_transfer,)
    core_high = surface_high = 0.0
    for diffusivity, size, transfer in product(
        _halves(body.diffusivity), _halves(body.half_sizes_m[smallest]), transfers
    ):
        sizes = tuple(size if n == smallest else each for n, each in enumerate(body.half_sizes_m))
        piece = replace(body, diffusivity=diffusivity, half_sizes_m=sizes)
        stays = [*exposures[:which], replace(stay, heat_transfer=transfer), *exposures[which + 1 :]]
        found = bag_growth(
            proven_curves(piece, stays), model, from_s=from_s, until_s=until_s, hurdles=hurdles
        )
        core_high, surface_high = max(core_high, found.core_high), max(surface_high, found.surface_high)
    return replace(
        whole,
        core_high=min(whole.core_high, core_high),
        surface_high=min(whole.surface_high, surface_high),
        basis=PIECES_BASIS,
    )
