"""The demo week: what its cooks typed, replayed, leads to what a head chef would expect, by computation only.

The kitchen, its people and its readings are invented. What each batch must come to was settled
when its story was written (own judgement, by the limits named); the figures are the app's.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection, transaction

from haccp.limits import all_limits, ruleset
from haccp.record import Outcome
from kitchen.ledger import guards
from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify
from kitchen.management.commands.demo import FOLDER
from kitchen.management.demo.replay import replay
from kitchen.management.demo.script import read_week
from kitchen.review import trail
from kitchen.review.actions import hindrances
from kitchen.review.assessing import State, current, state

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 25, 15, 20, tzinfo=UTC)
MEETS, REVIEW, UNPROVEN, FAILS = Outcome

# batch: (its outcome, the rule that says why, the outcome of that finding, limit, source)
FLAGGED = {
    "chicken": (FAILS, "store.use_by", FAILS, "UK-CCH-LIFE", "dh-cook-chill-1989"),
    "sagged bath": (FAILS, "cook.hold", FAILS, "UK-COOK-FSA-60", "fsa-core-temperatures"),
    "slow chill": (FAILS, "chill.stage", FAILS, "UK-CCH-COOL-1", "dh-cook-chill-1989"),
    "thick roll": (REVIEW, "cook.thickness", REVIEW, None, None),
    "missed reading": (UNPROVEN, "cook.hold", UNPROVEN, "UK-COOK-FSA-60", "fsa-core-temperatures"),
    "failed probe": (UNPROVEN, "probe.failed", REVIEW, "UK-PROBE-ICE", "fsa-small-caterers"),
}
NOTED = {"late entry", "typing error"}  # put on record, and within the limits all the same
UNTOUCHED = {
    "lamb",
    "carrots",
    "ballotine",
    "cod",
    "short rib",
    "lamb again",
    "beetroot",
    "chicken again",
}
RUNNING = {"lamb now", "ballotine now", "chicken now", "cod now"}
SIGNED = {"lamb", "carrots", "ballotine", "cod", "sagged bath", "slow chill"}


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """One replay for all tests here, undone at their end."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield replay(read_week(FOLDER, NOW))
        transaction.set_rollback(True)


def assessed(demo, key):
    return current(demo.batches[key], NOW)


def test_the_chain_holds(demo):
    verdict = verify(demo.site)
    assert verdict.flaw is None
    assert (verdict.count, verdict.head) == (demo.entries, demo.head)


def test_every_batch_of_the_week_is_spoken_of_here(demo):
    assert set(demo.batches) == set(FLAGGED) | NOTED | UNTOUCHED | RUNNING
    assert len(demo.batches) >= 12
    assert demo.dishes >= 6


@pytest.mark.parametrize("key", sorted(FLAGGED))
def test_a_batch_in_which_something_went_wrong_is_flagged(demo, key):
    outcome, rule, judged, limit, source = FLAGGED[key]
    assessment = assessed(demo, key)
    assert assessment.outcome == outcome
    found = [each for each in assessment.all_findings if each.rule == rule and each.outcome == judged]
    assert {each.limit for each in found} == {limit}
    if limit:
        assert ruleset("UK", NOW.date()).limit(limit).source == source


@pytest.mark.parametrize("key", sorted(UNTOUCHED | NOTED))
def test_an_ordinary_batch_meets_its_limits(demo, key):
    assessment = assessed(demo, key)
    others = [each.sentence for each in assessment.all_findings if each.outcome != MEETS]
    assert (assessment.outcome, others) == (MEETS, [])
    assert all(any(each.rule == "cook.hold" for each in bag.findings) for bag in assessment.bags)


def test_only_the_bags_concerned_are_flagged(demo):
    outcomes = {
        key: [each.code for each in assessed(demo, key).bags if each.outcome != MEETS]
        for key in ("chicken", "thick roll")
    }
    assert outcomes == {"chicken": ["4"], "thick roll": ["4"]}


def test_a_missed_reading_is_named_as_the_reason(demo):
    (hole,) = (each for each in assessed(demo, "missed reading").findings if each.rule == "bath.readings")
    assert "between 09:15 and 11:18" in hole.sentence


def test_what_hinders_a_signature_is_what_went_wrong(demo):
    said = hindrances(demo.batches["chicken"], assessed(demo, "chicken"))
    assert len(said) == 2
    assert "past its use-by" in said[1]


def test_a_failed_check_takes_the_trust_from_that_probe_alone(demo):
    sentences = [
        each.sentence for each in assessed(demo, "failed probe").all_findings if each.outcome != MEETS
    ]
    assert any("P3" in each for each in sentences)
    assert not any("P3" in each.sentence for each in assessed(demo, "chicken again").all_findings)


def test_a_bath_is_spoken_of_as_it_was(demo):
    sagged, doubted = (
        [each.sentence for each in assessed(demo, key).findings if each.rule == rule]
        for key, rule in (("sagged bath", "bath.band"), ("failed probe", "bath.readings"))
    )
    # It read 65.0 °C four minutes before the bags went in: cold bags cooled it, it was not heating up.
    assert [each.startswith("Bath 1 was below its band") for each in sagged] == [True]
    assert ["has no reading that counts between" in each for each in doubted] == [True]


def test_the_late_entries_say_how_late(demo):
    late = [line for line in trail.lines(demo.batches["late entry"]) if line.late_min]
    assert [(line.entry.kind, line.late_min) for line in late] == [("bags.out", 70), ("chill.in", 66)]
    assert all(line.entry.recorded_at - line.entry.happened_at > timedelta(hours=1) for line in late)


def test_the_typing_error_stays_visible_beside_its_correction(demo):
    (line,) = (line for line in trail.lines(demo.batches["typing error"]) if line.corrected_by)
    assert line.entry.said["celsius"] == "6.39"
    assert line.corrected_by.said["said"]["celsius"] == "63.9"
    assert line.corrected_by.said["reason"]


def test_signed_batches_stay_signed_until_something_is_entered(demo):
    states = {key: state(batch) for key, batch in demo.batches.items()}
    assert {key for key, found in states.items() if found == State.SIGNED} == SIGNED
    assert {key for key, found in states.items() if found == State.REOPENED} == {"short rib"}


def test_the_bench_has_a_bath_a_chill_a_brine_and_a_use_by_of_today(demo):
    (hold,) = {each.hold_until for each in assessed(demo, "lamb now").bags}
    assert NOW + timedelta(minutes=20) < hold < NOW + timedelta(minutes=60)
    chill = [each for each in assessed(demo, "ballotine now").all_findings if each.rule == "chill.stage"]
    assert {each.outcome for each in chill} == {UNPROVEN}
    assert all(each.remedy_by > NOW for each in chill)
    assert demo.batches["chicken now"].brine_ins.exists()
    assert not demo.batches["chicken now"].brine_outs.exists()
    assert {each.use_by for each in assessed(demo, "lamb again").bags} == {NOW.date()}


def test_the_entries_carry_the_times_of_the_story(demo):
    entries = list(Entry.objects.of_site(demo.site))
    assert entries == sorted(entries, key=lambda each: each.recorded_at)
    assert entries[0].recorded_at < NOW - timedelta(days=8)
    assert NOW - timedelta(minutes=10) < entries[-1].recorded_at <= NOW


def test_the_same_moment_gives_the_same_week(demo):
    week = read_week(FOLDER, NOW)
    people = [{**each, "handle": f"another {each['handle']}"} for each in week.place["people"]]
    place = {**week.place, "site": {**week.place["site"], "slug": "another-quay"}, "people": people}
    again = replay(replace(week, place=place))
    first, second = (
        [(each.kind, each.happened_at, each.said) for each in Entry.objects.of_site(told.site)]
        for told in (demo, again)
    )
    assert without_ids(second) == without_ids(first)


def without_ids(told):
    """Ids and digests are made anew each time; everything else is the script's."""
    return re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}|[0-9a-f]{64}", "id", repr(told))


def test_a_second_run_keeps_the_data(demo):
    said = StringIO()
    call_command("demo", stdout=said)
    assert "kept" in said.getvalue()
    assert Entry.objects.of_site(demo.site).count() == demo.entries


def test_the_sign_ins_are_printed_with_the_address():
    said = StringIO()
    call_command("demo", "--sign-ins", "--address", "192.0.2.7:8000", stdout=said)
    assert "http://192.0.2.7:8000/" in said.getvalue()
    assert said.getvalue().count("cook code") == 4
    assert "Tablets" in said.getvalue()


def test_verification_names_the_first_changed_entry(demo):
    with transaction.atomic():
        guards.lift()
        for seq in (300, 212):
            entry = Entry.objects.get(site=demo.site, seq=seq)
            changed = entry.body.replace('"seq":', '"sep":', 1)
            assert sum(a != b for a, b in zip(changed, entry.body, strict=True)) == 1
            connection.cursor().execute(
                "UPDATE kitchen_entry SET body = %s WHERE id = %s", [changed, entry.pk.hex]
            )
        with pytest.raises(CommandError, match=r"entry no\. 212 "):
            call_command("verify_records", stdout=StringIO())
        transaction.set_rollback(True)


def test_nothing_that_is_computed_is_written_in_the_fixtures():
    limits = {each.id for each in all_limits()}
    keys = Counter[str]()
    for file in sorted(FOLDER.rglob("*.toml")):
        for key, value in leaves(tomllib.loads(file.read_text("utf-8"))):
            keys[key] += 1
            text = str(value)
            assert text not in limits
            assert not any(each in text for each in Outcome), f"{file}: {text}"
    assert not keys.keys() & {"outcome", "finding", "findings", "hold", "core", "limit", "use_by_date"}
    assert min(keys["celsius"], keys["said"]) > 0, "the readings are there as they were typed"


def leaves(value, key=""):
    if isinstance(value, dict):
        for name, each in value.items():
            yield from leaves(each, name)
    elif isinstance(value, list):
        for each in value:
            yield from leaves(each, key)
    else:
        yield key, value
