"""Take probes, baths, chillers and fridges into use; who may, and what is refused."""

from __future__ import annotations

from decimal import Decimal

import pytest

from kitchen.equipment.models import Bath, Chiller, Fridge, Probe
from kitchen.ledger.models import Entry

pytestmark = pytest.mark.usefixtures("on_time")

BATH = {"name": "Bath 3", "medium": "stirred_bath", "every_min": "30", "volume_l": "28", "band_k": "0.5"}
CHILLER = {"name": "Sink", "medium": "running_water", "every_min": "30"}
FRIDGE = {"name": "Fridge 2", "medium": "fridge_air", "every_min": "720", "low_c": "0", "high_c": "3"}
PROBE = {"name": "P7", "serial": "0042", "tolerance_k": "0.3"}
PAGES = [("baths", BATH), ("chillers", CHILLER), ("fridges", FRIDGE), ("probes", PROBE)]


@pytest.mark.parametrize(("place", "said"), PAGES)
def test_the_head_chef_takes_it_into_use(as_chef, site, place, said):
    assert as_chef.get(f"/larder/{place}/new/").status_code == 200
    answer = as_chef.post(f"/larder/{place}/new/", said, follow=True)
    assert answer.status_code == 200
    assert f"{said['name']} taken into use." in answer.content.decode()
    model = {"baths": Bath, "chillers": Chiller, "fridges": Fridge, "probes": Probe}[place]
    assert model.objects.get(name=said["name"]).site == site


@pytest.mark.parametrize(("place", "said"), PAGES)
def test_a_cook_may_not(as_cook, place, said):
    before = Entry.objects.count()
    assert as_cook.get(f"/larder/{place}/new/").status_code == 403
    assert as_cook.post(f"/larder/{place}/new/", said).status_code == 403
    assert Entry.objects.count() == before


@pytest.mark.parametrize(("place", "said"), PAGES)
def test_a_second_of_the_same_name_is_refused_and_the_typed_values_come_back(as_chef, place, said):
    as_chef.post(f"/larder/{place}/new/", said)
    answer = as_chef.post(f"/larder/{place}/new/", said)
    assert answer.status_code == 422
    assert "already. Give this one its own name." in answer.content.decode()
    assert f'value="{said["name"]}"' in answer.content.decode()


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ("baths", BATH | {"volume_l": "0"}),
        ("baths", BATH | {"medium": "fridge_air"}),
        ("baths", BATH | {"every_min": "0"}),
        ("baths", BATH | {"fall_k_per_min": "-1"}),
        ("fridges", FRIDGE | {"low_c": "5"}),
        ("fridges", FRIDGE | {"high_c": "38"}),
        ("probes", PROBE | {"tolerance_k": "nan"}),
        ("probes", PROBE | {"tolerance_k": "40"}),
        ("chillers", CHILLER | {"name": ""}),
    ],
)
def test_a_wrong_value_comes_back_with_a_message(as_chef, place, said):
    before = Entry.objects.count()
    answer = as_chef.post(f"/larder/{place}/new/", said)
    assert answer.status_code == 422
    assert "error-text" in answer.content.decode()
    assert Entry.objects.count() == before


def test_rates_left_blank_are_those_of_the_kind(as_chef):
    as_chef.post("/larder/baths/new/", BATH)
    as_chef.post("/larder/baths/new/", BATH | {"name": "Bath 4", "fall_k_per_min": "0.2"})
    bath, own = Bath.objects.order_by("name")
    # haccp/data/media.toml, stirred bath: an own estimate, reasoned there.
    assert (bath.fall_k_per_min, bath.rise_k_per_min) == (Decimal("0.05"), Decimal("1.5"))
    assert (own.fall_k_per_min, own.rise_k_per_min) == (Decimal("0.2"), Decimal("1.5"))


@pytest.mark.parametrize("page", ["", "check/", "retire/", "return/"])
def test_a_stranger_finds_no_probe(as_stranger, factory, page):
    probe = factory.probe()
    assert as_stranger.get(f"/larder/probes/{probe.pk}/{page}").status_code == 404
    assert as_stranger.post(f"/larder/probes/{probe.pk}/{page}", {"reason": "x"}).status_code in (404, 405)
    probe.refresh_from_db()
    assert not probe.out_of_use


def test_another_kitchens_probe_can_not_be_chosen(as_stranger, factory):
    answer = as_stranger.post("/larder/baths/new/", BATH | {"probe": factory.probe().pk})
    assert answer.status_code == 422
    assert not Bath.objects.exists()


def test_choosing_a_probe_leads_to_its_check(as_cook, factory):
    assert "no probe in use" in as_cook.get("/larder/probes/check/").content.decode()
    probe = factory.probe()
    assert as_cook.get("/larder/probes/check/")["Location"] == f"/larder/probes/{probe.pk}/check/"
    factory.probe("P2")
    assert "Check P2" in as_cook.get("/larder/probes/check/").content.decode()
