"""The head chef adds cooks, gives them another cook code, and shuts out who left."""

import pytest
from django.contrib.auth.hashers import check_password

from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify
from kitchen.people.models import Person
from kitchen.review.wording import say
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")
NEW = {"name": "Cora Test", "code": "K2", "cook_code": "2468"}


def test_a_cook_is_added_with_code_and_name(as_chef, site):
    answer = send(as_chef, "/larder/people/new/", twice=True, **NEW)
    assert "Cora Test added, staff code K2." in kept(as_chef, answer)
    cora = Person.objects.get(site=site, code="K2")
    assert not cora.is_head_chef
    assert not cora.has_usable_password()
    assert check_password("2468", cora.cook_code)
    entry = Entry.objects.filter(kind="person.add").latest("seq")
    assert say(entry) == "Cook K2 added"
    assert "Cora" not in entry.body
    assert "2468" not in entry.body
    assert "Cora Test" in words(as_chef.get("/larder/people/"))


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"cook_code": "123"}, "four to eight digits"),
        ({"cook_code": "12a4"}, "four to eight digits"),
        ({"cook_code": "7777"}, "Not the same digit"),
        ({"code": "K1"}, "The staff code K1 is taken."),
        ({"name": ""}, "This field is required."),
    ],
)
def test_what_is_typed_wrong_comes_back_with_what_to_do(as_chef, typed, told):
    before = Person.objects.count()
    page = send(as_chef, "/larder/people/new/", **{**NEW, **typed})
    assert page.status_code == 422
    assert told in words(page)
    assert Person.objects.count() == before


def test_a_cook_code_is_changed_and_only_that_it_was_is_kept(as_chef, cook):
    address = f"/larder/people/{cook.pk}/code/"
    assert "changed." in kept(as_chef, send(as_chef, address, twice=True, cook_code="9081"))
    cook.refresh_from_db()
    assert check_password("9081", cook.cook_code)
    assert count("person.code") == 1
    assert say(Entry.objects.get(kind="person.code")) == "Cook code of K1 changed"


def test_who_left_is_out_at_once_and_may_come_back(client, as_chef, chef, cook, site):
    address = f"/larder/people/{cook.pk}/leave/"
    client.force_login(cook)
    assert client.get("/bench/").status_code == 200
    cooks_cookie = client.cookies["sessionid"].value if "sessionid" in client.cookies else None
    as_chef.force_login(chef)
    assert "Ben Test signs in no more." in kept(as_chef, send(as_chef, address))
    cook.refresh_from_db()
    assert not cook.is_active
    if cooks_cookie:
        client.cookies["sessionid"] = cooks_cookie
        assert client.get("/bench/").status_code == 302
    client.force_login(chef)
    assert "signs in no more" in words(client.get("/larder/people/"))
    assert "Ben Test signs in again." in kept(client, send(client, address))
    cook.refresh_from_db()
    assert cook.is_active
    assert verify(site).flaw is None


def test_a_leave_that_is_sent_twice_does_not_bring_anyone_back(as_chef, cook):
    send(as_chef, f"/larder/people/{cook.pk}/leave/", twice=True)
    cook.refresh_from_db()
    assert not cook.is_active
    assert (count("person.leave"), count("person.return")) == (1, 0)


def test_nobody_shuts_themselves_out(as_chef, chef):
    assert "shut yourself out" in words(send(as_chef, f"/larder/people/{chef.pk}/leave/"))
    chef.refresh_from_db()
    assert chef.is_active


def test_only_this_kitchens_head_chef(client, cook, stranger):
    addresses = [
        "/larder/people/",
        "/larder/people/new/",
        f"/larder/people/{cook.pk}/code/",
        f"/larder/people/{cook.pk}/leave/",
    ]
    client.force_login(cook)
    assert {client.get(each).status_code for each in addresses} == {403}
    client.force_login(stranger)
    assert {client.get(each).status_code for each in addresses[2:]} == {404}
    assert "Ben Test" not in words(client.get("/larder/people/"))
