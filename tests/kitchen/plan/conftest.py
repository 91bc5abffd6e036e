"""A kitchen with a few signed methods and its equipment, from which a plan follows."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from pypdf import PdfReader

from kitchen.plan.content import compose
from tests.kitchen.factory import Factory

BRINE = {"brine_percent": Decimal(6), "brine_min": 45}
FISH = {
    "material": "lean_fish",
    "attributes": ["fish"],
    "thickness_mm": Decimal(18),
    "thickness_max_mm": Decimal(20),
    "thickness_tolerance_mm": Decimal(1),
    "start_max_c": Decimal(4),
    "set_point_c": Decimal(65),
    "chill_medium": "",
    "life_days": 0,
    "allergens": "fish",
}


@dataclass
class Planned:
    """The kitchen, and its plan as it follows now."""

    factory: Any

    @property
    def content(self) -> dict[str, Any]:
        """What would be signed."""
        return compose(self.factory.site, self.factory.now)

    def part(self, name: str) -> Any:
        """One part of the plan."""
        return self.content["plan"][name]


def furnish(factory: Factory) -> Factory:
    """A bath, an ice slurry, a fridge; chicken with and without a brine, fish that is served at once."""
    factory.bath()
    factory.chiller()
    factory.fridge()
    factory.method("Chicken breast")
    factory.method("Brined chicken", **BRINE)
    factory.method("Ling", **FISH)
    factory.pass_time(5)
    return factory


@pytest.fixture
def planned(factory: Any) -> Planned:
    """The furnished kitchen."""
    return Planned(furnish(factory))


@pytest.fixture
def facts() -> Callable[[Any], dict[str, str]]:
    """The facts of an item by label."""
    return lambda item: dict(item["facts"])


def words_of(pdf: bytes) -> str:
    """All text of a PDF, with single spaces."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))
