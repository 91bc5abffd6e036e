"""The packet of one method for the authority."""

from __future__ import annotations

from decimal import Decimal

import pytest

from kitchen.methods.actions import record_approval
from kitchen.methods.models import Method
from kitchen.plan.packet import packet_context, packet_pdf
from tests.kitchen.factory import Factory
from tests.kitchen.plan.conftest import BRINE, words_of


@pytest.fixture
def american(db):
    """A kitchen under the model code of the United States."""
    return Factory("US-FDA")


def test_it_is_about_one_dish_alone(planned):
    method = Method.objects.get(dish__name="Ling")
    text = words_of(packet_pdf(method, planned.factory.now))
    assert "Approval packet · Test kitchen Ling" in text
    assert "Chicken breast" not in text
    assert "Fish, served at once" in text
    assert "CCP 1" in text
    assert "CCP 2" not in text


def test_it_holds_curve_label_training_list_and_signatures(planned):
    method = Method.objects.get(dish__name="Brined chicken")
    text = words_of(packet_pdf(method, planned.factory.now))
    place = 0
    for said in (
        "What is asked of the authority",
        "Core of the worst bag as reckoned",
        "Label of each bag",
        "5 days from the day of the cook",
        "within 0 °C to 3 °C [UK-CCH-STORE]",
        "Taught this method: day, signature",
        "Ben Test",
        "Head chef: name, date, signature",
    ):
        found = text.find(said, place)
        assert found >= 0, said
        place = found


def test_a_draft_has_a_packet_since_the_approval_comes_first(planned):
    draft = planned.factory.method("Goose", signed=False)
    text = words_of(packet_pdf(draft, planned.factory.now))
    assert "draft, not signed" in text


def test_the_rows_of_the_regime_that_ask_for_a_variance_are_printed(american):
    """Food Code 3-502.11: curing wants a variance before it starts (seen in the Washington adoption)."""
    cured = american.method(
        "Cured belly",
        signed=False,
        material="pork",
        attributes=["whole muscle", "cured", "cook-chill"],
        set_point_c=Decimal(70),
        **BRINE,
    )
    asked = {each["key"] for each in packet_context(cured, american.now)["asked"]}
    assert "USFDA-VARIANCE-CURE" in asked
    plain = american.method("Chicken breast", signed=False)
    assert "USFDA-VARIANCE-CURE" not in {each["key"] for each in packet_context(plain, american.now)["asked"]}


def test_an_approval_that_is_held_is_printed_in_packet_and_plan(planned):
    factory = planned.factory
    method = Method.objects.get(dish__name="Chicken breast")
    record_approval(
        authority="Harbour district",
        reference="HD 12/26",
        day=factory.now.date(),
        allows=[{"limit": "UK-CCH-LIFE", "value": Decimal(7)}],
        dish=method.dish,
        hand=factory.hand(factory.chef, 1),
    )
    (held,) = planned.part("approvals")
    assert held["name"] == "Harbour district, HD 12/26"
    assert "7 days in place of 5 days" in dict(held["facts"])["Allows"]
    assert packet_context(method, factory.now)["approvals"] == [held]
    other = Method.objects.get(dish__name="Ling")
    assert packet_context(other, factory.now)["approvals"] == []


def test_its_address_and_strangers(planned, as_cook, stranger, client):
    method = Method.objects.get(dish__name="Ling")
    address = f"/plan/packet/{method.pk}/"
    assert as_cook.get(address)["Content-Type"] == "application/pdf"
    client.force_login(stranger)
    assert client.get(address).status_code == 404


def test_the_same_packet_gives_the_same_bytes(planned):
    method = Method.objects.get(dish__name="Ling")
    assert packet_pdf(method, planned.factory.now) == packet_pdf(method, planned.factory.now)
