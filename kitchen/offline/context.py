"""What every page shows of entries that are not where they should be."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from kitchen.review.held import unsettled


def outbox(request: HttpRequest) -> dict[str, Any]:
    """How many held entries wait; and whether the page is fetched to be kept, not to be read now."""
    site = getattr(request, "site", None)
    return {
        "held_count": SimpleLazyObject(lambda: unsettled(site).count()) if site else 0,
        "for_keeping": "X-Keep" in request.headers,
    }
