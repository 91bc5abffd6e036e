"""At the Pass the head chef reads what was found, decides, says what was done, and signs."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal
from functools import partial

import pytest
import time_machine
from django.urls import reverse

from kitchen.base.ids import new_id
from kitchen.cooking.actions import read_bath
from kitchen.cooking.models import BathLog
from kitchen.finishing.actions import finish_bags
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry
from kitchen.review.actions import decide, sign_batch
from kitchen.review.assessing import State, refresh, state
from kitchen.review.models import CorrectiveAction, Disposition, SignOff
from tests.kitchen.factory import CHEF_PASSWORD

COLD = ["57", "56", "55", "55"] + ["55"] * 8


@pytest.fixture
def at_the_pass(factory, as_chef):
    """A page of the Pass, looked at when the kitchen's clock says so."""

    def look(name: str, *args: str, post: dict | None = None):
        with time_machine.travel(factory.now, tick=False):
            as_chef.force_login(factory.chef)
            address = reverse(name, args=args)
            return as_chef.post(address, post) if post is not None else as_chef.get(address)

    return look


def text(response) -> str:
    """The words of a page."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def afresh(factory, mark: str) -> None:
    """From now on another lot and another bath."""
    factory.lot = partial(type(factory).lot, factory, f"L{mark}")
    factory.bath = partial(type(factory).bath, factory, f"Bath {mark}")


@pytest.fixture
def failing(factory):
    """A batch whose bath sank far below its set point: three bags that can't meet the cook limit."""
    return factory.cooked(bags=3, minutes=180, readings=COLD)


@pytest.mark.parametrize("name", ["pass", "pass_batch"])
def test_only_the_head_chef_may_look(client, factory, name):
    batch = factory.cooked()
    address = reverse(name, args=[batch.code] if name == "pass_batch" else [])
    assert client.get(address).status_code == 302
    client.force_login(factory.cook)
    assert client.get(address).status_code == 403
    client.force_login(factory.chef)
    assert client.get(address).status_code == 200


@pytest.mark.parametrize("name", ["pass_batch", "pass_decide", "pass_act", "pass_sign"])
def test_a_stranger_finds_nothing(as_stranger, factory, name):
    batch = factory.cooked()
    address = reverse(name, args=[batch.code])
    response = as_stranger.get(address) if name == "pass_batch" else as_stranger.post(address, {})
    assert response.status_code == 404
    assert not Entry.objects.filter(kind__in=["bag.decide", "action.take", "batch.sign"]).exists()


def test_the_worst_batch_stands_first_and_one_in_the_bath_apart(factory, at_the_pass):
    fine = factory.chilled()
    afresh(factory, "2")
    bad = factory.cooked(bags=2, readings=COLD, dish="Chicken thigh")
    afresh(factory, "3")
    in_hand = factory.batch(dish="Chicken leg")
    context = at_the_pass("pass").context
    waiting = [row.batch for row in context["waiting"]]
    assert waiting[0] == bad
    assert in_hand in [row.batch for row in context["in_hand"]]
    assert fine in [row.batch for row in context["waiting"] + context["clear"]]
    ranks = [row.assessment.outcome.rank for row in context["waiting"]]
    assert ranks == sorted(ranks, reverse=True)


def test_a_finding_says_measured_required_margin_and_whose_limit(factory, at_the_pass, failing):
    page = text(at_the_pass("pass_batch", failing.code))
    finding = next(
        each for each in refresh(failing, factory.now).bags[0].findings if each.rule == "cook.hold"
    )
    assert "Bags 1 to 3" in page
    assert finding.required
    assert finding.required in page
    assert "fails limits" in page
    assert "Food Standards Agency" in page
    assert "guidance" in page


def test_several_bags_are_decided_at_once(factory, at_the_pass, failing):
    said = {"entry_id": new_id(), "bags": ["1", "3"], "decision": "discard", "reason": "Never hot enough."}
    response = at_the_pass("pass_decide", failing.code, post=said)
    assert response.status_code == 302
    rows = Disposition.objects.filter(bag__batch=failing)
    assert {(each.bag.number, each.decision, each.reason) for each in rows} == {
        (1, "discard", "Never hot enough."),
        (3, "discard", "Never hot enough."),
    }
    page = text(at_the_pass("pass_batch", failing.code))
    assert "Bags 1 and 3: discard." in page
    assert "Bag 2 (fails limits) waits for a decision." in page
    # The same form once more, as after a lost answer: one entry.
    at_the_pass("pass_decide", failing.code, post=said)
    assert Entry.objects.filter(kind="bag.decide").count() == 1


@pytest.mark.parametrize("missing", ["bags", "decision", "reason"])
def test_a_decision_with_something_missing_comes_back_as_typed(at_the_pass, failing, missing):
    said = {"entry_id": new_id(), "bags": ["1"], "decision": "discard", "reason": "Too cold throughout."}
    del said[missing]
    response = at_the_pass("pass_decide", failing.code, post=said)
    assert response.status_code == 422
    assert not Disposition.objects.exists()
    if missing != "reason":
        assert "Too cold throughout." in response.content.decode()


def test_a_corrective_action_answers_a_failing_finding(at_the_pass, failing):
    said = {
        "entry_id": new_id(),
        "rule": "cook.hold",
        "cause": "The heater failed.",
        "action": "Discarded all.",
    }
    without_cause = {**said, "cause": ""}
    response = at_the_pass("pass_act", failing.code, post=without_cause)
    assert response.status_code == 422
    assert "Discarded all." in response.content.decode()
    assert at_the_pass("pass_act", failing.code, post=said).status_code == 302
    action = CorrectiveAction.objects.get()
    assert (action.cause, action.action, action.rule) == ("The heater failed.", "Discarded all.", "cook.hold")
    assert "The heater failed." in text(at_the_pass("pass_batch", failing.code))


def test_what_does_not_fail_takes_no_corrective_action(at_the_pass, failing):
    said = {"entry_id": new_id(), "rule": "no.such", "cause": "x", "action": "y"}
    assert at_the_pass("pass_act", failing.code, post=said).status_code == 404
    assert not CorrectiveAction.objects.exists()


def test_what_hinders_the_signature_is_listed_and_there_is_no_form_yet(at_the_pass, failing):
    page = at_the_pass("pass_batch", failing.code).content.decode()
    assert "Bags 1 to 3 (fails limits) wait for a decision." in page
    assert "No corrective action yet for:" in page
    assert reverse("pass_sign", args=[failing.code]) not in page
    response = at_the_pass("pass_sign", failing.code, post={"entry_id": new_id(), "password": CHEF_PASSWORD})
    assert response.status_code == 422
    assert not SignOff.objects.exists()


def ready(factory):
    """A batch about which everything is decided."""
    batch = factory.chilled(bags=2)
    decide(
        bags=list(batch.bags.all()),
        decision="release",
        reason="All looked at.",
        hand=factory.hand(factory.chef),
    )
    return batch


def test_the_password_is_asked_again_and_the_meaning_is_shown(factory, at_the_pass):
    batch = ready(factory)
    page = text(at_the_pass("pass_batch", batch.code))
    assert "I have read this record and decided about every bag in it." in page
    wrong = at_the_pass("pass_sign", batch.code, post={"entry_id": new_id(), "password": "not the one"})
    assert wrong.status_code == 422
    assert not SignOff.objects.exists()
    right = at_the_pass("pass_sign", batch.code, post={"entry_id": new_id(), "password": CHEF_PASSWORD})
    assert right.status_code == 302
    assert state(batch) == State.SIGNED
    signature = SignOff.objects.get()
    assert signature.entry.person == factory.chef


def test_guessing_the_password_is_slowed(factory, at_the_pass):
    batch = ready(factory)
    for _ in range(5):
        at_the_pass("pass_sign", batch.code, post={"entry_id": new_id(), "password": "guess"})
    response = at_the_pass("pass_sign", batch.code, post={"entry_id": new_id(), "password": CHEF_PASSWORD})
    assert "Too many wrong tries" in text(response)
    assert not SignOff.objects.exists()


def test_a_signed_batch_is_closed_and_folds_to_a_line(factory, at_the_pass):
    batch = ready(factory)
    sign_batch(batch=batch, hand=factory.hand(factory.chef), now=factory.now)
    page = at_the_pass("pass_batch", batch.code).content.decode()
    assert reverse("pass_decide", args=[batch.code]) not in page
    assert "This batch is closed." in page
    said = {"entry_id": new_id(), "bags": ["1"], "decision": "discard", "reason": "Second thoughts."}
    refused = at_the_pass("pass_decide", batch.code, post=said)
    assert refused.status_code == 422
    assert f"{batch.code} is signed and closed." in text(refused)
    assert not Disposition.objects.filter(decision="discard").exists()
    board = at_the_pass("pass")
    assert [row.batch for row in board.context["signed"]] == [batch]
    assert '<details class="signed">' in board.content.decode()


def test_a_later_entry_reopens_it_and_that_stays_visible(factory, at_the_pass):
    batch = ready(factory)
    sign_batch(batch=batch, hand=factory.hand(factory.chef), now=factory.now)
    finish_bags(bags=[batch.bags.first()], kind="served", hand=factory.hand(minutes=30))
    assert state(batch) == State.REOPENED
    for name, args in (("pass", []), ("pass_batch", [batch.code])):
        page = text(at_the_pass(name, *args))
        assert "Reopened. Signed by Ada Test" in page
        assert "Bag 1: served" in page
    assert reverse("pass_decide", args=[batch.code]) in at_the_pass("pass_batch", batch.code).content.decode()


def test_the_trail_marks_late_and_struck_entries(factory, at_the_pass):
    batch = factory.cooked()
    log = BathLog.objects.get()
    factory.pass_time(100)
    read_bath(
        bath_log=log,
        celsius=Decimal("63.5"),
        probe=log.bath.probe,
        at=factory.now - timedelta(minutes=100),
        hand=factory.hand(),
    )
    wrong = Entry.objects.filter(kind="bath.read").order_by("seq")[2]
    correct(wrong.pk, {**wrong.said, "celsius": "64.2"}, reason="misread the display", hand=factory.hand())
    response = at_the_pass("pass_batch", batch.code)
    assert "late by 1 h 40 min" in text(response)
    page = response.content.decode()
    assert re.search(r"<del>Bath 1 read 64\.0 °C[^<]*</del>", page)
    assert "misread the display" in page
