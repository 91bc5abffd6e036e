"""From a form to an entry: what every view that writes has in common.

A form can come from a page, or from the outbox of a tablet that had no network when it was filled in.
Then the view is called by `kitchen.offline` with a `Replay` on its request: it does the same, and
what came of it is put down there in place of a page.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from kitchen.base import moments
from kitchen.base.forms import EntryForm
from kitchen.base.refusals import Refused

# A script that sends a form by itself says so, and is told where to go in place of being sent there.
BY_SCRIPT = "X-Form-By-Script"


@dataclass
class Replay:
    """A form that was filled in on a tablet at an earlier moment, and what came of it.

    With `look` nothing is done: the form is bound, so that its doubts and its fields can be shown.
    """

    made_at: datetime
    tablet: str = ""
    look: bool = False
    kept: str | None = None
    refused: list[str] = field(default_factory=list)
    form: EntryForm | None = None
    title: str = ""


def enter(
    request: HttpRequest,
    form: EntryForm,
    do: Callable[[dict[str, Any]], str],
    *,
    title: str,
    back: str,
    template: str = "base/entry.html",
    **context: Any,
) -> HttpResponse:
    """Show the form; when it is sent and holds, do it, say what was kept, and go back.

    `do` gets the cleaned values and returns what was kept, in words. When it refuses, the
    form comes back with everything that was typed.
    """
    replay: Replay | None = getattr(request, "replay", None)
    if replay:
        form.made_at, replay.form, replay.title = replay.made_at, form, title
    if request.method == "POST" and form.is_valid() and not (replay and replay.look):
        try:
            kept = do(form.cleaned_data)
        except Refused as refusal:
            field = refusal.field if refusal.field in form.fields else None
            form.add_error(field, refusal.message)
        else:
            if replay:
                replay.kept = kept
                return HttpResponse()
            messages.success(request, kept)
            return go(request, back)
    if replay:
        replay.refused = faults(form)
        return HttpResponse(status=422)
    if form.is_bound and BY_SCRIPT in request.headers:
        return JsonResponse({"asks": faults(form)}, status=422)
    status = 422 if form.is_bound else 200
    shown = {"form": form, "title": title, "back": back, "now": moments.now(), **context}
    return render(request, template, shown, status=status)


def go(request: HttpRequest, to: str) -> HttpResponse:
    """On to the next page; a script is told its address."""
    return JsonResponse({"to": to}) if BY_SCRIPT in request.headers else redirect(to)


def faults(form: EntryForm) -> list[str]:
    """What a form objects to or asks about, each with the name of its field."""
    if not form.is_bound:
        return ["Nothing was said."]
    found = []
    for name, errors in form.errors.as_data().items():
        field = form.fields.get(name)
        label = field.label or name.replace("_", " ").capitalize() if field else ""
        for error in errors:
            said = " ".join(error.messages)
            # What Django says of a field, "this value", needs the field's name to be understood alone.
            found.append(f"{label}: {said}" if label and error.code else said)
    return found
