"""The hand behind a request: who, at which site, on which tablet, and when the server received it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from kitchen.base import moments
from kitchen.ledger.chain import Hand
from kitchen.people.sign_in import tablet_of


def hand_of(request: HttpRequest, entry_id: UUID | None = None) -> Hand:
    """The hand that makes an entry in this request."""
    replay = getattr(request, "replay", None)
    tablet = None if replay else tablet_of(request)
    return Hand(
        site=request.site,  # type: ignore[attr-defined]
        person=request.user,
        tablet=replay.tablet if replay else tablet.name if tablet else "",
        now=moments.now(),
        entry_id=entry_id,
    )


def head_chef_only(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let only a head chef in."""

    @wraps(view)
    def checked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.is_head_chef:  # type: ignore[union-attr]
            raise PermissionDenied("Only the head chef does this. Ask them to sign in.")
        return view(request, *args, **kwargs)

    return checked
