"""The written week is read in the kitchen's own time, whatever the clocks do, and its slips are named."""

from datetime import UTC, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from haccp.record import Outcome
from kitchen.ledger.models import Entry
from kitchen.management.commands import demo
from kitchen.management.demo.replay import replay
from kitchen.management.demo.script import Clock, ScriptError, read_week
from kitchen.people.models import Site
from kitchen.review.assessing import current

NOW = datetime(2026, 11, 25, 15, 20, tzinfo=UTC)
PLACE = """
opened = "-1 07:00"
tablet = "Bench"
people = [{code = "H1", name = "A. Chef", role = "head chef", handle = "a", password = "a long pass phrase"}]
[site]
slug = "a-quay"
name = "A quay"
code = "AQ"
timezone = "Europe/London"
regime = "UK"
"""


@pytest.fixture
def week(tmp_path):
    """Write a week of these entries and read it."""

    def write(entries):
        (tmp_path / "place.toml").write_text(PLACE)
        (tmp_path / "day.toml").write_text(f'day = -1\nby = "H1"\nentries = [\n{entries}\n]')
        return read_week(tmp_path, NOW)

    return write


# London was an hour before UTC until 25 October 2026, 02:00 local (the common European rule).
@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("-1 09:10", "2026-10-24 08:10"),
        ("0 09:10", "2026-10-25 09:10"),
        ("-1 12:30 +1440", "2026-10-25 11:30"),
        ("now -85", "2026-10-25 13:35"),
        ("now", "2026-10-25 15:00"),
    ],
)
def test_times_are_the_kitchens_own_and_durations_are_absolute(said, meant):
    clock = Clock(datetime(2026, 10, 25, 15, tzinfo=UTC), ZoneInfo("Europe/London"))
    assert f"{clock.moment(said):%Y-%m-%d %H:%M}" == meant


def test_one_line_may_hold_several_readings(week):
    lines = week('{do = "read bath", bath = "B", said = "09:10 62.1, 09:41 61.95"}').lines
    assert [(f"{each.at:%H:%M}", each.facts["celsius"]) for each in lines] == [
        ("09:10", Decimal("62.1")),
        ("09:41", Decimal("61.95")),
    ]


def test_lines_stand_in_the_order_in_which_they_were_told(week):
    lines = week(
        '{at = "09:00", late = 70, do = "one"}, {at = "09:30", do = "two"}, {at = "0 15:21", do = "not yet"}'
    )
    assert [each.do for each in lines.lines] == ["two", "one"]


@pytest.mark.parametrize(
    ("entries", "named"),
    [
        ('{at = "25:00", do = "read bath"}', "day.toml, entry 1"),
        ('{at = "09:00", do = "read bath"}, {do = "read bath", said = "09:00 warm"}', "day.toml, entry 2"),
        ('{at = "09:00"}', "day.toml, entry 1"),
    ],
)
def test_a_line_that_means_nothing_is_named(week, entries, named):
    with pytest.raises(ScriptError, match=named):
        week(entries)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("entry", "named"),
    [
        ('{at = "09:00", do = "sing"}', "nothing is named “sing”"),
        ('{at = "09:00", do = "read fridge", fridge = "None", celsius = 2.0}', "read fridge"),
        ('{at = "09:00", do = "check probe", by = "K9", probe = "P1"}', "day.toml, entry 2"),
        ('{at = "09:00", do = "add probe", name = "P1", tolerance_k = 0.3}', "P1 already"),
    ],
)
def test_a_line_that_is_refused_is_named_and_nothing_is_kept(week, entry, named):
    told = week('{at = "08:00", do = "add probe", name = "P1", tolerance_k = 0.3}, ' + entry)
    with pytest.raises(ScriptError, match=named):
        replay(told)
    assert not Site.objects.exists()
    assert not Entry.objects.exists()


@pytest.mark.django_db
def test_the_command_fails_loudly(week, monkeypatch, tmp_path):
    week('{at = "09:00", do = "sing"}')
    monkeypatch.setattr(demo, "FOLDER", tmp_path)
    monkeypatch.setattr(demo.moments, "now", lambda: NOW)
    with pytest.raises(CommandError, match="sing"):
        call_command("demo", verbosity=0)


@pytest.mark.django_db
def test_the_week_comes_to_the_same_when_the_clocks_change_in_it():
    # The short rib cooks over night from 28 to 29 March 2026, when London's clocks went forward.
    now = datetime(2026, 4, 2, 9, 0, tzinfo=UTC)
    told = replay(read_week(demo.FOLDER, now))
    outcomes = {key: current(batch, now).outcome for key, batch in told.batches.items()}
    assert outcomes["short rib"] == outcomes["lamb"] == Outcome.MEETS
    assert outcomes["sagged bath"] == outcomes["slow chill"] == Outcome.FAILS
