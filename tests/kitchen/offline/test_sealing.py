"""Who made an entry: the server's word at sign-in, or a sealed cook code that is checked on arrival.

The sealing is done here by the `cryptography` package; that what a browser's WebCrypto seals is opened too is
tested in tests/browser/test_offline.py.
"""

from __future__ import annotations

import base64
import json
from datetime import timedelta

import pytest
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import padding

from kitchen.cooking.actions import bags_into_bath
from kitchen.ledger.models import Entry
from kitchen.offline import sealing
from kitchen.offline.kit import kit
from kitchen.people.actions import enrol_tablet, let_go, revoke_tablet
from kitchen.people.models import SignInTry
from kitchen.review.held import Held
from tests.kitchen.factory import COOK_CODE


@pytest.fixture
def enrolled(on_time):
    return enrol_tablet(name="By the baths", hand=on_time.hand(on_time.chef))


def seal(said):
    """What the tablet does with WebCrypto."""
    key = serialization.load_der_public_key(base64.b64decode(sealing.public_key()))
    oaep = padding.OAEP(mgf=padding.MGF1(hashes.SHA256()), algorithm=hashes.SHA256(), label=None)
    return base64.b64encode(key.encrypt(json.dumps(said).encode(), oaep)).decode()


@pytest.fixture
def sealed(tablet, log, enrolled, on_time, as_chef):
    """A reading made without network by the cook, sent by the head chef; the seal can be spoilt."""

    def make(code=COOK_CODE, **more):
        said = {
            "person": "K1",
            "code": code,
            "tablet": str(enrolled.pk),
            "at": on_time.now.isoformat(),
            **more,
        }
        entry = tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=5, celsius="63.8", probe=log.bath.probe.pk)
        return {**entry, "token": "", "sealed": seal(said)}

    return make


def test_the_right_code_is_taken_and_never_written_down(sealed, tablet, on_time):
    entry = sealed()
    assert tablet.answers([entry])[0][0] == "taken"
    assert Entry.objects.get(pk=entry["id"]).person == on_time.cook
    assert not Entry.objects.filter(body__contains=COOK_CODE).exists()


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"code": "1234"}, "does not match"),
        ({"person": "C1"}, "can't be opened"),
        ({"tablet": "no tablet"}, "can't be opened"),
        ({"at": "yesterday"}, "can't be opened"),
        ({"at": "2026-11-14T08:00:00+00:00"}, "did not sign in for the time"),
    ],
)
def test_a_code_that_does_not_fit_is_held(sealed, tablet, more, why):
    what, said = tablet.answers([sealed(**more)])[0]
    assert what == "held"
    assert why in said
    assert not Held.objects.get().entry.said["proven"]


def test_a_code_that_was_sealed_to_another_key_is_held(sealed, tablet):
    entry = {**sealed(), "sealed": base64.b64encode(b"x" * 256).decode()}
    assert "can't be opened" in tablet.answers([entry])[0][1]


def test_ten_entries_under_one_wrong_code_are_one_wrong_try(sealed, tablet):
    first = sealed(code="1234")
    entries = [first] + [{**sealed(), "sealed": first["sealed"]} for _ in range(3)]
    assert {what for what, _ in tablet.answers(entries)} == {"held"}
    assert SignInTry.objects.filter(worked=False).count() == 1


def test_a_revoked_tablet_signs_nobody_in(sealed, tablet, enrolled, on_time):
    revoke_tablet(tablet=enrolled, hand=on_time.hand(on_time.chef))
    on_time.pass_time(5)
    assert "was revoked before" in tablet.answers([sealed()])[0][1]


def test_nobody_says_that_another_made_it(tablet, log, as_chef, on_time):
    entry = tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    bare = {**entry, "token": ""}
    assert "nothing shows that they signed in" in tablet.answers([bare])[0][1]


@pytest.mark.parametrize("minutes", [-60, 17 * 60])
def test_a_sign_in_counts_for_its_shift_only(tablet, log, on_time, minutes):
    tablet.token = sealing.token(on_time.cook, on_time.now - timedelta(minutes=minutes))
    tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    what, why = tablet.answers()[0]
    assert (what, "did not sign in for the time" in why) == ("held", True)


def test_who_left_makes_no_more_entries(tablet, log, on_time, as_chef):
    let_go(person=on_time.cook, hand=on_time.hand(on_time.chef))
    tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    assert "signs in here no more" in tablet.answers()[0][1]


def test_the_kit_holds_names_and_pages_and_nothing_of_the_codes(on_time, enrolled, batch, log):
    said = kit(on_time.cook, enrolled, on_time.now)
    assert said["people"] == [{"pk": on_time.cook.pk, "code": "K1", "name": "Ben Test"}]
    on_time.cook.refresh_from_db()
    assert on_time.cook.cook_code not in json.dumps(said)
    assert "PRIVATE" not in json.dumps(said)
    pages = [url for url, _ in said["pages"]]
    assert len(set(pages)) == len(pages)
    for needed in ("", "in/", "out/", "core/", "chill/", "fridge/", "seal/", "1/"):
        assert f"/bench/{batch.code}/{needed}" in pages
    assert {"/bench/", "/outbox/", "/sign-in/", f"/bench/logs/{log.pk}/read/"} <= set(pages)


def test_a_device_that_is_not_enrolled_gets_no_people_and_no_key(on_time):
    said = kit(on_time.cook, None, on_time.now)
    assert (said["people"], said["key"], said["tablet"]) == ([], "", None)


def test_every_page_of_the_kit_is_there(as_cook, on_time, batch, log):
    on_time.chiller()
    on_time.fridge()
    for url, _ in kit(on_time.cook, None, on_time.now)["pages"]:
        assert as_cook.get(url, headers={"X-Keep": "1"}).status_code == 200, url


def test_only_what_moved_gets_another_tag(on_time, batch, log):
    before = dict(kit(on_time.cook, None, on_time.now)["pages"])
    on_time.read(log, "64.0")
    still = dict(kit(on_time.cook, None, on_time.now)["pages"])
    assert still[f"/bench/{batch.code}/in/"] == before[f"/bench/{batch.code}/in/"]
    bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=on_time.hand())
    after = dict(kit(on_time.cook, None, on_time.now)["pages"])
    assert after[f"/bench/{batch.code}/out/"] != before[f"/bench/{batch.code}/out/"]
