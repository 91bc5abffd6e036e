"""A second cook, serving and discarding through their pages."""

import pytest

from kitchen.finishing.models import Finish
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def batch(factory):
    """Two bags that were cooked, chilled and stored, their probes checked."""
    return factory.chilled(bags=2)


def step(batch, slug):
    return f"/bench/{batch.code}/{slug}/"


def test_a_bag_gets_its_second_cook_and_is_served(as_cook, factory, batch):
    factory.pass_time(60)
    assert "Bag 1: second cook." in kept(as_cook, send(as_cook, step(batch, "second-cook"), bags=[1]))
    answer = send(as_cook, step(batch, "serve"), bags=[1], portions="2", twice=True, sure="on")
    assert "Bag 1: served." in kept(as_cook, answer)
    assert [each.kind for each in Finish.objects.order_by("at", "pk")] == ["second cook", "served"]
    again = send(as_cook, step(batch, "serve"), bags=[1], sure="on")
    assert "Bag 1 was served already." in words(again)


def test_serving_past_the_use_by_is_asked_about(as_cook, factory, batch):
    factory.pass_time(7 * 24 * 60)
    answer = send(as_cook, step(batch, "serve"), bags=[1])
    assert "Bag 1 was to be used by " in words(answer)
    assert count("bags.finish") == 0


def test_serving_what_fails_a_limit_is_asked_about(as_cook, factory):
    batch = factory.cooked(bags=1, minutes=15)
    answer = send(as_cook, step(batch, "serve"), bags=[1])
    assert "Ask the head chef before it is served." in words(answer)
    assert count("bags.finish") == 0


def test_discarding_needs_the_reason(as_cook, batch):
    assert "Say why it is discarded." in words(send(as_cook, step(batch, "discard"), bags=[1]))
    answer = send(as_cook, step(batch, "discard"), bags=[1], note="seal broke", twice=True)
    assert "Bag 1: discarded." in kept(as_cook, answer)
    assert count("bags.finish") == 1


def test_no_bag_is_ticked_for_discarding_beforehand(as_cook, batch):
    assert "checked" not in words(as_cook.get(step(batch, "discard")))
