"""Pages of the equipment: take it into use, check a probe."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.base.forms import EntryForm
from kitchen.equipment import actions
from kitchen.equipment.forms import BathForm, ChillerForm, FridgeForm, ProbeCheckForm, ProbeForm, ReasonForm
from kitchen.equipment.models import Probe
from kitchen.people.hands import hand_of, head_chef_only


def _add(
    form_class: type[EntryForm], action: Callable[..., Any], title: str
) -> Callable[[HttpRequest], HttpResponse]:
    """A page on which the head chef takes something into use."""

    @head_chef_only
    def add(request: HttpRequest) -> HttpResponse:
        form = form_class(request.POST or None, site=request.site)  # type: ignore[attr-defined]

        def do(said: dict[str, Any]) -> str:
            facts = {name: said[name] for name in form.fields if name not in ("entry_id", "sure", "fold")}
            taken = action(hand=hand_of(request, said["entry_id"]), **facts)
            return f"{taken.name} taken into use."

        return enter(request, form, do, title=title, back=reverse("larder"))

    return add


add_probe = _add(ProbeForm, actions.add_probe, "New probe")
add_bath = _add(BathForm, actions.add_bath, "New bath")
add_chiller = _add(ChillerForm, actions.add_chiller, "New chiller")
add_fridge = _add(FridgeForm, actions.add_fridge, "New fridge or freezer")


def _probe(request: HttpRequest, pk: int) -> Probe:
    return get_object_or_404(Probe, pk=pk, site=request.site)  # type: ignore[attr-defined]


def choose_probe(request: HttpRequest) -> HttpResponse:
    """Which probe is to be checked; straight to the check where there is only one."""
    site = request.site  # type: ignore[attr-defined]
    probes = list(Probe.objects.filter(site=site, out_of_use=False))
    if len(probes) == 1:
        return redirect("probe_check", probes[0].pk)
    return render(request, "equipment/choose.html", {"probes": probes})


def check_probe(request: HttpRequest, pk: int) -> HttpResponse:
    """Check a probe in ice or boiling water; what it means is told at once, on the probe's own page."""
    probe = _probe(request, pk)
    site = request.site  # type: ignore[attr-defined]
    day = moments.local(moments.now(), site.timezone).date()
    form = ProbeCheckForm(request.POST or None, site=site, day=day)

    def do(said: dict[str, Any]) -> str:
        check = actions.check_probe(
            probe=probe,
            medium=said["medium"],
            celsius=said["celsius"],
            at=said["at"],
            hand=hand_of(request, said["entry_id"]),
        )
        return f"Kept: {check.sentence}"

    return enter(
        request,
        form,
        do,
        title=f"Check probe {probe.name}",
        back=reverse("probe", args=[probe.pk]),
        template="equipment/check.html",
        probe=probe,
        expected=form.expected.values(),
    )


def retire_probe(request: HttpRequest, pk: int) -> HttpResponse:
    """Anyone may take a doubtful probe out of use."""
    probe = _probe(request, pk)
    form = ReasonForm(request.POST or None, site=probe.site, submit="Take out of use")

    def do(said: dict[str, Any]) -> str:
        actions.retire_probe(probe=probe, reason=said["reason"], hand=hand_of(request, said["entry_id"]))
        return f"Probe {probe.name} is out of use."

    back = reverse("probe", args=[probe.pk])
    return enter(request, form, do, title=f"Take probe {probe.name} out of use", back=back)


@head_chef_only
def return_probe(request: HttpRequest, pk: int) -> HttpResponse:
    """The head chef takes a probe back into use."""
    probe = _probe(request, pk)
    form = ReasonForm(request.POST or None, site=probe.site, submit="Take back into use")
    form.fields["reason"].help_text = "Such as: repaired, new battery. Check it before you read with it."

    def do(said: dict[str, Any]) -> str:
        actions.return_probe(probe=probe, reason=said["reason"], hand=hand_of(request, said["entry_id"]))
        return f"Probe {probe.name} is back in use. Check it before you read with it."

    back = reverse("probe", args=[probe.pk])
    return enter(request, form, do, title=f"Take probe {probe.name} back into use", back=back)
