"""A delivery through its page: what is kept, what is asked, what is refused."""

from __future__ import annotations

from decimal import Decimal

import pytest

from kitchen.base.refusals import Refused
from kitchen.larder.models import Lot
from kitchen.ledger.models import Entry
from kitchen.review.wording import say

pytestmark = pytest.mark.usefixtures("on_time")

LOT = {
    "product": "chicken breast",
    "supplier": "Saltmeadow Poultry",
    "code": "SP-1182",
    "material": "poultry",
    "state": "chilled",
    "nature": ["raw"],
    "use_by": "2026-11-20",
    "grams": "12 kg",
    "decision": "accept",
}


def receive(client, **more):
    return client.post("/larder/lots/new/", LOT | more)


def test_a_delivery_is_kept_as_a_lot(as_cook, factory):
    probe = factory.probe()
    answer = receive(as_cook, celsius="2.4", probe=probe.pk, allergens="none", condition="packs whole")
    assert answer.status_code == 302
    lot = Lot.objects.get()
    assert (lot.code, lot.grams, lot.celsius, lot.accepted) == ("SP-1182", 12000, Decimal("2.4"), True)
    assert lot.attributes == ["chilled", "raw"]
    assert "SP-1182" in as_cook.get("/larder/").content.decode()


# Reg (EC) 853/2004 Annex III: poultry at most 4 °C, red meat 7 °C, offal 3 °C, minced meat 2 °C,
# fresh fish at the temperature of melting ice; FSA NI catering guide, form SC1: chilled food at most 8 °C.
@pytest.mark.parametrize(
    ("material", "nature", "meets", "misses"),
    [
        ("poultry", ["raw"], "4", "4.1"),
        ("beef", ["raw"], "7", "7.1"),
        ("pork", ["raw", "offal"], "3", "3.1"),
        ("lamb", ["raw", "minced"], "2", "2.1"),
        ("lean_fish", ["raw"], "2", "2.1"),
        ("vegetable", [], "8", "8.1"),
    ],
)
def test_a_delivery_above_its_limit_is_accepted_with_a_reason_only(
    as_cook, factory, material, nature, meets, misses
):
    probe = factory.probe()
    said = {"material": material, "nature": nature, "probe": probe.pk}
    assert receive(as_cook, **said, celsius=meets).status_code == 302
    answer = receive(as_cook, **said, celsius=misses, code="L2")
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "0.1 °C over the limit" in text
    assert "Reject it, or accept it with the reason." in text
    assert Lot.objects.count() == 1
    assert (
        receive(as_cook, **said, celsius=misses, code="L2", reason="used within the hour").status_code == 302
    )
    kept = Lot.objects.get(code="L2")
    assert kept.reason == "used within the hour"
    assert "used within the hour" in say(kept.entry)


def test_frozen_food_is_not_judged_as_fresh(as_cook, factory):
    probe = factory.probe()
    assert receive(as_cook, celsius="-18", probe=probe.pk, state="quick-frozen").status_code == 302
    answer = receive(as_cook, celsius="-14", probe=probe.pk, state="quick-frozen", code="L2")
    # Directive 89/108/EEC: −15 °C is the brief tolerance in local distribution (from memory).
    assert "over the limit of −15 °C" in answer.content.decode()


def test_a_rejection_needs_its_reason(as_cook):
    assert receive(as_cook, decision="reject").status_code == 422
    assert not Lot.objects.exists()
    assert receive(as_cook, decision="reject", reason="ice gone, smell").status_code == 302
    assert Lot.objects.get().accepted is False
    assert "rejected: ice gone, smell" in as_cook.get("/larder/").content.decode()


def test_a_rejected_lot_is_not_cooked(factory):
    lot = factory.lot(accepted=False, reason="ice gone")
    from kitchen.batches.actions import open_batch

    with pytest.raises(Refused, match="rejected at delivery"):
        open_batch(method=factory.method(), lots=[lot], hand=factory.hand())


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ({"use_by": "2026-11-15"}, "That day is past."),
        ({"use_by": "2031-01-01"}, "more than three years ahead"),
        ({"grams": "2000000"}, "more than a tonne"),
        ({"celsius": "36", "reason": "x"}, "typed in °F"),
        ({"celsius": "24", "reason": "x"}, "the decimal point is missing"),
    ],
)
def test_a_doubtful_value_is_asked_about_and_kept_when_confirmed(as_cook, factory, said, asks):
    if "celsius" in said:
        said = said | {"probe": factory.probe().pk}
    answer = receive(as_cook, **said)
    assert answer.status_code == 422
    assert asks in answer.content.decode()
    assert not Lot.objects.exists()
    assert receive(as_cook, **said, sure="on").status_code == 302


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ({"celsius": "3"}, "Say which probe was read"),
        ({"celsius": "three"}, "Type one number"),
        ({"code": ""}, "error-text"),
        ({"material": "unicorn"}, "error-text"),
        ({"grams": "-5"}, "more than nothing"),
        ({"at": "2026-11-16T10:30"}, "That time has not come yet"),
        ({"use_by": "soon"}, "error-text"),
    ],
)
def test_a_wrong_value_comes_back_with_what_to_do(as_cook, said, says):
    before = Entry.objects.count()
    answer = receive(as_cook, **said)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert "Saltmeadow Poultry" in answer.content.decode()
    assert Entry.objects.count() == before


def test_a_code_that_was_received_before_needs_a_letter(as_cook):
    receive(as_cook)
    answer = receive(as_cook)
    assert answer.status_code == 422
    assert "Add a letter" in answer.content.decode()


def test_the_same_form_sent_twice_is_taken_once(as_cook):
    identity = "01936f3c-0000-7000-8000-000000000001"
    assert receive(as_cook, entry_id=identity).status_code == 302
    assert receive(as_cook, entry_id=identity).status_code == 302
    assert Lot.objects.count() == 1


def test_the_limits_are_shown_with_their_source(as_cook):
    text = as_cook.get("/larder/lots/new/").content.decode()
    assert "at most 4 °C" in text
    assert "Reg (EC) 853/2004, Annex III Sec II (law)" in text
