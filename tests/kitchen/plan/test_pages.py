"""The pages of the plan: who may see them, who may sign, what comes back."""

from __future__ import annotations

import pytest

from kitchen.base import moments
from kitchen.ledger.models import Entry
from kitchen.plan.actions import issue_plan
from kitchen.plan.content import plan_digest
from kitchen.plan.models import Competence, FlowConfirmed, PlanVersion
from tests.kitchen.factory import CHEF_PASSWORD


@pytest.fixture
def here(planned, monkeypatch):
    """The furnished kitchen, with the server's clock at its time."""
    monkeypatch.setattr(moments, "now", lambda: planned.factory.now)
    return planned


@pytest.fixture
def issued(here):
    """Its first version."""
    return issue_plan(hand=here.factory.hand(here.factory.chef, 1))


def sign(client, here, **said):
    """Send the form of the signature."""
    given = {"seen": plan_digest(here.content), "reason": "New.", "password": CHEF_PASSWORD, **said}
    return client.post("/plan/sign/", given)


def test_a_cook_reads_the_plan_and_prints_the_draft(here, as_cook):
    page = as_cook.get("/plan/")
    assert page.status_code == 200
    text = page.content.decode()
    assert "HACCP plan, draft, not signed" in text
    assert "Poultry, chilled and kept" in text
    assert "/plan/sign/" not in text
    pdf = as_cook.get("/plan/print/")
    assert pdf["Content-Type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF-")


def test_it_is_reached_from_the_file_the_larder_and_the_method(here, as_cook):
    method = here.factory.method("Leek", material="vegetable", attributes=["vegetable", "cook-chill"])
    for address in ("/file/", "/larder/", f"/larder/methods/{method.pk}/"):
        assert 'href="/plan/"' in as_cook.get(address).content.decode(), address


def test_the_head_chef_signs_with_the_password(here, as_chef):
    assert as_chef.get("/plan/sign/").status_code == 200
    assert sign(as_chef, here).status_code == 302
    version = PlanVersion.objects.get()
    assert version.entry.said["reason"] == "New."
    page = as_chef.get("/plan/").content.decode()
    assert "Nothing: version 1 is the plan that is in force." in page


@pytest.mark.parametrize(
    ("said", "refusal"),
    [
        ({"password": "guessed"}, "That is not your password. Nothing was signed."),
        ({"seen": "0" * 64}, "The plan has changed since this page was shown."),
    ],
    ids=["password", "changed"],
)
def test_a_signature_that_does_not_hold_is_refused(here, as_chef, said, refusal):
    answer = sign(as_chef, here, **said)
    assert answer.status_code == 422
    assert refusal in answer.content.decode()
    assert not PlanVersion.objects.exists()


@pytest.mark.parametrize("address", ["/plan/sign/", "/plan/walk/", "/plan/competence/"])
def test_a_cook_signs_nothing(here, as_cook, address):
    before = Entry.objects.count()
    assert as_cook.get(address).status_code == 403
    assert as_cook.post(address, {}).status_code == 403
    assert Entry.objects.count() == before


def test_the_head_chef_confirms_the_diagrams(here, as_chef):
    assert "Walk each diagram" in as_chef.get("/plan/walk/").content.decode()
    answer = as_chef.post("/plan/walk/", {"flows": here.content["flows"], "at": "2026-11-16T08:05"})
    assert answer.status_code == 302
    assert FlowConfirmed.objects.get().at == here.factory.now.replace(minute=5)
    assert "Confirmed on site by Ada Test" in as_chef.get("/plan/").content.decode()


def test_the_head_chef_notes_a_competence(here, as_chef):
    said = {"person": here.factory.cook.pk, "words": "Food hygiene, 2026"}
    assert as_chef.post("/plan/competence/", said).status_code == 302
    assert Competence.objects.get().person == here.factory.cook
    stranger = {"person": here.factory.stranger.pk, "words": "x"}
    assert as_chef.post("/plan/competence/", stranger).status_code == 422


def test_versions_and_what_changed_between_them(here, issued, as_cook):
    here.factory.fridge("Fridge 2")
    issue_plan(hand=here.factory.hand(here.factory.chef, 1))
    assert "HACCP plan, version 1" in as_cook.get("/plan/1/").content.decode()
    assert "Fridge 2: new." in as_cook.get("/plan/1/2/").content.decode()
    first, again = (as_cook.get("/plan/1/print/").content for _ in range(2))
    assert first == again


@pytest.mark.parametrize("address", ["/plan/1/", "/plan/1/print/", "/plan/1/1/"])
def test_another_kitchens_plan_is_not_there(here, issued, as_stranger, address):
    assert as_stranger.get(address).status_code == 404


def test_another_kitchens_page_shows_its_own_plan(here, issued, as_stranger):
    text = as_stranger.get("/plan/").content.decode()
    assert "Chicken breast" not in text
    assert "None is signed yet." in text


@pytest.mark.parametrize("address", ["/plan/", "/plan/print/", "/plan/1/"])
def test_who_is_not_signed_in_is_sent_to_sign_in(client, here, issued, address):
    answer = client.get(address)
    assert answer.status_code == 302
    assert "sign" in answer["Location"]
