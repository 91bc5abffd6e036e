"""Methods through their pages: a draft, what the rules say of it, a signature."""

from __future__ import annotations

from decimal import Decimal

import pytest

from kitchen.ledger.models import Entry
from kitchen.methods.models import Dish, Method
from tests.kitchen.factory import CHEF_PASSWORD

pytestmark = pytest.mark.usefixtures("on_time")

DRAFT = {
    "dish": "Chicken breast",
    "material": "poultry",
    "attributes": ["poultry", "cook-chill"],
    "shape": "slab",
    "thickness_mm": "25",
    "thickness_max_mm": "30",
    "thickness_tolerance_mm": "2",
    "start_max_c": "8",
    "set_point_c": "64",
    "bath_min": "180",
    "chill_medium": "ice_slurry",
    "life_days": "5",
}


def draft(client, **more):
    return client.post("/larder/methods/new/", DRAFT | more)


def sign(client, method, password=CHEF_PASSWORD):
    return client.post(f"/larder/methods/{method.pk}/sign/", {"password": password})


def test_a_draft_shows_at_once_what_the_rules_say(as_chef, site):
    answer = draft(as_chef, allergens="none", preparation="Trim.\nBrine.", brine_percent="5", brine_min="30")
    method = Method.objects.get()
    assert answer["Location"] == f"/larder/methods/{method.pk}/"
    assert (method.version, method.signed, method.dish.site) == (1, None, site)
    assert (method.set_point_c, method.brine_percent) == (Decimal(64), Decimal(5))
    text = as_chef.get(answer["Location"]).content.decode()
    assert "Draft: no batch can be made to it" in text
    # The UK list of equivalents (FSA): 60 °C for 45 min is the row that a bath at 64 °C reaches.
    assert "60 °C for 45 min" in text
    assert "UK-COOK-FSA-60" in text
    assert 'class="chart"' in text
    assert "fails limits" not in text


def test_the_head_chef_signs_with_the_password(as_chef):
    draft(as_chef)
    method = Method.objects.get()
    answer = sign(as_chef, method)
    assert answer.status_code == 302
    method.refresh_from_db()
    assert method.signed.kind == "method.sign"
    assert "Signed by Ada Test" in as_chef.get(f"/larder/methods/{method.pk}/").content.decode()
    again = sign(as_chef, method)
    assert again.status_code == 422
    assert "signed already" in again.content.decode()


@pytest.mark.parametrize("password", ["", "wrong pass phrase"])
def test_another_password_signs_nothing(as_chef, password):
    draft(as_chef)
    method = Method.objects.get()
    before = Entry.objects.count()
    answer = sign(as_chef, method, password)
    assert answer.status_code == 422
    assert Entry.objects.count() == before
    method.refresh_from_db()
    assert method.signed is None


@pytest.mark.parametrize(
    ("said", "why"),
    [
        # The core only approaches its bath: a set point equal to the limit never meets it.
        ({"set_point_c": "60"}, "the core only comes near its bath"),
        ({"set_point_c": "60.8"}, "less its band and the probe"),
        ({"bath_min": "30"}, "short"),
        # Cook-chill guidelines (Department of Health, 1989): five days at most.
        ({"life_days": "9"}, "5 days at most"),
    ],
)
def test_a_method_that_can_not_meet_its_limit_is_not_signed(as_chef, said, why):
    draft(as_chef, **said)
    method = Method.objects.get()
    page = as_chef.get(f"/larder/methods/{method.pk}/").content.decode()
    assert "fails limits" in page
    answer = sign(as_chef, method)
    assert answer.status_code == 422
    assert why in answer.content.decode()
    method.refresh_from_db()
    assert method.signed is None


def test_a_new_version_begins_from_the_newest_and_leaves_the_old_one(as_chef):
    draft(as_chef)
    page = as_chef.get("/larder/methods/new/", {"dish": "Chicken breast"}).content.decode()
    assert 'value="180"' in page
    assert 'value="64"' in page
    draft(as_chef, bath_min="200")
    assert list(Method.objects.order_by("version").values_list("version", "bath_min")) == [(1, 180), (2, 200)]
    assert Dish.objects.count() == 1
    first = Method.objects.get(version=1)
    assert "There is a newer version: 2." in as_chef.get(f"/larder/methods/{first.pk}/").content.decode()
    assert "Version 2" in as_chef.get("/larder/methods/").content.decode()


def test_the_same_draft_sent_twice_is_one_version(as_chef):
    identity = "01936f3c-0000-7000-8000-000000000003"
    for _ in range(2):
        assert draft(as_chef, entry_id=identity).status_code == 302
    assert Method.objects.count() == 1


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ({"set_point_c": "147"}, "typed in °F"),
        ({"set_point_c": "640"}, "the decimal point is missing"),
        ({"start_max_c": "60"}, "outside the"),
        ({"bath_min": "9000"}, "Is it in minutes?"),
    ],
)
def test_a_doubtful_value_is_asked_about(as_chef, said, says):
    answer = draft(as_chef, **said)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not Method.objects.exists()
    assert 'name="sure"' in answer.content.decode()


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ({"thickness_mm": "40"}, "less than the usual one"),
        ({"thickness_max_mm": "-3"}, "error-text"),
        ({"brine_percent": "5"}, "A brine needs both"),
        ({"brine_min": "30"}, "A brine needs both"),
        ({"brine_percent": "60", "brine_min": "30"}, "error-text"),
        ({"dish": "  "}, "error-text"),
        ({"shape": "cone"}, "error-text"),
        ({"attributes": ["holy"]}, "error-text"),
        ({"bath_min": "0"}, "error-text"),
        ({"life_days": ""}, "error-text"),
    ],
)
def test_a_wrong_value_comes_back_with_what_to_do(as_chef, said, says):
    before = Entry.objects.count()
    answer = draft(as_chef, **said)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert Entry.objects.count() == before


def test_temperatures_are_typed_in_the_unit_of_the_kitchen(as_chef, site):
    site.temperature_unit = "degF"
    site.save()
    draft(as_chef, set_point_c="147.2", start_max_c="46.4")
    assert (Method.objects.get().set_point_c, Method.objects.get().start_max_c) == (Decimal(64), Decimal(8))
    page = as_chef.get("/larder/methods/new/", {"dish": "Chicken breast"}).content.decode()
    assert 'value="147.2"' in page


def test_every_kind_of_shape_is_foreseen(as_chef):
    for shape in ("slab", "cylinder", "finite cylinder", "brick", "sphere"):
        answer = draft(as_chef, dish=shape, shape=shape)
        text = as_chef.get(answer["Location"]).content.decode()
        assert "needs" in text
        assert 'class="chart"' in text


def test_a_cook_reads_methods_and_writes_none(client, cook, factory):
    method = factory.method(signed=False)
    client.force_login(cook)
    assert client.get("/larder/methods/").status_code == 200
    assert client.get(f"/larder/methods/{method.pk}/").status_code == 200
    before = Entry.objects.count()
    assert client.get("/larder/methods/new/").status_code == 403
    assert draft(client).status_code == 403
    assert sign(client, method).status_code == 403
    assert Entry.objects.count() == before


def test_a_stranger_finds_no_method(as_stranger, factory):
    method = factory.method(signed=False)
    assert as_stranger.get(f"/larder/methods/{method.pk}/").status_code == 404
    assert sign(as_stranger, method).status_code == 404
    assert "Chicken breast" not in as_stranger.get("/larder/methods/").content.decode()
    begun = as_stranger.get("/larder/methods/new/", {"dish": "Chicken breast"}).content.decode()
    assert 'value="180"' not in begun
