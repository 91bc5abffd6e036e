"""Import of a logger file: the file, its questions, a preview, and the import itself."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.feeds import preview
from kitchen.feeds.actions import import_log, keep_file, look_at
from kitchen.feeds.forms import ANSWER, FileForm, ImportForm, QuestionsForm
from kitchen.feeds.logger import look
from kitchen.feeds.models import LogFile
from kitchen.feeds.shapes import LoggerFileError, Look
from kitchen.feeds.withdrawing import imports
from kitchen.people.hands import hand_of

TITLE = "Import a logger file"


def choose_file(request: HttpRequest) -> HttpResponse:
    """Take the file. One of which nothing can be read is not kept; the message says what to do."""
    site = request.site  # type: ignore[attr-defined]
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    if form.is_bound and form.is_valid():
        file = form.cleaned_data["file"]
        content = file.read()
        try:
            look(content, timezone=site.timezone)
        except LoggerFileError as trouble:
            form.add_error("file", str(trouble))
        else:
            kept = keep_file(site=site, name=file.name, content=content, now=moments.now())
            return redirect("log_file", kept.digest)
    context = {"form": form, "title": TITLE, "back": reverse("larder"), "room": "larder"}
    context["imports"] = imports(site)
    return render(request, "feeds/file.html", context, status=422 if form.is_bound else 200)


def read_file(request: HttpRequest, digest: str) -> HttpResponse:
    """Ask what the file leaves open; when nothing is open any more, show it and import it.

    The answers stand in the address, so that nothing is half-saved before the import.
    """
    site = request.site  # type: ignore[attr-defined]
    kept = get_object_or_404(LogFile, digest=digest, site=site)
    given = {key[len(ANSWER) :]: value for key, value in request.GET.items() if key.startswith(ANSWER)}
    context = {"file": kept, "title": TITLE, "back": reverse("log_import"), "room": "larder"}
    try:
        looked = look_at(kept, given, site.timezone, site.temperature_unit)
    except LoggerFileError as trouble:
        return render(request, "feeds/trouble.html", {**context, "trouble": str(trouble)}, status=422)
    if looked.questions:
        form = QuestionsForm(looked.questions, given)
        asked_before = any(each.key in given for each in looked.questions)
        return render(request, "feeds/questions.html", {**context, "form": form, "again": asked_before})
    return _import(request, kept, looked, given, context)


def _import(
    request: HttpRequest, kept: LogFile, looked: Look, given: dict[str, str], context: dict[str, Any]
) -> HttpResponse:
    site = request.site  # type: ignore[attr-defined]
    channel = looked.channels[0]
    shown = preview.of(looked, channel, site)
    first, last = channel.readings[0].at, channel.readings[-1].at
    form = ImportForm(request.POST or None, site=site, first=first, last=last)

    def do(said: dict[str, Any]) -> str:
        bath_log = form.logs.get(said["log"])
        entry = import_log(
            log_file=kept,
            channel=channel.name,
            answers=given,
            probe=said["probe"],
            bath_log=bath_log,
            bath=said["bath"],
            set_point_c=said["set_point_c"],
            ended=said["ended"],
            hand=hand_of(request, said["entry_id"]),
        )
        where = bath_log.bath.name if bath_log else said["bath"].name
        return f"{entry.said['rows']} readings of {kept.name} imported into the log of {where}."

    context |= {"back": reverse("larder"), "looked": looked, "channel": channel, "shown": shown}
    title = context.pop("title")
    return enter(request, form, do, title=title, template="feeds/import.html", **context)
