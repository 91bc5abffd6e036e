"""From a form to an entry: what every view that writes has in common."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from kitchen.base import moments
from kitchen.base.forms import EntryForm
from kitchen.base.refusals import Refused


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
    if request.method == "POST" and form.is_valid():
        try:
            kept = do(form.cleaned_data)
        except Refused as refusal:
            field = refusal.field if refusal.field in form.fields else None
            form.add_error(field, refusal.message)
        else:
            messages.success(request, kept)
            return redirect(back)
    status = 422 if form.is_bound else 200
    shown = {"form": form, "title": title, "back": back, "now": moments.now(), **context}
    return render(request, template, shown, status=status)
