"""Who gets in: a cook by code on an enrolled tablet only, anyone by password, nobody by guessing."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kitchen.people.actions import enrol_tablet, revoke_tablet
from kitchen.people.models import SignInTry
from tests.kitchen.factory import CHEF_PASSWORD, COOK_CODE

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def tablet(client, factory):
    """The client's device, enrolled at the kitchen of the tests."""
    client.force_login(factory.chef)
    assert client.post("/larder/tablets/", {"name": "By the baths"}).status_code == 302
    client.post("/sign-out/")
    return factory.site.tablets.get()


def by_code(client, person, code=COOK_CODE, **more):
    return client.post("/sign-in/", {"by": "code", "person": person.pk, "code": code, **more})


def by_password(client, handle="chef", password=CHEF_PASSWORD, **more):
    return client.post("/sign-in/", {"by": "password", "username": handle, "password": password, **more})


def signed_in(client):
    return "_auth_user_id" in client.session


def test_a_cook_signs_in_by_code_on_an_enrolled_tablet(client, tablet, cook):
    page = client.get("/sign-in/").content.decode()
    assert "Ben Test" in page
    assert "Ada Test" not in page  # the head chef has no cook code
    answer = by_code(client, cook)
    assert answer["Location"] == "/bench/"
    assert client.get("/larder/").status_code == 200
    assert "Ben Test" in client.get("/larder/").content.decode()


def test_a_code_is_worth_nothing_on_another_device(client, cook):
    page = client.get("/sign-in/").content.decode()
    assert "Ben Test" not in page
    assert by_code(client, cook).status_code == 422
    assert not signed_in(client)


def test_a_tablet_cookie_that_was_made_up_enrols_nothing(client, tablet, cook):
    client.cookies["tablet"] = str(tablet.pk)
    assert by_code(client, cook).status_code == 422
    assert not signed_in(client)


def test_a_revoked_tablet_signs_nobody_in(client, tablet, cook, factory):
    revoke_tablet(tablet=tablet, hand=factory.hand(factory.chef))
    assert "Ben Test" not in client.get("/sign-in/").content.decode()
    assert by_code(client, cook).status_code == 422
    assert not signed_in(client)


@pytest.mark.parametrize("code", ["", "4712", "471", "47111", " "])
def test_a_wrong_code_is_refused(client, tablet, cook, code):
    answer = by_code(client, cook, code)
    assert answer.status_code == 422
    assert "error-text" in answer.content.decode()
    assert not signed_in(client)


def test_a_code_signs_in_its_own_cook_only(client, tablet, factory):
    other = factory._person(factory.site, "K2", "Cy Test", "cook", "cy", cook_code="9876")
    assert by_code(client, other, COOK_CODE).status_code == 422
    assert not signed_in(client)


def test_a_cook_who_left_does_not_get_in(client, tablet, cook):
    cook.is_active = False
    cook.save()
    assert by_code(client, cook).status_code == 422
    assert not signed_in(client)


def test_a_cook_of_another_kitchen_does_not_get_in_here(client, tablet, factory):
    away = factory._person(factory.other_site, "K1", "Di Elsewhere", "cook", "di", cook_code=COOK_CODE)
    assert "Di Elsewhere" not in client.get("/sign-in/").content.decode()
    assert by_code(client, away).status_code == 422
    assert not signed_in(client)


def test_after_five_wrong_tries_even_the_right_code_waits(client, tablet, cook, factory):
    for _ in range(5):
        assert by_code(client, cook, "0000").status_code == 422
    answer = by_code(client, cook)
    assert answer.status_code == 422
    assert "Wait ten minutes" in answer.content.decode()
    assert not signed_in(client)
    factory.now += timedelta(minutes=11)
    assert by_code(client, cook).status_code == 302


def test_one_cooks_wrong_tries_do_not_keep_another_out(client, tablet, cook, factory):
    other = factory._person(factory.site, "K2", "Cy Test", "cook", "cy", cook_code="9876")
    for _ in range(5):
        by_code(client, cook, "0000")
    assert by_code(client, other, "9876").status_code == 302


def test_anyone_with_a_password_signs_in_anywhere(client, chef):
    assert by_password(client).status_code == 302
    assert signed_in(client)
    assert SignInTry.objects.get().worked


@pytest.mark.parametrize(
    ("handle", "password"),
    [
        ("chef", "wrong"),
        ("nobody", CHEF_PASSWORD),
        ("cook", ""),
        ("cook", COOK_CODE),
        ("", ""),
        ("cook", "!"),
    ],
)
def test_a_wrong_password_is_refused_in_the_same_words(client, chef, handle, password):
    answer = by_password(client, handle, password)
    assert answer.status_code == 422
    if handle and password:
        assert "Name and password do not match." in answer.content.decode()
    assert not signed_in(client)


def test_guessing_a_password_is_slowed(client, chef):
    for _ in range(5):
        by_password(client, "chef", "guess")
    assert "Too many wrong tries" in by_password(client).content.decode()
    assert not signed_in(client)


@pytest.mark.parametrize(
    ("wanted", "goes"),
    [("/larder/", "/larder/"), ("https://elsewhere.test/", "/bench/"), ("//elsewhere.test", "/bench/")],
)
def test_it_goes_on_to_where_one_was_going_within_this_server(client, chef, wanted, goes):
    assert by_password(client, next=wanted)["Location"] == goes


def test_signing_out_takes_a_post_and_ends_the_session(as_cook):
    assert as_cook.get("/sign-out/").status_code == 405
    assert as_cook.post("/sign-out/")["Location"] == "/sign-in/"
    assert not signed_in(as_cook)


def test_the_tablet_is_named_in_what_is_logged_on_it(client, tablet, cook, factory):
    by_code(client, cook)
    factory.probe()
    from kitchen.ledger.models import Entry

    lot = {"product": "hake", "supplier": "Northfold Fish", "code": "N1", "material": "lean_fish"}
    client.post("/larder/lots/new/", lot | {"state": "chilled", "decision": "accept"})
    assert '"tablet":"By the baths"' in Entry.objects.get(kind="lot.receive").body


def test_tablets_are_the_head_chefs(as_cook, factory):
    made = enrol_tablet(name="Larder", hand=factory.hand(factory.chef))
    assert as_cook.get("/larder/tablets/").status_code == 403
    assert as_cook.post("/larder/tablets/", {"name": "Mine"}).status_code == 403
    assert as_cook.post(f"/larder/tablets/{made.pk}/revoke/").status_code == 403
    made.refresh_from_db()
    assert made.revoked_at is None


def test_the_page_lists_and_revokes(as_chef, tablet, chef):
    as_chef.force_login(chef)
    text = as_chef.get("/larder/tablets/").content.decode()
    assert "By the baths" in text
    assert "the one in your hand" in text
    assert as_chef.post(f"/larder/tablets/{tablet.pk}/revoke/").status_code == 302
    tablet.refresh_from_db()
    assert tablet.revoked_at is not None
    assert "revoked" in as_chef.get("/larder/tablets/").content.decode()
    assert as_chef.post("/larder/tablets/", {"name": " "}).status_code == 422


def test_a_stranger_revokes_nothing_here(as_stranger, factory):
    made = enrol_tablet(name="Larder", hand=factory.hand(factory.chef))
    as_stranger.post(f"/larder/tablets/{made.pk}/revoke/")
    made.refresh_from_db()
    assert made.revoked_at is None
    assert "Larder</strong>" not in as_stranger.get("/larder/tablets/").content.decode()
