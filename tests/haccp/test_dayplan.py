"""The day plan: every plan is walked minute by minute against its own rules; the small ones by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haccp.dayplan import CHANGE, RECOVERY, SPARE, BathNow, Wanted, plan_day
from haccp.errors import RangeError

NOW = datetime(2026, 11, 25, 8, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def at(hours: float) -> datetime:
    return NOW + timedelta(hours=hours)


def wanted(key: str = "a", **other: object) -> Wanted:
    given_: dict[str, object] = {
        "bags": 4, "bag_kg": 0.5, "ready_at": at(11), "set_point_c": 60.0, "bath_min": 90.0, "chill_min": 60.0
    }  # fmt: skip
    return Wanted(key, **(given_ | other))  # type: ignore[arg-type]


BATH = BathNow("b1", "Bath 1", litres=20.0)


def test_one_dish_is_reckoned_back_from_when_it_is_wanted() -> None:
    """19:00 less 10 min spare, 60 min chill, 90 min bath, 10 min spare, 30 min brine: by hand."""
    (rack,) = plan_day([wanted(brine_min=30.0)], [BATH], NOW).racks
    assert rack.out_at == at(11) - SPARE - 60 * MINUTE
    assert rack.in_at == rack.out_at - 90 * MINUTE
    assert rack.brine_at == rack.in_at - SPARE - 30 * MINUTE
    assert rack.chilled_by == at(11) - SPARE
    assert rack.bags == 4


def test_two_set_points_in_one_bath_are_apart_by_the_change() -> None:
    plan = plan_day([wanted("a"), wanted("b", set_point_c=64.0)], [BATH], NOW)
    first, second = plan.racks
    assert second.in_at - first.out_at == CHANGE


def test_a_second_bath_takes_the_second_set_point_at_the_same_time() -> None:
    plan = plan_day([wanted("a"), wanted("b", set_point_c=64.0)], [BATH, BathNow("b2", "Bath 2", 20.0)], NOW)
    assert {rack.bath for rack in plan.racks} == {"b1", "b2"}
    assert plan.racks[0].in_at == plan.racks[1].in_at


def test_a_load_that_pulls_the_bath_down_goes_in_by_turns() -> None:
    plan = plan_day([wanted(load_kg={"b1": 1.1})], [BATH], NOW)
    assert [rack.bags for rack in plan.racks] == [2, 2]
    assert plan.racks[1].in_at - plan.racks[0].in_at == RECOVERY


def test_what_goes_to_the_plate_waits_in_the_bath() -> None:
    plan = plan_day([wanted(chill_min=None, load_kg={"b1": 1.1})], [BATH], NOW)
    assert [rack.out_at for rack in plan.racks] == [at(11), at(11)]
    assert plan.racks[0].in_at == plan.racks[1].in_at - RECOVERY


def test_a_running_bath_is_kept_at_its_set_point_until_its_bags_are_out() -> None:
    busy = BathNow("b1", "Bath 1", 20.0, set_point_c=85.0, busy_until=at(9))
    plan = plan_day([wanted()], [busy], NOW)
    assert not plan.racks
    assert plan.left[0].bags == 4
    later = plan_day([wanted(ready_at=at(14))], [busy], NOW)
    assert later.racks[0].in_at >= at(9) + CHANGE


def test_too_late_and_too_heavy_say_so() -> None:
    assert "should have begun" in plan_day([wanted(ready_at=at(1))], [BATH], NOW).left[0].reason
    assert "even one such bag" in plan_day([wanted(bag_kg=9.0)], [BATH], NOW).left[0].reason
    assert plan_day([wanted()], [], NOW).left[0].reason == "No bath is in use."


@pytest.mark.parametrize(
    "wrong", [{"bags": 0}, {"bag_kg": 0.0}, {"bag_kg": float("nan")}, {"bath_min": -1.0}]
)
def test_nonsense_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(RangeError):
        wanted(**wrong)


DISHES = st.builds(
    lambda key, bags, kg, hours, set_c, bath, chill, load: wanted(
        str(key), bags=bags, bag_kg=kg, ready_at=at(hours), set_point_c=set_c, bath_min=bath, chill_min=chill,
        load_kg=load,
    ),
    st.uuids(), st.integers(1, 12), st.floats(0.2, 3.0), st.integers(1, 16), st.sampled_from([56.0, 60.0]),
    st.integers(30, 240), st.one_of(st.none(), st.integers(30, 120)),
    st.dictionaries(st.sampled_from(["b1", "b2"]), st.floats(0.5, 6.0)),
)  # fmt: skip
BATHS = st.builds(
    lambda one, busy: [
        BathNow("b1", "Bath 1", one),
        BathNow(
            "b2", "Bath 2", 24.0, 60.0 if busy else None, at(busy) if busy else None, 1.0 if busy else 0.0
        ),
    ],
    st.floats(6.0, 40.0),
    st.integers(0, 4),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(DISHES, min_size=1, max_size=6), BATHS)
def test_no_plan_breaks_its_own_rules(dishes: list[Wanted], baths: list[BathNow]) -> None:
    plan = plan_day(dishes, baths, NOW)
    of = {each.key: each for each in dishes}
    for each in dishes:
        placed = sum(rack.bags for rack in plan.racks if rack.wanted == each.key)
        assert placed + sum(one.bags for one in plan.left if one.wanted == each.key) == each.bags
    for rack in plan.racks:
        each = of[rack.wanted]
        assert rack.in_at >= NOW
        assert rack.out_at - rack.in_at >= each.stay
        assert rack.out_at <= each.latest_out
    for bath in baths:
        own = [rack for rack in plan.racks if rack.bath == bath.key]
        for moment in {rack.in_at for rack in own}:
            inside = [rack for rack in own if rack.in_at <= moment < rack.out_at]
            assert len({rack.set_point_c for rack in inside}) <= 1
            held = bath.held_kg if bath.busy_until and bath.busy_until > moment else 0.0
            assert sum(rack.kg for rack in inside) + held <= bath.room_kg + 1e-6
            if held and inside:
                assert inside[0].set_point_c == bath.set_point_c
            together = [rack for rack in own if moment <= rack.in_at < moment + RECOVERY]
            shares = [rack.kg / of[rack.wanted].load_kg.get(bath.key, float("inf")) for rack in together]
            assert sum(shares) <= 1.0 + 1e-6
