"""The core of a bag that is still in its medium, one reading at a time.

Each reading steps every mode once, so it costs the same however long the log is. The modes that are
too quick to be stepped stand at their steady lag, as in :mod:`haccp.response`.
"""

from __future__ import annotations

import numpy as np

from haccp.conduction import (
    HIGHEST_C,
    LOWEST_C,
    Body,
    check_heat_transfer,
    check_start,
)
from haccp.curves import FloatArray
from haccp.errors import RangeError
from haccp.profile import Basis
from haccp.response import lags_of


class LiveBag:
    """Centre and surface of one bag, carried forward from reading to reading.

    `body`; `heat_transfer_w_m2k` [W/(m² K)] of the first medium; `start_c` [°C], uniform; `at_s` [s]
    and `medium_c` [°C]: when the bag went in, and into what. The medium is straight between
    readings. `shortest_s` [s] is the shortest time between readings for which the error stays below
    1e-4 °C; a shorter one is allowed and costs accuracy at the surface only.
    Errors: :class:`RangeError` for values outside the validity of :mod:`haccp.conduction`, and
    for moments that do not go forward.
    """

    def __init__(
        self,
        body: Body,
        heat_transfer_w_m2k: float,
        start_c: float,
        at_s: float,
        medium_c: float,
        shortest_s: float = 10.0,
    ) -> None:
        check_start(start_c)
        _check_medium(medium_c)
        if not (shortest_s > 0.0 and np.isfinite(at_s)):
            raise RangeError("Give the moment at which the bag went in, and a shortest step above zero.")
        self._body, self._shortest_s = body, shortest_s
        self._at_s, self._medium_c, self._slope = float(at_s), float(medium_c), 0.0
        self._enter(heat_transfer_w_m2k)
        self._excess: FloatArray = np.full(self._rates.shape, start_c - medium_c)
        self._now: tuple[float, float] = (start_c, start_c)

    def _enter(self, heat_transfer_w_m2k: float) -> None:
        check_heat_transfer(heat_transfer_w_m2k)
        axes = self._body.in_medium(heat_transfer_w_m2k)
        self._basis = Basis.of(axes, self._shortest_s)
        self._rates = self._basis.all_rates
        core, *others = self._basis.amplitudes()
        weights = core
        for other in others:
            weights = np.multiply.outer(weights, other[0])
        self._weights: FloatArray = weights.reshape(2, -1)
        lags = lags_of(axes, self._shortest_s)
        steady = lags.rest_s + lags.weights @ (1.0 / lags.rates)
        self._rest_s: FloatArray = steady - self._weights @ (1.0 / self._rates.ravel())

    @property
    def at_s(self) -> float:
        """The moment of the last reading [s]."""
        return self._at_s

    @property
    def core_c(self) -> float:
        """The centre at that moment [°C]."""
        return self._now[0]

    @property
    def surface_c(self) -> float:
        """The surface at that moment [°C]."""
        return self._now[1]

    def advance(self, to_s: float, medium_c: float) -> None:
        """Go on to a reading `medium_c` [°C] at `to_s` [s]."""
        _check_medium(medium_c)
        step = to_s - self._at_s
        if not (step > 0.0 and np.isfinite(step)):
            raise RangeError("A reading must come after the one before; sort the readings.")
        fading = self._basis.fading(step)
        self._slope = (medium_c - self._medium_c) / step
        self._excess *= fading
        self._excess -= self._slope * (1.0 - fading) / self._rates
        self._at_s, self._medium_c = float(to_s), float(medium_c)
        core, surface = self._weights @ self._excess.ravel() - self._rest_s * self._slope
        self._now = (medium_c + float(core), medium_c + float(surface))

    def move(self, heat_transfer_w_m2k: float, medium_c: float) -> None:
        """Leave for another medium at this moment; the bag keeps its profile."""
        _check_medium(medium_c)
        old = self._basis
        self._enter(heat_transfer_w_m2k)
        self._excess = self._basis.from_old(old, self._excess[np.newaxis])[0] + (self._medium_c - medium_c)
        self._medium_c, self._slope = float(medium_c), 0.0


def _check_medium(medium_c: float) -> None:
    if not LOWEST_C <= medium_c <= HIGHEST_C:
        raise RangeError(
            f"A medium must stay between {LOWEST_C:g} and {HIGHEST_C:g} °C; {medium_c:g} does not."
        )
