"""What the tests of the outbox share."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from kitchen.cooking import actions as cooking
from tests.kitchen.offline.tablet import FakeTablet


@pytest.fixture
def log(on_time: Any) -> Any:
    """Bath 1 at 64 °C, read once."""
    log = cooking.start_bath(bath=on_time.bath(), set_point_c=Decimal(64), hand=on_time.hand(minutes=1))
    on_time.read(log, "64.0")
    return log


@pytest.fixture
def batch(on_time: Any, log: Any) -> Any:
    """Three sealed bags for that bath."""
    return on_time.batch(bags=3)


@pytest.fixture
def tablet(as_cook: Any, on_time: Any) -> FakeTablet:
    """A tablet on which the cook signed in while there was a network."""
    return FakeTablet(as_cook, on_time)
