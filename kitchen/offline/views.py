"""The tablet without network: the worker, what it keeps, and where its outbox arrives."""

from __future__ import annotations

import json
import logging
from datetime import datetime
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import RequestDataTooBig
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from kitchen.base import moments, webfont
from kitchen.base.refusals import Refused
from kitchen.offline import files
from kitchen.offline.arriving import Answer, Outbox
from kitchen.offline.forms import FileForm
from kitchen.offline.kit import kit
from kitchen.offline.sent import entries_of
from kitchen.people.models import Person
from kitchen.people.sign_in import tablet_of
from kitchen.review.held import unsettled

log = logging.getLogger(__name__)


@login_not_required
@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, with the list of files that it keeps. From the root, so that it covers all."""
    context = {
        "version": files.version(),
        "files": json.dumps([*files.addresses(), reverse("font"), reverse("no_network")]),
        "static": json.dumps(static("")),
    }
    answer = render(request, "offline/worker.js", context, content_type="text/javascript")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@login_not_required
@require_GET
def manifest(request: HttpRequest) -> HttpResponse:
    """What makes it an app that a tablet installs."""
    said = {
        "name": "Bathbook",
        "short_name": "Bathbook",
        "start_url": reverse("bench"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#FBFAF6",
        "theme_color": "#FBFAF6",
        "icons": [
            {"src": static(f"img/icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png", **more}
            for size, more in ((192, {}), (512, {}), (512, {"purpose": "maskable"}))
        ],
    }
    return JsonResponse(said, content_type="application/manifest+json")


@login_not_required
@require_GET
def font(request: HttpRequest) -> HttpResponse:
    """The font of the pages."""
    answer = HttpResponse(webfont.woff2(), content_type="font/woff2")
    answer.headers["Cache-Control"] = "public, max-age=2592000"
    return answer


@login_not_required
@require_GET
def no_network(request: HttpRequest) -> HttpResponse:
    """What is shown in place of a page that is not kept."""
    request.user = request.site = None  # type: ignore[assignment, attr-defined]
    return render(request, "offline/no_network.html")


@login_not_required
@require_GET
def here(request: HttpRequest) -> HttpResponse:
    """The server is there."""
    return HttpResponse(status=204, headers={"Cache-Control": "no-store"})


@require_GET
def keep(request: HttpRequest) -> HttpResponse:
    """What a tablet keeps of this kitchen."""
    person: Person = request.user  # type: ignore[assignment]
    answer = JsonResponse(kit(person, tablet_of(request), moments.now()))
    answer.headers["Cache-Control"] = "no-store"
    return answer


@login_not_required
def outbox(request: HttpRequest) -> HttpResponse:
    """Entries of a tablet arrive; or the page on which the tablet shows its outbox."""
    if request.method == "POST":
        return _arrive(request)
    if not request.user.is_authenticated:
        from django.contrib.auth.views import redirect_to_login

        return redirect_to_login(request.get_full_path())
    return _page(request, FileForm())


def _page(request: HttpRequest, form: FileForm, answers: list[Answer] | None = None) -> HttpResponse:
    held = unsettled(request.site).order_by("at")  # type: ignore[attr-defined]
    context = {"form": form, "answers": answers, "held": held, "room": "bench"}
    return render(request, "offline/outbox.html", context, status=422 if form.errors else 200)


def _arrive(request: HttpRequest) -> HttpResponse:
    if not request.user.is_authenticated:
        return JsonResponse({"error": "Sign in: the entries wait on the tablet."}, status=401)
    now = moments.now()
    try:
        raw = json.loads(request.body)
        entries = entries_of(raw)
        clock = datetime.fromisoformat(raw["sent_at"])
        if clock.tzinfo is None:
            raise ValueError("a moment without its zone")
    except (RequestDataTooBig, ValueError, TypeError, KeyError, RecursionError) as trouble:
        return JsonResponse({"error": f"This is no outbox. {type(trouble).__name__}"}, status=400)
    except Refused as refusal:
        return JsonResponse({"error": refusal.message}, status=400)
    try:
        answers = Outbox(request.user, now, clock).take(entries)
    except OperationalError:
        # Nothing is wrong with what was sent: the tablet keeps it and sends it again.
        log.exception("An outbox could not be taken now")
        return JsonResponse({"error": "The records can't be written now. Nothing is lost."}, status=503)
    held = unsettled(request.site).count()  # type: ignore[attr-defined]
    said: dict[str, Any] = {"now": moments.now().isoformat(), "held": held}
    return JsonResponse({**said, "answers": [each.as_json() for each in answers]})


@require_POST
def read_file(request: HttpRequest) -> HttpResponse:
    """An outbox that was saved as a file on another tablet."""
    form = FileForm(request.POST, request.FILES)
    answers = None
    if form.is_valid():
        person: Person = request.user  # type: ignore[assignment]
        answers = Outbox(person, moments.now()).take(form.cleaned_data["outbox"])
    return _page(request, form, answers)
