"""The brining guidance that stands beside a batch."""

from __future__ import annotations

from dataclasses import dataclass

from haccp.brine import BriningGuidance, brining_guidance
from kitchen.batches.models import Batch


@dataclass(frozen=True)
class Guidance:
    """How long a piece as thick as the method says commonly lies in the brine, thin or thick."""

    thickness_mm: float
    usual: BriningGuidance


def guidance_of(batch: Batch) -> Guidance | None:
    """What is common practice for this food; None where there is none."""
    thickness = float(batch.method.thickness_mm)
    usual = brining_guidance(batch.method.material, thickness)
    return Guidance(thickness, usual) if usual else None
