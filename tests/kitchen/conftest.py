"""What the tests of the kitchen share."""

from __future__ import annotations

from typing import Any

import pytest

from kitchen.base import moments


@pytest.fixture
def on_time(factory: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """The server's clock shows the factory's time, so that a page and what was logged before agree."""
    monkeypatch.setattr(moments, "now", lambda: factory.now)
    return factory
