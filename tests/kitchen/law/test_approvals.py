"""Approvals: recorded by the head chef, in force for what is begun after, printed beside the limit."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from haccp.record import Allowance
from kitchen.base.refusals import Refused
from kitchen.batches.actions import open_batch
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry
from kitchen.methods import actions, approvals
from kitchen.methods.actions import findings_of, sign_method
from kitchen.methods.models import Approval
from kitchen.review.assessing import current
from kitchen.review.gather import gather
from kitchen.review.models import Assessed
from kitchen.review.wording import say

pytestmark = pytest.mark.usefixtures("on_time")
TODAY = date(2026, 11, 16)
# Cook-chill guidelines (Department of Health, 1989): five days at most, to 3 °C within 90 min.
LIFE = {"limit": "UK-CCH-LIFE", "value": Decimal(8), "hold": None}
PDF = b"%PDF-1.4 a paper"


def approve(factory, **more):
    facts = {
        "authority": "Borough of Marram",
        "reference": "EH/114",
        "day": TODAY,
        "allows": [LIFE],
        "hand": factory.hand(factory.chef),
        **more,
    }
    return actions.record_approval(**facts)


def long_kept(factory, dish="Chicken breast"):
    return factory.method(dish=dish, life_days=8, signed=False)


def test_a_looser_method_is_refused_until_it_is_approved(factory):
    method = long_kept(factory)
    with pytest.raises(Refused, match="5 days at most"):
        sign_method(method=method, hand=factory.hand(factory.chef))
    approve(factory, dish=method.dish)
    signed = sign_method(method=method, hand=factory.hand(factory.chef))
    assert signed.signed_id
    said = " ".join(each.sentence for each in findings_of(signed, TODAY))
    assert "Approved by Borough of Marram, EH/114, " in said
    assert "Printed is 5 days." in said


@pytest.mark.parametrize(
    "more",
    [
        {"allows": [{**LIFE, "value": Decimal(7)}]},
        {"allows": [{"limit": "UK-CHILL-8", "value": Decimal(9), "hold": None}]},
        {"day": TODAY + timedelta(days=1)},
        {"day": TODAY - timedelta(days=9), "until": TODAY - timedelta(days=1)},
        {"scope": ["fish"]},
    ],
    ids=["less than the method asks", "another limit", "not yet", "no longer", "another food"],
)
def test_an_approval_covers_what_it_names_and_nothing_else(factory, more):
    method = long_kept(factory)
    approve(factory, dish=method.dish, **more)
    with pytest.raises(Refused, match="at most"):
        sign_method(method=method, hand=factory.hand(factory.chef))


def test_it_covers_no_other_dish(factory):
    one, other = long_kept(factory, "One"), long_kept(factory, "Other")
    approve(factory, dish=one.dish)
    assert approvals.approvals_of(other) == ()
    approve(factory, reference="EH/115")
    assert [each.reference for each in approvals.approvals_of(other)] == ["EH/115"]


def test_a_batch_knows_the_approvals_that_stood_when_it_was_begun(factory):
    early = factory.batch()
    approve(factory)
    assert gather(early, factory.now).approvals == ()
    lot = factory.lot(code="L2")

    late = open_batch(method=early.method, lots=[lot], hand=factory.hand())
    [known] = gather(late, factory.now).approvals
    assert (known.authority, known.reference, known.day) == ("Borough of Marram", "EH/114", TODAY)
    assert known.allows == (Allowance("UK-CCH-LIFE", 8.0, None),)
    actions.end_approval(
        approval=Approval.objects.get(), reason="Taken back.", hand=factory.hand(factory.chef)
    )
    assert len(gather(late, factory.now).approvals) == 1
    later = open_batch(method=early.method, lots=[factory.lot(code="L3")], hand=factory.hand())
    assert gather(later, factory.now).approvals == ()


def test_the_outcome_of_a_batch_rests_on_it_and_falls_when_it_is_withdrawn(factory):
    # The slurry brings the core to 3 °C in more than 90 min by its own reading; 200 min is approved.
    stage = {"limit": "UK-CCH-COOL-1", "value": Decimal(300), "hold": None}
    approval = approve(factory, allows=[stage])
    batch = factory.chilled(minutes=140)
    found = [each for each in current(batch, factory.now).all_findings if each.limit == "UK-CCH-COOL-1"]
    assert found
    assert all("Approved by Borough of Marram, EH/114" in each.sentence for each in found)
    assert str(approval.entry_id) in found[0].entries
    before = {each.outcome for each in found}
    hand = factory.hand(factory.chef, minutes=1)
    correct(approval.entry_id, None, reason="Another kitchen’s paper.", hand=hand)
    kept = Assessed.objects.get(batch=batch)
    assert kept.made_at == factory.now
    after = [each for each in current(batch, factory.now).all_findings if each.limit == "UK-CCH-COOL-1"]
    assert before != {each.outcome for each in after}
    assert not any("Approved" in each.sentence for each in after)


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"authority": " "}, "Name the authority"),
        ({"reference": ""}, "reference"),
        ({"until": TODAY - timedelta(days=1)}, "ends before it begins"),
        ({"allows": []}, "Choose the limit"),
        ({"allows": [LIFE, LIFE]}, "Each limit once"),
        ({"allows": [{**LIFE, "limit": "GONE"}]}, "no limit GONE"),
        ({"allows": [{**LIFE, "value": None}]}, "Type the figure"),
        ({"allows": [{**LIFE, "hold": Decimal(3)}]}, "prints no hold"),
        ({"allows": [{"limit": "UK-DUALVP", "value": Decimal(3), "hold": None}]}, "duty in words"),
    ],
)
def test_what_can_not_be_is_refused(factory, more, why):
    before = Entry.objects.count()
    with pytest.raises(Refused, match=why):
        approve(factory, **more)
    assert Entry.objects.count() == before


def test_only_the_head_chef_records_and_ends_one(factory, client, cook):
    approval = approve(factory)
    with pytest.raises(Refused, match="head chef"):
        approve(factory, hand=factory.hand(factory.cook))
    with pytest.raises(Refused, match="head chef"):
        actions.end_approval(approval=approval, reason="x", hand=factory.hand(factory.cook))
    method = factory.method()
    client.force_login(cook)
    for address in (
        f"/larder/methods/{method.pk}/approvals/new/",
        f"/larder/approvals/{approval.pk}/end/",
        f"/larder/approvals/{approval.pk}/withdraw/",
    ):
        assert client.get(address).status_code == 403


FORM = {
    "authority": "Borough of Marram",
    "reference": "EH/114",
    "day": "2026-11-16",
    "for_dish": "this",
    "limit_1": "UK-CCH-LIFE",
    "value_1": "8",
    "scope": ["poultry"],
}


def test_through_the_page_with_its_paper(as_chef, factory):
    method = long_kept(factory)
    page = as_chef.get(f"/larder/methods/{method.pk}/").content.decode()
    new = f"/larder/methods/{method.pk}/approvals/new/"
    assert f"{new}?limit=UK-CCH-LIFE" in page
    assert "selected" in as_chef.get(f"{new}?limit=UK-CCH-LIFE").content.decode()
    answer = as_chef.post(new, {**FORM, "paper": SimpleUploadedFile("scan.pdf", PDF)})
    assert answer.status_code == 302, answer.content.decode()
    approval = Approval.objects.get()
    assert say(approval.entry) == (
        "Approval EH/114 of Borough of Marram recorded for Chicken breast: UK-CCH-LIFE"
    )
    page = as_chef.get(f"/larder/methods/{method.pk}/").content.decode()
    assert "8 days in place of 5 days." in page
    assert "Approved by Borough of Marram" in page
    paper = as_chef.get(f"/larder/approvals/{approval.pk}/paper/")
    assert (paper.content, paper["Content-Type"]) == (PDF, "application/pdf")
    assert as_chef.post(f"/larder/approvals/{approval.pk}/end/", {"reason": ""}).status_code == 422
    assert as_chef.post(f"/larder/approvals/{approval.pk}/end/", {"reason": "Over."}).status_code == 302
    assert "Over." in as_chef.get(f"/larder/methods/{method.pk}/").content.decode()


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ({"limit_1": ""}, "error-text"),
        ({"value_1": ""}, "Type the figure that is allowed in place of 5 days."),
        ({"hold_1": "4"}, "prints no hold"),
        ({"limit_2": "", "value_2": "4"}, "Choose the limit that these figures are about."),
        ({"limit_1": "USFDA-HOT-57"}, "error-text"),
        ({"day": "16.11.2026"}, "error-text"),
        ({"until": "2026-11-15"}, "ends before it begins"),
        ({"paper": SimpleUploadedFile("scan.exe", b"MZ\x90")}, "Keep a PDF, a PNG or a JPEG."),
    ],
)
def test_a_wrong_value_comes_back_with_what_to_do(as_chef, factory, said, says):
    method = long_kept(factory)
    answer = as_chef.post(f"/larder/methods/{method.pk}/approvals/new/", {**FORM, **said})
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not Approval.objects.exists()


def test_a_mistake_is_withdrawn_through_the_page(as_chef, factory):
    method = long_kept(factory)
    approval = approve(factory, dish=method.dish)
    address = f"/larder/approvals/{approval.pk}/withdraw/"
    assert as_chef.post(address, {"reason": "Another kitchen’s."}).status_code == 302
    assert "No approval." in as_chef.get(f"/larder/methods/{method.pk}/").content.decode()
    assert as_chef.get(address).status_code == 404


def test_a_stranger_finds_none(as_stranger, factory):
    approval, method = approve(factory), factory.method()
    for address in (
        f"/larder/methods/{method.pk}/approvals/new/",
        f"/larder/approvals/{approval.pk}/end/",
        f"/larder/approvals/{approval.pk}/withdraw/",
        f"/larder/approvals/{approval.pk}/paper/",
    ):
        assert as_stranger.get(address).status_code == 404


@pytest.mark.parametrize(
    ("limit", "value", "hold", "words"),
    [
        ("UK-CCH-LIFE", "8", None, "8 days in place of 5 days."),
        ("UK-CCH-COOL-1", "150", None, "3 °C within 150 min in place of 3 °C within 90 min."),
        ("UK-COOK-FSA-60", "57", "190", "57 °C for 190 min in place of 60 °C for 45 min."),
        ("UK-COOK-FSA-60", None, "40", "60 °C for 40 min in place of 60 °C for 45 min."),
    ],
)
def test_what_is_allowed_stands_in_words_beside_what_is_printed(limit, value, hold, words):
    assert approvals.in_words({"limit": limit, "value": value, "hold": hold}) == words
