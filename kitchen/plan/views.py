"""Pages of the HACCP plan: how it stands now, its versions, its paper, and what is done about it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.base.refusals import Refused
from kitchen.methods.models import Method
from kitchen.papers.views import PDF_POLICY
from kitchen.people.hands import hand_of, head_chef_only
from kitchen.plan import actions
from kitchen.plan.changes import changes
from kitchen.plan.forms import CompetenceForm, IssueForm, WalkForm
from kitchen.plan.models import PlanVersion
from kitchen.plan.packet import packet_pdf
from kitchen.plan.paper import plan_pdf
from kitchen.plan.showing import Shown, context, draft, signed


def _version(request: HttpRequest, version: int) -> PlanVersion:
    chosen = PlanVersion.objects.select_related("site", "entry__person")
    return get_object_or_404(chosen, site=request.site, version=version)  # type: ignore[attr-defined]


def _page(request: HttpRequest, shown: Shown) -> HttpResponse:
    versions = PlanVersion.objects.filter(site=shown.site).select_related("entry__person")
    said = {**context(shown), "versions": versions, "room": "file"}
    return render(request, "plan/page.html", said)


def plan(request: HttpRequest) -> HttpResponse:
    """The plan as it follows from what the kitchen has now, and what differs from the signed version."""
    return _page(request, draft(request.site, moments.now()))  # type: ignore[attr-defined]


def version(request: HttpRequest, version: int) -> HttpResponse:
    """A signed version, as it was signed."""
    return _page(request, signed(_version(request, version)))


def differences(request: HttpRequest, older: int, newer: int) -> HttpResponse:
    """What differs between two signed versions."""
    first, second = _version(request, older), _version(request, newer)
    said = {
        "first": first,
        "second": second,
        "differences": changes(first.content, second.content),
        "room": "file",
    }
    return render(request, "plan/compare.html", said)


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    response["Content-Security-Policy"] = PDF_POLICY
    return response


def print_draft(request: HttpRequest) -> HttpResponse:
    """The draft on paper, marked as one."""
    site = request.site  # type: ignore[attr-defined]
    return _pdf(plan_pdf(draft(site, moments.now())), f"haccp-plan-{site.slug}-draft")


def print_version(request: HttpRequest, version: int) -> HttpResponse:
    """A signed version on paper: the same bytes whenever it is asked for."""
    kept = _version(request, version)
    return _pdf(plan_pdf(signed(kept)), f"haccp-plan-{kept.site.slug}-{kept.version}")


def packet(request: HttpRequest, pk: int) -> HttpResponse:
    """The packet of one method, signed or a draft, for the authority."""
    chosen = Method.objects.select_related("dish__site", "entry", "signed")
    method = get_object_or_404(chosen, pk=pk, dish__site=request.site)  # type: ignore[attr-defined]
    return _pdf(packet_pdf(method, moments.now()), f"approval-packet-{method.pk}")


@head_chef_only
def issue(request: HttpRequest) -> HttpResponse:
    """Sign the plan as it is now."""
    site = request.site  # type: ignore[attr-defined]
    shown = draft(site, moments.now())
    form = IssueForm(request.POST or None, site=site, initial={"seen": shown.digest})

    def do(said: dict[str, Any]) -> str:
        if not request.user.check_password(said["password"]):
            raise Refused("That is not your password. Nothing was signed.", "password")
        hand = hand_of(request, said["entry_id"])
        return f"{actions.issue_plan(hand=hand, reason=said['reason'], seen=said['seen'])} is signed."

    return enter(
        request,
        form,
        do,
        title="Sign the HACCP plan",
        back=reverse("plan"),
        template="plan/issue.html",
        shown=shown,
        differences=shown.differences,
        room="file",
    )


@head_chef_only
def walk(request: HttpRequest) -> HttpResponse:
    """Confirm the flow diagrams on site."""
    site = request.site  # type: ignore[attr-defined]
    shown = context(draft(site, moments.now()))
    form = WalkForm(request.POST or None, site=site, initial={"flows": shown["content"]["flows"]})

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        actions.confirm_flow(flows=said["flows"], hand=hand, at=said["at"])
        return "Flow diagrams confirmed on site."

    return enter(
        request,
        form,
        do,
        title="Confirm the flow diagrams on site",
        back=reverse("plan"),
        template="plan/walk.html",
        shown_families=shown["shown_families"],
        room="file",
    )


@head_chef_only
def competence(request: HttpRequest) -> HttpResponse:
    """Note what a person of the team was taught."""
    form = CompetenceForm(request.POST or None, site=request.site)  # type: ignore[attr-defined]

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        actions.note_competence(person=said["person"], words=said["words"], hand=hand)
        return f"Competence of {said['person']} noted."

    title = "Competence of the team"
    return enter(request, form, do, title=title, back=reverse("plan"), room="file")
