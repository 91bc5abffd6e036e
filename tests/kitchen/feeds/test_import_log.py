"""`manage.py import_log`: the same rules as the web form."""

from __future__ import annotations

import re
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from kitchen.cooking.actions import start_bath
from kitchen.cooking.models import BathLog, BathReading
from kitchen.feeds.models import LogFile
from tests.kitchen.feeds.test_import import lines

pytestmark = pytest.mark.usefixtures("on_time")


@pytest.fixture
def bath(on_time):
    made = on_time.bath()
    on_time.pass_time(60)
    return made


def run(path, text, *more, **said):
    path = path / "bath.csv"
    path.write_bytes(text.encode())
    said = {"site": "test-kitchen", "person": "K1", "bath": "Bath 1", "probe": "Bath 1 probe"} | said
    out = StringIO()
    call_command(
        "import_log", str(path), *more, *(f"--{key}={value}" for key, value in said.items()), stdout=out
    )
    return out.getvalue()


def test_into_a_new_log(bath, tmp_path):
    said = run(tmp_path, lines("61.0", "---", "61.2"), "--ended", "--set-point=61")
    assert said == "2 readings imported into the log of Bath 1, 1 rows refused.\n"
    log = BathLog.objects.get()
    assert (log.set_point_c, log.readings.count(), log.ended is not None) == (Decimal(61), 2, True)


def test_into_the_log_that_runs(bath, tmp_path, factory):
    factory.now -= (shift := factory.now - factory.now.replace(hour=8, minute=0))
    log = start_bath(bath=bath, set_point_c=Decimal(64), hand=factory.hand())
    factory.now += shift
    run(tmp_path, lines("63.9", "64.0"))
    assert log.readings.count() == 2


@pytest.mark.parametrize(
    ("text", "more", "said", "says"),
    [
        (lines("64.0"), [], {}, "Bath 1 is not running. Give --set-point"),
        (lines("64.0"), ["--set-point=warm"], {}, "is no temperature"),
        (lines("64.0"), ["--answer=channel"], {}, "KEY=VALUE"),
        (lines("64.0"), ["--set-point=64"], {"site": "nowhere"}, "There is no site “nowhere” here."),
        (lines("64.0"), ["--set-point=64"], {"person": "X9"}, "There is no person “X9” here."),
        (lines("64.0"), ["--set-point=64"], {"probe": "P99"}, "There is no probe “P99” here."),
        ("", ["--set-point=64"], {}, "Nothing was imported."),
        ("time (s),bath (°C)\n0,64.0\n60,64.0\n", ["--set-point=64"], {}, "--answer started_at="),
        (
            "time;a (°C);b (°C)\n2026-11-16 08:00;64.0;3.1\n",
            ["--set-point=64"],
            {},
            "--answer channel=2  a (°C)",
        ),
    ],
)
def test_what_is_wrong_or_open_is_said_and_nothing_imported(bath, tmp_path, text, more, said, says):
    with pytest.raises(CommandError, match=re.escape(says)):
        run(tmp_path, text, *more, **said)
    assert not LogFile.objects.exists()
    assert not BathReading.objects.exists()
    assert not BathLog.objects.exists()


def test_an_answer_lets_it_in(bath, tmp_path):
    text = "time (s),bath (°C)\n0,64.0\n60,64.0\n"
    run(tmp_path, text, "--set-point=64", "--answer=started_at=2026-11-16T08:05")
    assert BathReading.objects.count() == 2
    assert LogFile.objects.get().name == "bath.csv"


def test_a_file_that_is_not_there(bath, tmp_path):
    with pytest.raises(CommandError, match="can't be read"):
        call_command(
            "import_log",
            str(tmp_path / "no.csv"),
            *("--site=test-kitchen", "--person=K1", "--bath=Bath 1", "--probe=Bath 1 probe"),
        )
