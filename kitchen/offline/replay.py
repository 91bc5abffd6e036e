"""Run the very form of an address with what was kept on a tablet."""

from __future__ import annotations

import logging
import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import DataError, IntegrityError, transaction
from django.http import Http404, HttpRequest, QueryDict
from django.urls import Resolver404, ResolverMatch, resolve

from kitchen.base.entering import Replay
from kitchen.base.refusals import Refused
from kitchen.batches.models import Batch
from kitchen.bench.order import contradictions
from kitchen.ledger.models import Entry

log = logging.getLogger(__name__)

# The forms that a tablet may keep: those of the Bench, and of what a cook does in the Larder.
FORMS = frozenset(
    {
        *("step", "batch_begin", "brine_new", "bath_start", "bath_read", "bath_end"),
        *("chiller_read", "fridge_read", "correct", "lot_new", "probe_check"),
    }
)
# A bag that was sealed without network has no number yet: it is named by the sealing and its place there.
_UNBORN = re.compile(r"([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})\.(\d{1,2})")


class Waits(Refused):
    """Refused for now: it may be taken when what it rests on has arrived."""


def match_of(address: str) -> ResolverMatch:
    """The form at an address, if it is one that a tablet may keep."""
    try:
        match = resolve(address)
    except Resolver404 as trouble:
        raise Refused("There is no such form.") from trouble
    if match.url_name not in FORMS:
        raise Refused("This form can't be kept on a tablet.")
    return match


def batch_about(site: Any, address: str) -> Batch | None:
    """The batch that an address is about, if it is one of this site's."""
    try:
        code = match_of(address).kwargs.get("code")
    except Refused:
        return None
    return Batch.objects.filter(site=site, code=code).select_related("entry").first() if code else None


def _born(site: Any, value: str) -> str:
    """The number of a bag that was named by its sealing."""
    unborn = _UNBORN.fullmatch(value)
    if not unborn:
        return value
    sealing = Entry.objects.filter(pk=UUID(unborn[1]), site=site, kind="bags.seal").first()
    numbers = sealing.said["bags"] if sealing else []
    if int(unborn[2]) >= len(numbers):
        raise Waits("The sealing of its bags has not arrived.")
    return str(numbers[int(unborn[2])])


def _post(site: Any, fields: Mapping[str, list[str]], entry_id: UUID) -> QueryDict:
    post = QueryDict(mutable=True)
    for name, values in fields.items():
        born = name in ("bags", "bag")
        post.setlist(name, [_born(site, value) if born else value for value in values])
    post["entry_id"] = str(entry_id)
    return post


def run(
    *, person: Any, address: str, fields: Mapping[str, list[str]], entry_id: UUID, replay: Replay
) -> Replay:
    """Call the view of an address as if its form had been sent; refuses with the reason."""
    site = person.site
    match = match_of(address)
    request = HttpRequest()
    request.method, request.path = "POST", address
    request.path_info = address
    request.POST = _post(site, fields, entry_id)
    request.user = person
    request.site, request.replay = site, replay  # type: ignore[attr-defined]
    try:
        match.func(request, *match.args, **match.kwargs)
    except Http404 as trouble:
        raise Refused("What it is about is not in this kitchen.") from trouble
    except PermissionDenied as trouble:
        raise Refused(str(trouble) or "This may only be done by the head chef.") from trouble
    return replay


def take(
    *,
    person: Any,
    address: str,
    fields: Mapping[str, list[str]],
    entry_id: UUID,
    made_at: datetime,
    tablet: str,
) -> str:
    """Make the entry of a kept form, all or nothing, and say what was kept.

    It is refused where the form refuses, and where the work of a bag would contradict itself by it.
    """
    about = batch_about(person.site, address)
    replay = Replay(made_at, tablet)
    try:
        with transaction.atomic():
            before = contradictions(about) if about else set()
            run(person=person, address=address, fields=fields, entry_id=entry_id, replay=replay)
            if replay.kept is None:
                raise Waits(" ".join(replay.refused) or "It was not accepted.")
            new = contradictions(about) - before if about else set()
            if new:
                raise Waits(" ".join(sorted(new)))
    except Refused:
        raise
    except (ValueError, TypeError, LookupError, ValidationError, DataError, IntegrityError) as trouble:
        log.exception("A kept form of %s could not be run", address)
        raise Refused("What was kept can't be read as this form.") from trouble
    return replay.kept or ""
