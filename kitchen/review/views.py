"""The Pass: what needs a decision, and sign-off."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST

from haccp.record import Outcome
from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.base.forms import EntryForm
from kitchen.base.refusals import Refused
from kitchen.batches.models import Batch
from kitchen.people.hands import hand_of, head_chef_only
from kitchen.people.sign_in import by_password
from kitchen.review import showing, signed
from kitchen.review.actions import decide, sign_batch, take_action
from kitchen.review.assessing import State, current, state
from kitchen.review.board import board
from kitchen.review.forms import SignForm
from kitchen.review.page import action_form, batch_of, batch_page, decision_form

PAGE = "review/batch.html"


@head_chef_only
def pass_page(request: HttpRequest) -> HttpResponse:
    """Batches with findings first, signed ones folded to a line."""
    return render(request, "review/pass.html", board(request.site, moments.now()))  # type: ignore[attr-defined]


def _batch(request: HttpRequest, code: str) -> Batch:
    batch = batch_of(request.site, code)  # type: ignore[attr-defined]
    if batch is None:
        raise Http404("No such batch at this site.")
    return batch


def _back(batch: Batch) -> str:
    return reverse("pass_batch", args=[batch.code])


@head_chef_only
def pass_batch(request: HttpRequest, code: str) -> HttpResponse:
    """One batch: what was found, what can still be done, the decision, the signature."""
    return render(request, PAGE, batch_page(_batch(request, code), moments.now()))


def _must_be_open(batch: Batch) -> None:
    if state(batch) == State.SIGNED:
        raise Refused(
            f"{batch.code} is signed and closed. Log what is new about it: that opens it again, visibly."
        )


def _enter(request: HttpRequest, batch: Batch, form: EntryForm, do: Any, **shown: Any) -> HttpResponse:
    context = batch_page(batch, moments.now(), **shown)
    return enter(request, form, do, title=batch.code, back=_back(batch), template=PAGE, **context)


@require_POST
@head_chef_only
def decide_bags(request: HttpRequest, code: str) -> HttpResponse:
    """Release, rework or discard one bag or several."""
    batch = _batch(request, code)
    form = decision_form(batch, current(batch, moments.now()), data=request.POST)

    def do(said: dict[str, Any]) -> str:
        _must_be_open(batch)
        hand = hand_of(request, said["entry_id"])
        decide(bags=said["bags"], decision=said["decision"], reason=said["reason"], hand=hand)
        return f"{showing.numbers_in_words(each.number for each in said['bags'])}: {said['decision']}."

    return _enter(request, batch, form, do, decision_form=form)


@require_POST
@head_chef_only
def act(request: HttpRequest, code: str) -> HttpResponse:
    """A corrective action on one failing rule of a batch."""
    batch = _batch(request, code)
    rule = request.POST.get("rule", "")
    found = current(batch, moments.now()).all_findings
    failing = [each for each in found if each.rule == rule and each.outcome == Outcome.FAILS]
    if not failing:
        raise Http404("Nothing fails by this rule.")
    form = action_form(batch, rule, data=request.POST)

    def do(said: dict[str, Any]) -> str:
        _must_be_open(batch)
        take_action(
            batch=batch,
            rule=rule,
            finding=failing[0].sentence,
            cause=said["cause"],
            action=said["action"],
            prevention=said["prevention"],
            hand=hand_of(request, said["entry_id"]),
        )
        return "Corrective action kept."

    return _enter(request, batch, form, do, acting=form)


@head_chef_only
def judge_again(request: HttpRequest, code: str) -> HttpResponse:
    """A signed batch by the limits and the engine of now, beside what was signed; nothing is entered."""
    batch = _batch(request, code)
    signature = showing.signature_of(batch)
    again = signed.again(batch, signature) if signature else None
    if again is None:
        raise Http404("Nothing was signed here that could be judged again.")
    return render(request, "review/again.html", {"batch": batch, "again": again, "room": "pass"})


@require_POST
@head_chef_only
def sign(request: HttpRequest, code: str) -> HttpResponse:
    """Sign a batch off: the password is asked again, so that the signature is the chef's own."""
    batch = _batch(request, code)
    form = SignForm(request.POST, site=batch.site, auto_id="sign_%s")
    now = moments.now()

    def do(said: dict[str, Any]) -> str:
        _must_be_open(batch)
        handle = request.user.handle  # type: ignore[union-attr]
        by_password(request=request, handle=handle, password=said["password"], at=now)
        signature = sign_batch(batch=batch, hand=hand_of(request, said["entry_id"]), now=now)
        return f"{batch.code} signed: {signature.outcome}."

    return _enter(request, batch, form, do, sign_form=form)
