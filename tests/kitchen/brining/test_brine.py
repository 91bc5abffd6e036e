"""Make a brine, into it, out of it, with the guidance beside."""

from decimal import Decimal

import pytest

from kitchen.batches.actions import open_batch
from kitchen.brining.actions import make_brine
from kitchen.brining.models import Brine
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def batch(factory):
    method = factory.method(brine_percent=Decimal(6), brine_min=30)
    return open_batch(method=method, lots=[factory.lot()], hand=factory.hand())


@pytest.fixture
def brine(factory, site):
    return make_brine(code="B1", salt_g=Decimal(600), water_g=Decimal(9400), hand=factory.hand())


def step(batch, slug):
    return f"/bench/{batch.code}/{slug}/"


def test_a_brine_is_made_and_its_strength_said(as_cook):
    # 600 g of salt and 9400 g of water are 10 000 g of brine: 6 % w/w.
    answer = send(as_cook, "/bench/brines/new/", code="B7", salt_g="600 g", water_g="9.4 kg", twice=True)
    assert "Brine B7, 6.0 % w/w" in kept(as_cook, answer)
    assert Brine.objects.get().water_g == Decimal(9400)
    assert count("brine.make") == 1


def test_an_odd_strength_is_asked_about_and_an_impossible_one_refused(as_cook):
    odd = send(as_cook, "/bench/brines/new/", code="B7", salt_g="60", water_g="9400")
    assert "That is a brine of 0.6 % w/w." in words(odd)
    never = send(as_cook, "/bench/brines/new/", code="B7", salt_g="5000", water_g="5000", sure="on")
    assert never.status_code == 422
    assert count("brine.make") == 0


def test_a_code_is_used_once(as_cook, brine):
    answer = send(as_cook, "/bench/brines/new/", code="B1", salt_g="600", water_g="9400")
    assert "There is a brine B1 already." in words(answer)


def test_into_the_brine_and_out_of_it(as_cook, factory, batch, brine):
    answer = send(as_cook, step(batch, "brine-in"), brine=brine.pk, thickness_mm="20", twice=True)
    assert f"{batch.code} into brine B1." in kept(as_cook, answer)
    factory.pass_time(30)
    asked = send(as_cook, step(batch, "brine-out"), dried="on")
    assert "Commonly it is rinsed in cold running water now." in words(asked)
    answer = send(as_cook, step(batch, "brine-out"), rinsed="on", dried="on", twice=True)
    assert f"{batch.code} out of the brine." in kept(as_cook, answer)
    assert count("brine.in") == count("brine.out") == 1


def test_out_of_no_brine_is_refused(as_cook, batch):
    answer = send(as_cook, step(batch, "brine-out"), rinsed="on")
    assert "This batch is not in a brine." in words(answer)


# Common practice, no source: thin small pieces of poultry half an hour in the brine, thicker ones an
# hour, and rinsed in cold running water afterwards.
@pytest.mark.parametrize(("thickness", "minutes"), [("20", "30"), ("40", "60")])
def test_the_guidance_stands_beside(as_cook, factory, thickness, minutes):
    method = factory.method(
        thickness_mm=Decimal(thickness), thickness_max_mm=Decimal(45), brine_min=30, bath_min=300
    )
    batch = open_batch(method=method, lots=[factory.lot()], hand=factory.hand())
    page = words(as_cook.get(step(batch, "brine-in"))).replace("\u202f", " ")
    assert f"{minutes} min" in page
    assert "Rinse in cold running water." in page
    assert "Common practice, no source" in page


def test_a_stranger_finds_neither_brine_nor_batch(as_stranger, batch, brine):
    assert as_stranger.get(step(batch, "brine-in")).status_code == 404
    assert send(as_stranger, step(batch, "brine-in"), brine=brine.pk).status_code == 404
