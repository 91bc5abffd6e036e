"""Law is dated: what was signed stays as it was signed when the data of the limits is raised."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from decimal import Decimal
from fractions import Fraction

import pytest
from django.template.loader import render_to_string

from haccp import limits
from haccp.limits import all_limits
from haccp.record import Outcome
from kitchen.cooking.actions import check_core
from kitchen.ledger.models import Entry
from kitchen.papers.batch_record import content
from kitchen.people import kept
from kitchen.people.kept import limit_of
from kitchen.people.models import KeptRuleset
from kitchen.review import signed
from kitchen.review.actions import note_print, sign_batch
from kitchen.review.assessing import State, current, refresh, state
from kitchen.review.gather import gather
from kitchen.storing import actions as storing

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def raise_data(monkeypatch):
    """Write the data of some limits anew, as a later version of it would."""

    def change(**rows):
        real = limits.regimes()
        regime = real["UK"]
        changed = tuple(
            dataclasses.replace(row, **rows[row.id.replace("-", "_")])
            if row.id.replace("-", "_") in rows
            else row
            for row in regime.limits
        )
        later = {**real, "UK": dataclasses.replace(regime, limits=changed)}
        monkeypatch.setattr(limits, "regimes", lambda: later)
        limits._ruleset.cache_clear()

    yield change
    monkeypatch.undo()
    limits._ruleset.cache_clear()


@pytest.fixture
def batch(factory):
    """A batch that meets its limits and is signed."""
    made = factory.chilled()
    sign_batch(batch=made, hand=factory.hand(factory.chef, minutes=1), now=factory.now)
    return made


# The core of the factory's bag is at 3 °C after 85 min: within the 90 min that the cook-chill guidelines
# (Department of Health, 1989) print, and not within the 30 min that a later version of the data asks.
STRICTER = {"UK_CCH_COOL_1": {"value": Fraction(30)}}


def test_a_signed_outcome_stays_and_the_page_says_what_changed(as_chef, factory, batch, raise_data):
    assert state(batch) == State.SIGNED
    before = current(batch, factory.now)
    raise_data(**STRICTER)
    factory.pass_time(30)
    after = refresh(batch, factory.now)
    assert (after.outcome, after.findings) == (before.outcome, before.findings)
    assert (after.ruleset_digest, after.engine) == (before.ruleset_digest, before.engine)
    assert state(batch) == State.SIGNED
    page = as_chef.get(f"/pass/{batch.code}/").content.decode()
    assert "Limits have changed since it was signed" in page
    assert "at most 3 °C within 90 min" in page
    assert "at most 3 °C within 30 min" in page
    assert "fails limits" not in page


def test_judged_again_it_says_what_would_differ_and_enters_nothing(as_chef, factory, batch, raise_data):
    raise_data(**STRICTER)
    count = Entry.objects.count()
    page = as_chef.get(f"/pass/{batch.code}/again/").content.decode()
    gone, come = page.split("Said now, and not then")
    assert "90 min at most" in gone.split("Said then, and no longer")[1]
    assert "30 min" in come
    assert "fails limits" in come
    assert Entry.objects.count() == count
    assert state(batch) == State.SIGNED


def test_a_batch_that_nobody_signed_is_judged_by_the_limits_as_they_are(factory, raise_data):
    made = factory.chilled()
    before = current(made, factory.now)
    raise_data(**STRICTER)
    assert refresh(made, factory.now).outcome == Outcome.FAILS
    assert before.outcome == Outcome.MEETS


def test_what_becomes_of_the_food_still_opens_it_again(factory, batch, raise_data):
    raise_data(**STRICTER)
    fridge = factory.site.fridges.get()
    # Cook-chill guidelines: found above 10 °C, destroy.
    storing.read_fridge(fridge=fridge, celsius=14, probe=fridge.probe, hand=factory.hand(minutes=600))
    storing.read_fridge(fridge=fridge, celsius=14, probe=fridge.probe, hand=factory.hand(minutes=600))
    assert state(batch) == State.REOPENED


def test_another_engine_alone_changes_nothing_that_was_signed(as_chef, factory, batch, monkeypatch):
    before = current(batch, factory.now)
    monkeypatch.setattr("haccp.assess.ENGINE", "haccp 999")
    monkeypatch.setattr(signed, "ENGINE", "haccp 999")
    assert refresh(batch, factory.now).engine == before.engine
    assert (
        "The engine has changed since it was signed" in as_chef.get(f"/pass/{batch.code}/").content.decode()
    )


def test_the_signature_names_ruleset_and_engine_and_the_ruleset_can_be_read(batch):
    said = Entry.objects.get(kind="batch.sign").said
    row = KeptRuleset.objects.get(pk=said["ruleset"])
    assert hashlib.sha256(row.content.encode()).hexdigest() == said["ruleset"] == batch.rules.digest
    assert said["engine"].startswith("haccp ")


def test_opened_again_by_a_new_fact_it_is_judged_by_the_limits_as_they_are(factory, batch, raise_data):
    raise_data(**STRICTER)
    bag = batch.bags.get()
    probe = factory.site.fridges.get().probe
    check_core(bag=bag, step="chill", celsius=Decimal("2.0"), probe=probe, hand=factory.hand(minutes=5))
    assert state(batch) == State.REOPENED
    assert current(batch, factory.now).outcome == Outcome.FAILS


def test_the_paper_keeps_the_signed_outcome_and_says_what_changed(as_chef, factory, batch, raise_data):
    raise_data(**STRICTER)
    entry = note_print(
        batch=batch, assessment=current(batch, factory.now), hand=factory.hand(factory.chef, minutes=1)
    )
    shown = content(batch, gather(batch, factory.now), entry, "http://testserver/")
    assert shown["assessment"].outcome == Outcome.MEETS
    assert [each.id for each in shown["since"].limits] == ["UK-CCH-COOL-1"]
    text = render_to_string("papers/batch_record.html", shown)
    assert "the outcome above is the one that was signed" in text


def test_every_limit_comes_back_from_what_was_written_down():
    for each in all_limits():
        assert limit_of(json.loads(json.dumps(each.plain()))) == each


def test_what_was_written_about_a_limit_is_no_change_of_it(factory, batch, raise_data):
    raise_data(UK_CHILL_8={"note": "Read again."})
    assert kept.changes(Entry.objects.get(kind="batch.sign").said["ruleset"], batch.rules) == []


def test_a_signed_method_says_what_changed_and_what_it_would_fail(as_chef, factory, raise_data):
    method = factory.method()
    assert "Limits have changed" not in as_chef.get(f"/larder/methods/{method.pk}/").content.decode()
    raise_data(UK_CCH_LIFE={"value": Fraction(3)})
    page = as_chef.get(f"/larder/methods/{method.pk}/").content.decode()
    assert "Limits have changed since it was signed" in page
    assert "at most 3 days" in page
    assert "By the limits of today it fails: write a new version." in page
