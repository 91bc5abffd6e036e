"""All addresses; each room lists its own."""

from django.urls import URLPattern, URLResolver, include, path
from django.views.generic import RedirectView

ROOMS = (
    "people",
    "equipment",
    "larder",
    "methods",
    "batches",
    "review",
    "dayplan",
    "bench",
    "law",
    "plan",
    "papers",
    "feeds",
    "offline",
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("", RedirectView.as_view(pattern_name="bench"), name="home"),
    *(path("", include(f"kitchen.{room}.urls")) for room in ROOMS),
]
