"""The plan's content follows from methods, ruleset and equipment."""

from __future__ import annotations

import json
from decimal import Decimal

from haccp.limits import ruleset
from kitchen.batches.actions import open_batch
from kitchen.equipment.actions import check_probe, retire_probe
from kitchen.equipment.models import Probe
from kitchen.ledger import canonical
from kitchen.methods.models import Method
from kitchen.people.actions import let_go
from kitchen.plan.content import compose, flow_digest, plan_digest
from tests.kitchen.plan.conftest import FISH


def test_methods_that_trigger_the_same_limits_are_one_family(planned):
    families = planned.part("families")
    assert [each["name"] for each in families] == ["Poultry, chilled and kept", "Fish, served at once"]
    assert [dish["name"] for dish in families[0]["dishes"]] == ["Chicken breast", "Brined chicken"]


def test_a_step_that_only_some_dishes_take_says_which(planned):
    chicken, fish = planned.part("families")
    only = {step["key"]: step["only"] for step in chicken["way"]}
    assert only["brine"] == only["rinse"] == "Brined chicken"
    assert not only["cook"]
    assert [step["key"] for step in fish["way"]] == [
        "deliver",
        "store_raw",
        "prepare",
        "bag",
        "cook",
        "serve",
    ]


def test_a_lot_that_came_frozen_brings_the_thaw_for_its_dish(planned):
    """The thaw is a step of that dish alone, and changes no limit of the chill or the store."""
    factory = planned.factory
    limits = [each["key"] for each in planned.part("limits")]
    lot = factory.lot("F1", attributes=("raw", "frozen"))
    method = Method.objects.get(dish__name="Chicken breast")
    open_batch(method=method, lots=[lot], hand=factory.hand())
    chicken = planned.part("families")[0]
    assert {step["key"]: step["only"] for step in chicken["way"]}["thaw"] == "Chicken breast"
    assert any(dict(each["facts"])["Step"] == "Thawing" for each in chicken["hazards"])
    rules = ruleset("UK", factory.now.date())
    new = {each["key"] for each in planned.part("limits")} - set(limits)
    assert {rules.limit(key).topic for key in new} <= {"thaw", "receive"}


def test_the_points_are_numbered_in_the_order_of_the_work(planned, facts):
    points = planned.part("points")
    assert [(each["key"], each["name"]) for each in points] == [
        ("CCP 1", "Cook in the bath"),
        ("CCP 2", "Chill"),
        ("CCP 3", "Chilled storage"),
        ("CCP 4", "Second cook"),
    ]
    assert all(all(text for _, text in each["facts"]) for each in points)
    assert facts(points[1])["Families"] == "Poultry, chilled and kept"
    assert "Bath 1: every 30 min" in facts(points[0])["When"]
    assert "Fridge 1: every 12 h" in facts(points[2])["When"]


def test_a_point_prints_the_limits_that_the_food_triggers_with_their_ids(planned):
    cook, chill = planned.part("points")[:2]
    said = " ".join(each["said"] for each in cook["limits"])
    assert "60 °C for 45 min" in said
    assert "UK-COOK-FSA-60" in said
    assert any("3 °C within 90 min [UK-CCH-COOL-1]" in each["said"] for each in chill["limits"])
    of_fish = [each for each in cook["limits"] if len(each["families"]) == 1]
    assert not any("UK-CCH" in each["said"] for each in of_fish if each["families"] == ["fish"])


def test_every_limit_that_is_cited_is_listed_with_its_source(planned, facts):
    content = planned.content
    rules = ruleset("UK", planned.factory.now.date())
    listed = {each["key"]: facts(each) for each in content["plan"]["limits"]}
    assert {"UK-COOK-FSA-60", "UK-CCH-STORE", "UK-PROBE-ICE"} <= listed.keys()
    for key, said in listed.items():
        row = rules.limit(key)
        assert row.section in said["Source"]
        assert row.status in said["Status"]
        assert row.provenance in said["Provenance"]
    cited = {each["limit"] for one in content["plan"]["validation"] for each in one["findings"]} - {""}
    assert cited <= listed.keys()
    sources = {each["key"] for each in content["plan"]["sources"]}
    assert {rules.limit(key).source for key in listed} <= sources
    assert "codex-general-principles-2022" in sources


def test_a_dish_is_told_as_its_method_says(planned, facts):
    chicken = planned.part("families")[0]["dishes"][1]
    said = facts(chicken)
    assert said["Brine"] == "6 % w/w for 45 min, rinsed, dried"
    assert said["Treatment"].startswith("bath at 64.0 °C for 3 h; 25 mm, at most 30 mm (± 2 mm)")
    assert said["Storage"] == "within 0 °C to 3 °C [UK-CCH-STORE]"
    assert said["Life"] == "5 days"
    assert said["Method"].startswith("version 1, signed Mon 16 Nov 2026")


def test_validation_names_the_row_the_worst_bag_and_the_proven_time(planned, facts):
    chicken = planned.part("validation")[0]
    assert "60 °C for 45 min [UK-COOK-FSA-60]" in facts(chicken)["Published rows"]
    assert facts(chicken)["Worst bag reckoned"].startswith("30 mm thick and 2 mm more")
    cook = next(each for each in chicken["findings"] if each["limit"] == "UK-COOK-FSA-60")
    assert cook["outcome"] == "meets limits"
    assert "is proven" in cook["sentence"]
    curve = chicken["curve"]
    lows, bests, highs = (list(map(float, curve[key])) for key in ("low", "best", "high"))
    assert all(low <= best <= high for low, best, high in zip(lows, bests, highs, strict=True))
    assert lows[-1] > 60 > lows[0]


def test_guests_for_whom_no_method_is_written_are_named(planned):
    assert any(
        "No method is written for guests who fall ill more easily" in each for each in planned.part("guests")
    )
    planned.factory.method("Ling for the ward", **{**FISH, "attributes": ["fish", "vulnerable diners"]})
    said = " ".join(planned.part("guests"))
    assert "Ling for the ward. The strictest limits apply" in said
    assert "All other dishes are not written for" in said


def test_names_stand_outside_the_chain(planned):
    text = canonical.text(planned.content)
    assert "Ada Test" not in text
    assert [each["key"] for each in planned.part("team")] == ["C1", "K1"]


def test_the_content_is_plain_and_the_same_each_time(planned):
    one, two = planned.content, planned.content
    assert json.loads(json.dumps(one)) == one
    assert canonical.text(one) == canonical.text(two)
    assert len(plan_digest(one)) == 64


def test_equipment_people_and_methods_change_the_plan_and_a_reading_does_not(planned):
    factory = planned.factory
    before = plan_digest(planned.content)
    probe = Probe.objects.get(name="Bath 1 probe")
    check_probe(probe=probe, medium="ice", celsius=Decimal("0.2"), hand=factory.hand(factory.chef, 1))
    assert plan_digest(planned.content) == before
    retire_probe(probe=probe, reason="It fell.", hand=factory.hand(factory.chef, 1))
    retired = plan_digest(planned.content)
    assert retired != before
    let_go(person=factory.cook, hand=factory.hand(factory.chef, 1))
    assert plan_digest(planned.content) != retired


def test_the_digest_of_the_diagrams_changes_with_the_way_alone(planned):
    before = planned.content["flows"]
    factory = planned.factory
    factory.method("Chicken breast", thickness_max_mm=Decimal(28))
    assert planned.content["flows"] == before
    factory.method("Rolled chicken", attributes=["poultry", "rolled", "cook-chill"])
    assert planned.content["flows"] != before == flow_digest(planned.part("families")[:2])


def test_a_kitchen_without_a_signed_method_has_a_plan_with_nothing_in_it(factory):
    plan = compose(factory.site, factory.now)["plan"]
    assert plan["families"] == plan["points"] == plan["validation"] == []
    assert "0 dishes" in plan["scope"][0]
