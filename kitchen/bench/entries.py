"""The pages on which cooks make entries: steps of bags, readings, start and end of a bath log."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.base.forms import EntryForm
from kitchen.bench import steps
from kitchen.bench.brines import guidance_of
from kitchen.bench.corrections import CorrectForm, may_correct
from kitchen.bench.views import batch_of
from kitchen.brining.forms import MakeBrineForm
from kitchen.chilling.forms import ChillerReadingForm
from kitchen.cooking.forms import BathReadingForm, CoreForm, EndBathForm, StartBathForm
from kitchen.cooking.models import BathLog
from kitchen.equipment.models import Bath, Chiller, Fridge
from kitchen.people.hands import hand_of
from kitchen.review import trail
from kitchen.storing.forms import FridgeReadingForm


def back_of(request: HttpRequest, default: str) -> str:
    """Where the cook came from, if that is a page of ours."""
    said = request.GET.get("back", "")
    ours = said.startswith("/") and url_has_allowed_host_and_scheme(said, None)
    return said if ours else default


def late_in_words(at: datetime | None, now: datetime) -> str:
    """What to say of an entry that comes well after the event."""
    minutes = round((now - at).total_seconds() / 60) if at else 0
    return f" Late entry: {moments.span(now - at)} after." if at and minutes > trail.LATE_MIN else ""


def keep(request: HttpRequest, form: Any, *, title: str, back: str, **context: Any) -> HttpResponse:
    """Show a form that knows what it keeps; keep it once."""

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        return str(form.keep(hand)) + late_in_words(said.get("at"), form.made_at or hand.moment)

    context = {"template": "bench/entry.html", "room": "bench", "kept_offline": True, **context}
    return enter(request, form, do, title=title, back=back, **context)


def _wanted(request: HttpRequest) -> set[int]:
    """The bags that the address names."""
    return {
        int(each) for each in request.GET.get("bags", "").split(",") if each.isdecimal() and len(each) < 6
    }


def step(request: HttpRequest, code: str, slug: str) -> HttpResponse:
    """One step of a batch's bags."""
    work = steps.BY_SLUG.get(slug)
    if work is None:
        raise Http404("There is no such step.")
    batch, now, wanted = batch_of(request, code), moments.now(), _wanted(request)
    each = steps.in_hand(batch, now)
    more: dict[str, Any] = {"step": steps.core_step(each, wanted)} if work.form is CoreForm else {}
    form = work.form(
        request.POST or None, site=batch.site, batch=batch, picks=steps.picks(each, work, wanted), **more
    )
    guidance = guidance_of(batch) if slug.startswith("brine") else None
    title = f"{form.title}: {batch.dish}"
    back = back_of(request, reverse("batch", args=[code]))
    return keep(request, form, title=title, back=back, batch=batch, guidance=guidance)


def start_bath(request: HttpRequest, pk: int) -> HttpResponse:
    """Start a bath at a set point."""
    bath = get_object_or_404(Bath, pk=pk, site=request.site)  # type: ignore[attr-defined]
    form = StartBathForm(request.POST or None, site=bath.site, bath=bath)
    return keep(request, form, title=f"Start {bath.name}", back=back_of(request, reverse("bench")))


def _log_of(request: HttpRequest, pk: int) -> BathLog:
    logs = BathLog.objects.select_related("bath__probe", "bath__site")
    return get_object_or_404(logs, pk=pk, bath__site=request.site)  # type: ignore[attr-defined]


def end_bath(request: HttpRequest, pk: int) -> HttpResponse:
    """End a bath log."""
    log = _log_of(request, pk)
    form = EndBathForm(request.POST or None, site=log.bath.site, bath_log=log)
    return keep(
        request, form, title=f"End the log of {log.bath.name}", back=back_of(request, reverse("bench"))
    )


def read_bath(request: HttpRequest, pk: int) -> HttpResponse:
    """A reading of a bath."""
    log = _log_of(request, pk)
    form = BathReadingForm(request.POST or None, site=log.bath.site, bath_log=log)
    return _reading(request, form, log.bath.name)


def read_chiller(request: HttpRequest, pk: int) -> HttpResponse:
    """A reading of a chiller."""
    chiller = get_object_or_404(Chiller.objects.select_related("probe", "site"), pk=pk, site=request.site)  # type: ignore[attr-defined]
    form = ChillerReadingForm(request.POST or None, site=chiller.site, chiller=chiller)
    return _reading(request, form, chiller.name)


def read_fridge(request: HttpRequest, pk: int) -> HttpResponse:
    """A reading of a fridge."""
    fridge = get_object_or_404(Fridge.objects.select_related("probe", "site"), pk=pk, site=request.site)  # type: ignore[attr-defined]
    form = FridgeReadingForm(request.POST or None, site=fridge.site, fridge=fridge)
    return _reading(request, form, fridge.name)


def _reading(request: HttpRequest, form: EntryForm, name: str) -> HttpResponse:
    return keep(request, form, title=f"Read {name}", back=back_of(request, reverse("bench")))


def correct(request: HttpRequest, code: str, pk: UUID) -> HttpResponse:
    """Correct an entry of a batch. One that was corrected is not there, but for the same form sent twice."""
    batch = batch_of(request, code)
    line = next((line for line in trail.lines(batch) if line.entry.pk == pk), None)
    if line is None or not may_correct(line, again=request.POST.get("entry_id", "")):
        raise Http404("There is no such entry to correct.")
    form = CorrectForm(request.POST or None, site=batch.site, entry=line.entry)
    back = back_of(request, reverse("batch", args=[code]))
    return keep(request, form, title="Correct an entry", back=back, batch=batch, line=line)


def make_brine(request: HttpRequest) -> HttpResponse:
    """Make a brine."""
    form = MakeBrineForm(request.POST or None, site=request.site)  # type: ignore[attr-defined]
    return keep(request, form, title="Make a brine", back=back_of(request, reverse("bench")))
