"""What every answer carries."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

# Inline script and inline style are both shut out; charts use presentation attributes only.
POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)


def content_security_policy(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Send the content security policy with every page."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
        return response

    return middleware


class Packed(GZipMiddleware):
    """Pack what is text. Pictures, fonts and papers are packed already: again would only cost time."""

    TEXT = ("text/", "application/json", "application/manifest+json", "image/svg+xml")

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        """Leave alone what is no text."""
        if not response.headers.get("Content-Type", "").startswith(self.TEXT):
            return response
        return super().process_response(request, response)
