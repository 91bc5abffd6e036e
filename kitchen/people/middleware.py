"""Tie a request to the site of the person who is signed in."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


def site_of_person(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Set `request.site`, from which every view looks its objects up: no other site is reachable."""

    def middleware(request: HttpRequest) -> HttpResponse:
        person = request.user
        request.site = person.site if person.is_authenticated else None  # type: ignore[attr-defined]
        return get_response(request)

    return middleware
