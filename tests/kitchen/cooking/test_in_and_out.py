"""Bags into a bath and out of it, and a core that is probed."""

from decimal import Decimal

import pytest

from kitchen.cooking import actions
from kitchen.cooking.models import BagIn, BagOut, CoreCheck
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def batch(factory):
    """Three sealed bags for a bath at 64 °C."""
    return factory.batch(bags=3)


@pytest.fixture
def log(factory, batch):
    log = actions.start_bath(bath=factory.bath(), set_point_c=Decimal(64), hand=factory.hand())
    factory.read(log, "64.0")
    factory.pass_time(1)
    return log


def step(batch, slug):
    return f"/bench/{batch.code}/{slug}/"


def bags_in(factory, batch, log):
    actions.bags_into_bath(bags=list(batch.bags.all()), bath_log=log, hand=factory.hand())


def test_all_sealed_bags_and_the_right_bath_are_chosen_beforehand(as_cook, factory, batch, log):
    other = actions.start_bath(bath=factory.bath("Bath 2"), set_point_c=Decimal(60), hand=factory.hand())
    page = words(as_cook.get(step(batch, "in")))
    assert page.count("checked") == 4
    assert f'name="bath_log" value="{log.pk}"' in page.replace("\n", "")
    assert f'value="{other.pk}"' in page


def test_bags_go_in(as_cook, batch, log):
    answer = send(as_cook, step(batch, "in"), bags=[1, 2], bath_log=log.pk, twice=True)
    assert "Bags 1 and 2 into Bath 1." in kept(as_cook, answer)
    assert BagIn.objects.count() == 2
    assert count("bags.in") == 1


def test_a_bath_at_another_set_point_is_asked_about(as_cook, factory, batch, log):
    other = actions.start_bath(bath=factory.bath("Bath 2"), set_point_c=Decimal(60), hand=factory.hand())
    answer = send(as_cook, step(batch, "in"), bags=[1], bath_log=other.pk)
    assert "Bath 2 is set to 60.0 °C; the method says 64.0 °C." in words(answer)
    assert count("bags.in") == 0
    assert send(as_cook, step(batch, "in"), bags=[1], bath_log=other.pk, sure="on").status_code == 302


def test_a_bag_that_is_in_a_bath_does_not_go_in_again(as_cook, factory, batch, log):
    bags_in(factory, batch, log)
    answer = send(as_cook, step(batch, "in"), bags=[1], bath_log=log.pk)
    assert "Bag 1 is in Bath 1 already." in words(answer)


def test_no_bag_and_no_bath_are_refused(as_cook, batch, log):
    assert "Tick the bags." in words(send(as_cook, step(batch, "in"), bath_log=log.pk))
    assert "Choose the bath." in words(send(as_cook, step(batch, "in"), bags=[1]))
    assert send(as_cook, step(batch, "in"), bags=[9], bath_log=log.pk).status_code == 422


def test_out_before_the_hold_is_proven_is_asked_about(as_cook, factory, batch, log):
    bags_in(factory, batch, log)
    factory.pass_time(20)
    answer = send(as_cook, step(batch, "out"), bags=[1, 2, 3])
    text = words(answer)
    assert answer.status_code == 422
    assert "The hold is proven at " in text
    assert "Take it out now?" in text
    assert count("bags.out") == 0
    assert send(as_cook, step(batch, "out"), bags=[1, 2, 3], sure="on").status_code == 302
    assert BagOut.objects.count() == 3


def test_out_after_the_hold_is_kept_at_once(as_cook, factory, batch, log):
    bags_in(factory, batch, log)
    for _ in range(8):
        factory.pass_time(25)
        factory.read(log, "64.0")
    answer = send(as_cook, step(batch, "out"), bags=[1, 2, 3], twice=True)
    assert "Bags 1 to 3 out of the bath." in kept(as_cook, answer)
    assert count("bags.out") == 1


def test_a_bag_in_no_bath_does_not_come_out(as_cook, batch, log):
    answer = send(as_cook, step(batch, "out"), bags=[1])
    assert "Bag 1 is in no bath. Log when it went in first." in words(answer)


def test_a_core_is_probed(as_cook, factory, batch, log):
    bags_in(factory, batch, log)
    probe = factory.probe()
    answer = send(
        as_cook, step(batch, "core"), bag=2, step="cook", celsius="61.4", probe=probe.pk, twice=True
    )
    assert "Core of bag 2 at 61.4 °C kept." in kept(as_cook, answer)
    check = CoreCheck.objects.get()
    assert (check.bag.number, check.step, check.celsius) == (2, "cook", Decimal("61.4"))


def test_a_core_that_nothing_has_is_asked_about(as_cook, factory, batch, log):
    bags_in(factory, batch, log)
    probe = factory.probe()
    answer = send(as_cook, step(batch, "core"), bag=2, step="cook", celsius="614", probe=probe.pk)
    assert "61.4 °C (the decimal point is missing)" in words(answer)
    assert count("core.check") == 0


def test_the_core_probe_is_the_one_that_was_used_last(as_cook, factory, batch, log):
    bags_in(factory, batch, log)
    factory.probe("P1")
    last = factory.probe("P2")
    assert "data-pad-opens" not in words(as_cook.get(step(batch, "core") + "?bags=1"))
    actions.check_core(
        bag=batch.bags.first(), step="cook", celsius=Decimal(55), probe=last, hand=factory.hand()
    )
    page = words(as_cook.get(step(batch, "core") + "?bags=1"))
    assert f'<option value="{last.pk}" selected>' in page
    assert "data-pad-opens" in page


def test_a_stranger_finds_no_such_batch(as_stranger, factory, batch, log):
    bags_in(factory, batch, log)
    for slug in ("in", "out", "core", "seal", "chill", "serve", "discard"):
        assert as_stranger.get(step(batch, slug)).status_code == 404
        assert send(as_stranger, step(batch, slug), bags=[1]).status_code == 404


def test_an_unknown_step_is_not_there(as_cook, batch):
    assert as_cook.get(step(batch, "fly")).status_code == 404
