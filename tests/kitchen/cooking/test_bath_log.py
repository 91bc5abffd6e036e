"""Start and end a bath log through its pages."""

from decimal import Decimal

import pytest

from kitchen.cooking import actions
from kitchen.cooking.models import BathLog
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def bath(factory):
    return factory.bath()


def test_a_bath_is_started_at_its_set_point(as_cook, bath):
    answer = send(as_cook, f"/bench/baths/{bath.pk}/start/", set_point_c="64")
    assert "Bath 1 started, set point 64.0 °C." in kept(as_cook, answer)
    assert BathLog.objects.get().set_point_c == Decimal(64)


@pytest.mark.parametrize("typed", ["6.4", "640", "147"])
def test_a_set_point_that_no_bath_has_is_asked_about(as_cook, bath, typed):
    answer = send(as_cook, f"/bench/baths/{bath.pk}/start/", set_point_c=typed)
    assert answer.status_code == 422
    assert "Did you mean" in words(answer)
    assert count("bath.start") == 0


def test_a_start_sent_twice_is_kept_once(as_cook, bath):
    answer = send(as_cook, f"/bench/baths/{bath.pk}/start/", set_point_c="64", twice=True)
    assert answer.status_code == 302
    assert count("bath.start") == 1


def test_a_running_bath_is_not_started_again(as_cook, factory, bath):
    actions.start_bath(bath=bath, set_point_c=Decimal(60), hand=factory.hand())
    answer = send(as_cook, f"/bench/baths/{bath.pk}/start/", set_point_c="64")
    assert "Bath 1 is running" in words(answer)


def test_a_log_ends_once_its_bags_are_out(as_cook, factory, bath):
    batch = factory.batch(bags=1)
    log = actions.start_bath(bath=bath, set_point_c=Decimal(64), hand=factory.hand())
    actions.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())
    address = f"/bench/logs/{log.pk}/end/"
    assert "1 bag is still in Bath 1" in words(send(as_cook, address))
    actions.bags_out_of_bath(bags=list(batch.bags.all()), hand=factory.hand(minutes=90))
    assert "Bath 1 ended." in kept(as_cook, send(as_cook, address, twice=True))
    assert count("bath.end") == 1


def test_a_stranger_starts_and_ends_nothing(as_stranger, factory, bath):
    log = actions.start_bath(bath=bath, set_point_c=Decimal(64), hand=factory.hand())
    for address in (f"/bench/baths/{bath.pk}/start/", f"/bench/logs/{log.pk}/end/"):
        assert as_stranger.get(address).status_code == 404
        assert send(as_stranger, address, set_point_c="64").status_code == 404
