"""The pages of the limits: what is in force here, what one limit says, what is printed elsewhere."""

from __future__ import annotations

import re
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from haccp.limits import all_limits, regimes, ruleset
from kitchen.law import words

pytestmark = pytest.mark.usefixtures("on_time")

DAY = date(2026, 11, 16)


def rows(page: str) -> list[str]:
    """The ids of the limits that a page lists, in its order."""
    return list(dict.fromkeys(re.findall(r'class="asks"><a href="/law/([\w-]+)/', page)))


def test_every_limit_in_force_is_there_once_and_those_switched_off_stand_apart(as_cook):
    page = as_cook.get("/law/").content.decode()
    on, off = page.split('id="off"')
    assert set(rows(on)) == {each.id for each in ruleset("UK", DAY).rows}
    # ../uk.toml: the list that some officers ask for came second-hand, so it ships switched off.
    assert "UK-COOK-STRICT-60" in rows(off)
    assert "Officer advice, second-hand" in off
    assert "UK-COOK-STRICT-60" not in rows(on)


def test_a_row_says_figure_source_status_provenance_and_what_is_not_covered(as_cook):
    page = as_cook.get("/law/?q=UK-CHILL-8").content.decode()
    # The Food Safety and Hygiene (England) Regulations 2013, schedule 4: 8 °C, an offence above it.
    for said in (
        "at most 8 °C",
        "<strong>law</strong>",
        "Sch 4 para 2",
        "the printed page was read",
        "Scotland",
    ):
        assert said in page
    assert "since Sun 1 Jan 2006" in page
    assert "last confirmed Wed 25 Nov 2026" in page


@pytest.mark.parametrize(
    ("search", "there", "gone"),
    [
        ("melting ice probe", "UK-PROBE-ICE", "UK-CHILL-8"),
        ("63 °C", "UK-HOT-63", "UK-CHILL-8"),
        ("cook-chill guidance store", "UK-CCH-STORE", "UK-CHILL-8"),
    ],
)
def test_a_search_without_script_keeps_what_holds_every_word(as_cook, search, there, gone):
    found = rows(as_cook.get("/law/", {"q": search}).content.decode())
    assert there in found
    assert gone not in found


def test_a_search_that_finds_nothing_says_so(as_cook):
    assert "No limit holds all these words." in as_cook.get("/law/?q=ziggurat").content.decode()


def test_a_dish_is_named_beside_its_limits_and_found_by_its_name(as_cook, factory):
    factory.method(dish="Chicken breast")
    factory.method(
        dish="Long beetroot", attributes=["vegetable", "long life"], material="vegetable", signed=False
    )
    page = as_cook.get("/law/?q=beetroot").content.decode()
    found = rows(page)
    assert "UK-VP-HEAT-90" in found
    assert "UK-CCH-LIFE" not in found
    assert "UK-RAW-POULTRY-4" not in found
    assert "UK-RAW-POULTRY-4" in rows(as_cook.get("/law/?q=chicken+breast").content.decode())


def test_the_limits_of_another_day(as_cook):
    # UK-CHILL-8 is in force since 2006 in the data.
    before = rows(as_cook.get("/law/?day=2005-12-31").content.decode())
    after = rows(as_cook.get("/law/?day=2006-01-01").content.decode())
    assert "UK-CHILL-8" not in before
    assert "UK-CHILL-8" in after


def test_a_day_that_is_none_is_answered_with_what_to_type(as_cook):
    answer = as_cook.get("/law/?day=24.11.2026")
    assert answer.status_code == 422
    assert "type it like 2026-11-16" in answer.content.decode()


def test_another_regime_is_shown_for_information_only(as_chef):
    page = as_chef.get("/law/?regime=US-FDA").content.decode()
    assert "these limits are not in force here" in page
    assert "USFDA-COOK-ROAST-140F" in rows(page)
    assert "/choose/" not in page
    assert as_chef.get("/law/?regime=XX").status_code == 404


@pytest.mark.parametrize("key", sorted(regimes()))
def test_every_regime_can_be_read(as_cook, key):
    assert as_cook.get("/law/", {"regime": key}).status_code == 200


def test_the_page_of_every_limit_opens_and_says_where_it_stands(as_cook, factory):
    factory.method()
    for each in list(all_limits())[::7]:
        page = as_cook.get(f"/law/{each.id}/")
        assert page.status_code == 200, each.id
        text = page.content.decode()
        assert (
            "In force here" in text or "in force here" in text or "Switched off" in text or "advice" in text
        )
    assert as_cook.get("/law/NO-SUCH/").status_code == 404


def test_a_limit_says_why_and_what_was_passed_over_for_each_dish(as_cook, factory):
    factory.method(dish="Chicken breast")
    page = as_cook.get("/law/UK-COOK-FSA-60/").content.decode()
    assert "Chicken breast, version 1" in page
    assert "Passed over for it" in page
    assert "it is for food that is long life" in page


def test_other_regimes_stand_beside_it(as_cook):
    page = as_cook.get("/law/UK-HOT-63/").content.decode()
    # Section 14 of the gathered duties: hot hold UK 63, AU/CA 60, US 135 °F (57).
    for said in ("at least 135 °F", "at least 60 °C", "Australia", "Canada"):
        assert said in page


def test_a_replaced_limit_says_by_which(as_cook, factory):
    # Scotland prints no figure for chilled food, so its layer takes the place of the 8 °C row.
    factory.site.regime = "UK-SCT"
    factory.site.save()
    assert "UK-SC-CHILL stands in its place" in as_cook.get("/law/UK-CHILL-8/").content.decode()


def test_every_limit_of_every_regime_has_its_words():
    for each in all_limits():
        assert words.figure(each)
        assert words.food(each)
        assert "; " in words.provenance(each)
        assert words.status(each).startswith(f"{each.status}: ")


def test_the_number_of_queries_grows_neither_with_the_limits_nor_with_the_dishes(as_cook, factory):
    factory.method(dish="One")
    with CaptureQueriesContext(connection) as one:
        as_cook.get("/law/")
    for n in range(4):
        factory.method(dish=f"Another {n}", signed=False)
    with CaptureQueriesContext(connection) as many:
        as_cook.get("/law/")
    assert len(many) == len(one)


def test_nobody_reads_it_without_signing_in(client, db):
    assert client.get("/law/").status_code == 302
    assert client.get("/larder/site/").status_code == 302


def test_the_links_of_findings_lead_to_their_limits(as_chef, factory):
    batch = factory.chilled()
    for address in (f"/bench/{batch.code}/1/", f"/pass/{batch.code}/"):
        found = re.findall(r'href="(/law/[\w-]+/\?day=2026-11-16)"', as_chef.get(address).content.decode())
        assert found, address
        for each in dict.fromkeys(found):
            page = as_chef.get(each)
            assert page.status_code == 200
            assert "In force here." in page.content.decode() or "as advice" in page.content.decode()
