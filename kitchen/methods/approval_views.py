"""Pages of the approvals: to record one for a method, to end one, to read its paper."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import standing
from kitchen.methods.actions import end_approval, keep_paper, record_approval
from kitchen.methods.approval_form import OURS, ApprovalForm, EndForm
from kitchen.methods.governed import limits_of
from kitchen.methods.models import Approval, Method
from kitchen.people.hands import hand_of, head_chef_only
from kitchen.people.regime import rules_of


@head_chef_only
def new(request: HttpRequest, pk: int) -> HttpResponse:
    """Record an approval for the food of a method; `?limit=` names the limit that it is about."""
    site = request.site  # type: ignore[attr-defined]
    method = get_object_or_404(Method.objects.select_related("dish__site"), pk=pk, dish__site=site)
    now = moments.now()
    limits = limits_of(method, rules_of(site, moments.local(now, site.timezone).date()))
    form = ApprovalForm(
        request.POST or None,
        request.FILES or None,
        site=site,
        method=method,
        limits=limits,
        initial={"limit_1": request.GET.get("limit", "")},
    )

    def do(said: dict[str, Any]) -> str:
        file = said["paper"]
        kept = keep_paper(site=site, name=file.name, content=file.read(), now=now) if file else None
        approval = record_approval(
            authority=said["authority"],
            reference=said["reference"],
            day=said["day"],
            until=said["until"],
            dish=method.dish if said["for_dish"] == OURS else None,
            scope=said.get("scope", ()),
            allows=form.allows(),
            note=said["note"],
            paper=kept,
            hand=hand_of(request, said["entry_id"]),
        )
        return f"Approval {approval.reference} of {approval.authority} recorded."

    return enter(
        request,
        form,
        do,
        title=f"Approval for {method.dish.name}",
        back=reverse("method", args=[method.pk]),
        template="methods/approval_new.html",
        room="larder",
    )


def _approval(request: HttpRequest, pk: int) -> Approval:
    mine = standing(Approval.objects.filter(site=request.site))  # type: ignore[attr-defined]
    return get_object_or_404(mine.select_related("dish", "paper", "site"), pk=pk)


def _back(approval: Approval) -> str:
    methods = Method.objects.filter(dish__site=approval.site)
    about = methods.filter(dish=approval.dish) if approval.dish else methods
    newest = about.order_by("-version").first()
    return reverse("method", args=[newest.pk]) if newest else reverse("methods")


@head_chef_only
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """It was taken back, or is needed no more."""
    approval = _approval(request, pk)
    form = EndForm(request.POST or None, site=approval.site, submit="End this approval")

    def do(said: dict[str, Any]) -> str:
        end_approval(approval=approval, reason=said["reason"], hand=hand_of(request, said["entry_id"]))
        return f"Approval {approval.reference} ends now: batches begun from here on go without it."

    title = f"End the approval {approval.reference}"
    return enter(request, form, do, title=title, back=_back(approval), room="larder")


@head_chef_only
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """It was recorded by mistake: what rested on it is judged again without it."""
    approval = _approval(request, pk)
    form = EndForm(request.POST or None, site=approval.site, submit="It never held: withdraw it")

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        correct(approval.entry_id, None, reason=said["reason"], hand=hand)
        return f"Approval {approval.reference} is withdrawn. Batches that rested on it are judged again."

    title = f"Withdraw the approval {approval.reference}"
    return enter(request, form, do, title=title, back=_back(approval), room="larder")


def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The document of an approval, as it came."""
    kept = _approval(request, pk).paper
    if kept is None:
        raise Http404("No paper was kept with this approval.")
    response = HttpResponse(bytes(kept.content), content_type=kept.kind)
    response["Content-Disposition"] = f'attachment; filename="approval-{pk}.{kept.kind.split("/")[1]}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
