"""A signed version is kept whole; what changes after it makes the next one."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from kitchen.base.ids import new_id
from kitchen.base.refusals import Refused
from kitchen.equipment.actions import retire_probe
from kitchen.equipment.models import Probe
from kitchen.ledger import canonical
from kitchen.ledger.verification import verify
from kitchen.people.regime import rules_of
from kitchen.plan.actions import confirm_flow, issue_plan, newest, note_competence
from kitchen.plan.changes import changes
from kitchen.plan.content import compose, plan_digest
from kitchen.plan.models import PlanVersion
from kitchen.plan.paper import plan_pdf
from kitchen.plan.showing import draft, signed


@pytest.fixture
def issued(planned):
    """The first version."""
    factory = planned.factory
    return issue_plan(reason="First version.", hand=factory.hand(factory.chef, 1))


def told(planned):
    """What the draft differs in from the signed version, as lines."""
    shown = draft(planned.factory.site, planned.factory.now)
    return [f"{each.part}: {each.words}" for each in shown.differences]


def test_a_version_keeps_its_whole_content_in_its_entry(planned, issued):
    said = issued.entry.said
    assert (said["version"], said["reason"]) == (1, "First version.")
    assert said["content"] == compose(planned.factory.site, issued.entry.recorded_at) | {
        "evidence": said["content"]["evidence"]
    }
    assert canonical.digest(canonical.text(said["content"]["plan"])) == said["digest"] == issued.digest
    assert verify(planned.factory.site).flaw is None


def test_the_same_plan_is_not_signed_twice(planned, issued):
    factory = planned.factory
    assert told(planned) == []
    with pytest.raises(Refused, match="Version 1 says the same"):
        issue_plan(hand=factory.hand(factory.chef, 1))


def test_only_the_head_chef_signs_confirms_and_notes(planned):
    hand = planned.factory.hand(planned.factory.cook, 1)
    for do in (
        lambda: issue_plan(hand=hand),
        lambda: confirm_flow(flows=planned.content["flows"], hand=hand),
        lambda: note_competence(person=planned.factory.cook, words="all", hand=hand),
    ):
        with pytest.raises(Refused, match="Only the head chef"):
            do()


def test_a_plan_without_a_method_is_not_signed(factory):
    with pytest.raises(Refused, match="No method is signed yet"):
        issue_plan(hand=factory.hand(factory.chef))


def test_sent_twice_it_is_signed_once_even_if_the_plan_changed_between(planned):
    factory = planned.factory
    hand = replace(factory.hand(factory.chef, 1), entry_id=new_id())
    first = issue_plan(hand=hand)
    factory.method("Chicken breast", bath_min=200)
    assert issue_plan(hand=hand) == first
    assert PlanVersion.objects.count() == 1


def test_what_was_read_is_what_is_signed(planned):
    factory = planned.factory
    seen = plan_digest(planned.content)
    factory.method("Chicken breast", bath_min=200)
    with pytest.raises(Refused, match="changed since this page was shown"):
        issue_plan(seen=seen, hand=factory.hand(factory.chef, 1))
    assert issue_plan(seen=plan_digest(planned.content), hand=factory.hand(factory.chef, 1)).version == 1


def test_a_new_version_of_a_method_is_told_in_words(planned, issued):
    planned.factory.method("Chicken breast", set_point_c=Decimal(65), thickness_max_mm=Decimal(28))
    said = told(planned)
    treatment = next(each for each in said if "treatment" in each)
    where = "Dish families: Poultry, chilled and kept: dish Chicken breast, treatment: "
    assert treatment.startswith(f"{where}bath at 64.0 °C")
    assert "→ bath at 65.0 °C" in treatment
    assert any("Chicken breast, method: version 1" in each and "→ version 2" in each for each in said)
    assert "Validation: Chicken breast, version 1: now Chicken breast, version 2." in said


def test_a_new_dish_brings_its_family_and_its_limits(planned, issued):
    factory = planned.factory
    factory.method("Rolled chicken", attributes=["poultry", "rolled", "cook-chill"])
    said = told(planned)
    assert "Dish families: Poultry, rolled, chilled and kept: new." in said
    assert any(each.startswith("Validation: Rolled chicken, version 1: new") for each in said)


def test_equipment_that_changes_is_told(planned, issued):
    factory = planned.factory
    factory.fridge("Fridge 2")
    retire_probe(
        probe=Probe.objects.get(name="Bath 1 probe"), reason="It fell.", hand=factory.hand(factory.chef, 1)
    )
    said = told(planned)
    assert "Equipment: Fridge 2: new." in said
    assert "Probes: Bath 1 probe, in use: in use → out of use" in said
    assert any(each.startswith("Critical control points: Chilled storage, when:") for each in said)


def test_another_ruleset_is_told_by_its_limits(planned, issued):
    """The same kitchen seen under another regime: limits go and come, and the digest with them."""
    factory = planned.factory
    now = planned.content
    factory.site.regime = "US-FDA"
    after = compose(factory.site, factory.now)
    words = [each.words for each in changes(now, after)]
    assert rules_of(factory.site, factory.now.date()).regime == "US-FDA"
    assert any(each.startswith("Test kitchen, ruleset:") for each in words)
    assert any("no longer in the plan" in each for each in words)
    assert any("165 °F" in each for each in words)


def test_an_old_version_prints_the_same_bytes_after_everything_has_changed(planned, issued):
    factory = planned.factory
    before = plan_pdf(signed(issued))
    factory.method("Chicken breast", bath_min=200)
    factory.fridge("Fridge 9")
    factory.pass_time(60 * 24 * 40)
    assert issue_plan(hand=factory.hand(factory.chef, 1)).version == 2
    again = PlanVersion.objects.get(version=1)
    assert plan_pdf(signed(again)) == before
    assert newest(factory.site).version == 2


def test_the_walk_counts_for_the_diagrams_that_were_walked(planned):
    factory = planned.factory
    at = factory.now - timedelta(minutes=2)
    confirm_flow(flows=planned.content["flows"], hand=factory.hand(factory.chef, 1), at=at)
    assert planned.content["evidence"]["confirmed"]["code"] == "C1"
    factory.method("Rolled chicken", attributes=["poultry", "rolled", "cook-chill"])
    assert planned.content["evidence"]["confirmed"] == {}


def test_diagrams_that_changed_since_are_walked_again(planned):
    factory = planned.factory
    walked = planned.content["flows"]
    factory.method("Rolled chicken", attributes=["poultry", "rolled", "cook-chill"])
    with pytest.raises(Refused, match="Walk them again"):
        confirm_flow(flows=walked, hand=factory.hand(factory.chef, 1))


def test_a_later_competence_takes_the_place_of_an_earlier_one(planned, facts):
    factory = planned.factory
    for words in ("hygiene, 2025", "hygiene and HACCP, 2026"):
        note_competence(person=factory.cook, words=words, hand=factory.hand(factory.chef, 1))
    team = {each["key"]: facts(each) for each in planned.part("team")}
    assert team["K1"]["Competence"] == "hygiene and HACCP, 2026"
    assert "Competence" not in team["C1"]
    with pytest.raises(Refused, match="what shows it"):
        note_competence(person=factory.cook, words=" ", hand=factory.hand(factory.chef, 1))
