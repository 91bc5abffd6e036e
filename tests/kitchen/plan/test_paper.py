"""The plan on paper, read back from the PDF."""

from __future__ import annotations

import io
import json
import re

import pikepdf
import pytest
from django.db import transaction

from kitchen.plan.actions import confirm_flow, issue_plan
from kitchen.plan.content import compose
from kitchen.plan.paper import plan_pdf
from kitchen.plan.showing import draft, signed
from kitchen.review.landing import quiet
from tests.kitchen.factory import Factory
from tests.kitchen.plan.conftest import furnish, words_of

PARTS = (
    "1 · Scope",
    "2 · Team",
    "3 · Guests and intended use",
    "4 · Dishes",
    "5 · Flow diagrams",
    "6 · Hazards, controls and decisions",
    "7 · Critical control points",
    "8 · Limits in force, with their sources",
    "9 · Prerequisites",
    "10 · Validation",
    "11 · Verification",
    "12 · Records, and how long they are kept",
    "13 · Training",
    "14 · Approvals",
    "15 · Review",
    "16 · Sources",
    "17 · Version and signatures",
)


@pytest.fixture(scope="module")
def paper(django_db_setup, django_db_blocker):
    """A signed version on paper and its text; the database is left as it was."""
    with django_db_blocker.unblock(), transaction.atomic(), quiet():
        factory = furnish(Factory())
        flows = compose(factory.site, factory.now)["flows"]
        confirm_flow(flows=flows, hand=factory.hand(factory.chef, 1))
        version = issue_plan(reason="First version.", hand=factory.hand(factory.chef, 1))
        pdf = plan_pdf(signed(version))
        found = pdf, words_of(pdf), version.entry
        transaction.set_rollback(True)
    return found


def test_the_parts_come_in_their_order_in_the_contents_and_in_the_plan(paper):
    text = paper[1]
    place = 0
    for part in [*PARTS, *PARTS]:
        found = text.find(part, place)
        assert found >= 0, part
        place = found + 1


def test_the_head_says_what_it_is_who_signed_and_the_proof(paper):
    _, text, entry = paper
    assert "HACCP plan, version 1 Signed by Ada Test, head chef" in text
    assert f"Head no. {entry.seq}" in text
    assert " ".join(entry.digest[at : at + 4] for at in range(0, 16, 4)) in text
    assert entry.digest in text
    assert entry.said["digest"] in text
    assert "limits: United Kingdom (UK)" in text


def test_every_page_has_its_number_the_site_and_the_head(paper):
    with pikepdf.open(io.BytesIO(paper[0])) as opened:
        count = len(opened.pages)
    numbered = re.findall(r"page (\d+) of (\d+)", paper[1])
    assert numbered == [(str(number), str(count)) for number in range(1, count + 1)]
    assert paper[1].count("HACCP plan, version 1 · Test kitchen") >= count


def test_it_names_who_walked_the_diagrams(paper):
    assert "Confirmed on site by Ada Test, Mon 16 Nov 2026" in paper[1]


def test_each_point_is_printed_with_limit_monitoring_action_verification_and_records(paper):
    text = paper[1]
    table = text[text.rindex("7 · Critical control points") : text.rindex("8 · Limits in force")]
    for said in ("CCP 1 Cook in the bath", "CCP 2 Chill", "CCP 3", "CCP 4 Second cook"):
        assert said in table
    watched = ("What:", "How:", "When:", "Who:")
    for said in ("60 °C for 45 min", *watched, "discard", "Every bag is judged", "Bath log"):
        assert said in table
    for head in ("Hazard", "Critical limits", "Monitoring", "Corrective action", "Verification", "Records"):
        assert head in table


def test_the_content_is_attached_as_it_was_signed(paper):
    pdf, _, entry = paper
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        attached = opened.attachments["plan.json"].get_file().read_bytes()
    assert json.loads(attached) == entry.said["content"]


def test_it_promises_nothing_and_defers(paper):
    assert not re.search(r"\bsafe\b", paper[1], re.IGNORECASE)
    assert "Local law, the competent authority and qualified people come before it" in paper[1]


def test_a_draft_says_so_and_what_it_differs_in(planned):
    factory = planned.factory
    assert "HACCP plan, draft Not signed" in words_of(plan_pdf(draft(factory.site, factory.now)))
    issue_plan(hand=factory.hand(factory.chef, 1))
    factory.fridge("Fridge 2")
    text = words_of(plan_pdf(draft(factory.site, factory.now)))
    assert "What differs from version 1" in text
    assert "Fridge 2: new." in text


def test_the_same_draft_gives_the_same_bytes(planned):
    factory = planned.factory
    one, two = (plan_pdf(draft(factory.site, factory.now)) for _ in range(2))
    assert one == two
