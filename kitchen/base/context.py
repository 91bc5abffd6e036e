"""What every page may show."""

from typing import Any

from django.http import HttpRequest


def site_name(request: HttpRequest) -> dict[str, Any]:
    """The site of the person who is signed in, if any."""
    return {"site": getattr(request, "site", None)}
