"""The Larder page: every line with what is due."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from kitchen.brining.actions import make_brine
from kitchen.cooking.actions import start_bath
from kitchen.equipment.actions import check_probe
from kitchen.larder import ledger_page
from kitchen.storing.actions import read_fridge

pytestmark = pytest.mark.usefixtures("on_time")
TODAY = date(2026, 11, 16)


def due(lines):
    return [(line.due, line.overdue) for line in lines]


def page(factory):
    return ledger_page.of(factory.site, factory.now)


def test_an_empty_larder_says_so_and_offers_the_first_steps(as_chef):
    text = as_chef.get("/larder/").content.decode()
    assert "No lot is in hand." in text
    for address in ("/larder/lots/new/", "/larder/probes/check/", "/larder/import/", "/larder/methods/new/"):
        assert f'href="{address}"' in text


def test_a_cook_is_not_offered_what_only_the_head_chef_does(as_cook):
    text = as_cook.get("/larder/").content.decode()
    for address in ("/larder/methods/new/", "/larder/baths/new/", "/larder/probes/new/", "/larder/tablets/"):
        assert f'href="{address}"' not in text


def test_lots_by_use_by_with_the_past_ones_marked(factory):
    factory.lot("late", use_by=TODAY - timedelta(days=1))
    factory.lot("today", use_by=TODAY)
    factory.lot("long gone", use_by=TODAY - timedelta(days=15))
    factory.lot("open")
    shown = page(factory)
    assert {line.thing.code: (line.due, line.overdue) for line in shown.past_lots} == {
        "late": ("past its use-by of Sun 15 Nov", True),
    }
    assert {line.thing.code: (line.due, line.overdue) for line in shown.lots} == {
        "today": ("use by today", False),
        "open": ("no use-by given", False),
    }


def test_a_brine_with_its_strength(factory):
    make_brine(code="B-7", salt_g=Decimal(250), water_g=Decimal(4750), hand=factory.hand())
    (line,) = page(factory).brines
    # 250 g in 5000 g altogether: 5 % w/w by the definition of a mass fraction.
    assert line.facts[0] == "5.0 % w/w"


def test_a_probe_is_due_once_its_last_good_check_is_a_month_old(factory):
    probe = factory.probe()
    assert due(page(factory).probes) == [("never checked: check it now", True)]
    check_probe(probe=probe, medium="ice", celsius=Decimal("0.1"), hand=factory.hand())
    assert due(page(factory).probes) == [("check due Wed 16 Dec", False)]
    factory.pass_time(31 * 24 * 60)
    assert due(page(factory).probes) == [("check was due Wed 16 Dec", True)]
    check_probe(probe=probe, medium="ice", celsius=Decimal("1.4"), hand=factory.hand())
    (line,) = page(factory).probes
    assert (line.due, line.overdue, line.outcome) == ("failed its check", True, "fails limits")


def test_a_bath_is_due_while_it_runs_only(factory):
    bath = factory.bath()
    assert due(page(factory).baths) == [("not running", False)]
    log = start_bath(bath=bath, set_point_c=Decimal(64), hand=factory.hand())
    assert due(page(factory).baths) == [("reading due 08:30", False)]
    factory.pass_time(20)
    factory.read(log, "63.9")
    assert due(page(factory).baths) == [("reading due 08:50", False)]
    factory.pass_time(40)
    assert due(page(factory).baths) == [("reading was due 08:50", True)]


def test_a_fridge_is_due_by_its_own_interval(factory):
    fridge = factory.fridge()
    assert due(page(factory).fridges) == [("read it now", True)]
    read_fridge(fridge=fridge, celsius=Decimal(2), probe=fridge.probe, hand=factory.hand())
    assert due(page(factory).fridges) == [("reading due 20:00", False)]


def test_a_draft_waits_for_its_signature(factory):
    factory.method(signed=False)
    (line,) = page(factory).methods
    assert (line.facts, line.due) == (("none signed",), "version 1 waits for a signature")


def test_a_stranger_sees_nothing_of_it(as_stranger, factory):
    factory.lot("SP-1")
    factory.bath()
    text = as_stranger.get("/larder/").content.decode()
    assert "SP-1" not in text
    assert "Bath 1" not in text


def test_who_is_not_signed_in_is_sent_to_sign_in(client, db):
    assert client.get("/larder/")["Location"].startswith("/sign-in/")
