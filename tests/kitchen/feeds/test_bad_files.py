"""What is wrong with a logger file: a message or a question that says what to do, and nothing half-saved."""

from __future__ import annotations

from decimal import Decimal

import pytest

from kitchen.cooking.actions import start_bath
from kitchen.cooking.models import BathReading
from kitchen.feeds.models import LogFile
from kitchen.ledger.models import Entry
from tests.kitchen.feeds.test_import import into, lines, upload

pytestmark = pytest.mark.usefixtures("on_time")
HEAD = "time;bath (°C)\n"


@pytest.fixture
def log(on_time):
    """A bath that has run for an hour."""
    made = start_bath(bath=on_time.bath(), set_point_c=Decimal(64), hand=on_time.hand())
    on_time.pass_time(60)
    return made


def body(answer):
    return answer.content.decode()


# What can't be read at all is not kept: the message stands at the file and says what to do.
@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "The file is empty. Export the log"),
        (b"\n \n", "The file is empty."),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x10\x00" * 20, "looks like a picture"),
        (b"PK\x03\x04\x14\x00\x06\x00" + bytes(range(256)) * 8, "looks like a spreadsheet"),
        (b"name,supplier\nhake,Northfold\n", "No line of the file looks like a reading"),
        (b"time,humidity %\n2026-11-16 08:00,40\n2026-11-16 08:01,41\n", "temperature"),
        (b"bath (C)\n64.0\n64.1\n64.2\n", "looks like a reading"),
        (
            b"time;bath (C)\n2026-11-16 08:00;---\n2026-11-16 08:01;---\n",
            "No row of the file gives a reading",
        ),
    ],
)
def test_a_file_that_can_not_be_read_says_so_and_is_not_kept(as_cook, log, content, says):
    before = Entry.objects.count()
    answer = upload(as_cook, content)
    assert answer.status_code == 422
    assert says in body(answer)
    assert "error-text" in body(answer)
    assert not LogFile.objects.exists()
    assert Entry.objects.count() == before


def test_no_file_at_all(as_cook, db):
    answer = as_cook.post("/larder/import/", {})
    assert answer.status_code == 422
    assert "Choose the logger’s file first." in body(answer)


def test_a_file_that_is_too_large_is_refused_before_it_is_read(as_cook, settings, db):
    settings.LOG_FILE_MAX_BYTES = 2000
    answer = upload(as_cook, lines(*["64.0"] * 100))
    assert answer.status_code == 422
    assert "Export a shorter period" in body(answer)
    assert not LogFile.objects.exists()


# What is open is asked; the answer decides; nothing is kept in between.
@pytest.mark.parametrize(
    ("text", "asks", "answers", "celsius"),
    [
        pytest.param(
            HEAD + "11/12/2025 08:00;64,0\n11/12/2025 08:10;64,2\n",
            "can be read in more than one way",
            {"date_order": "mdy"},
            ["64.0", "64.2"],
            id="ambiguous date order, decimal commas",
        ),
        pytest.param(
            "time;bath\n2026-11-16 08:00;147.2\n2026-11-16 08:01;147.2\n",
            "does not say in which unit",
            {"unit_2": "degF"},
            ["64.0", "64.0"],
            id="no unit",
        ),
        pytest.param(
            HEAD + "2026-11-16 08:00;64.0\n2026-11-16 08:01;64.1\n" + "2026-11-16 08:02,64.2\n" * 3,
            "not all separated by the same sign",
            {"separator": "semicolon"},
            ["64.0", "64.1"],
            id="mixed separators",
        ),
        pytest.param(
            "time;a (°C);b (°C)\n2026-11-16 08:00;64.0;3.1\n2026-11-16 08:01;64.1;3.2\n",
            "several columns of temperatures",
            {"channel": "2"},
            ["64.0", "64.1"],
            id="several columns",
        ),
        pytest.param(
            "time,bath (°C)\n2026-11-16 08:00,64,0\n2026-11-16 08:01,64,1\n2026-11-16 08:02,64,2\n",
            "seems to be the decimal sign as well",
            {"decimal": "comma"},
            ["64.0", "64.1", "64.2"],
            id="decimal commas between commas",
        ),
    ],
)
def test_what_is_open_is_asked(as_cook, log, text, asks, answers, celsius):
    page = upload(as_cook, text)
    assert page.status_code == 302
    asked = body(as_cook.get(page["Location"]))
    assert "Nothing is guessed" in asked
    assert asks in asked
    query = "&".join(f"a-{key}={value}" for key, value in answers.items())
    address = f"{page['Location']}?{query}"
    shown = as_cook.get(address)
    assert "Where it goes" in body(shown)
    assert not BathReading.objects.exists()
    said = into(log)
    if "2025" in text:
        said = {"log": "new", "bath": _other_bath(log).pk, "set_point_c": "64", "probe": log.bath.probe_id}
    assert as_cook.post(address, said).status_code == 302
    assert [each.celsius for each in BathReading.objects.order_by("at")] == [
        Decimal(each) for each in celsius
    ]
    assert Entry.objects.get(kind="bath.import").said["answers"] == answers


def _other_bath(log):
    from kitchen.equipment.models import Bath

    facts = {field: getattr(log.bath, field) for field in ("medium", "every_min", "volume_l", "band_k")}
    rates = {"fall_k_per_min": log.bath.fall_k_per_min, "rise_k_per_min": log.bath.rise_k_per_min}
    return Bath.objects.create(site=log.bath.site, entry=log.bath.entry, name="Other bath", **facts, **rates)


def test_error_values_of_the_sensor_are_refused_by_line(as_cook, log):
    page = upload(as_cook, lines("63.8", "-127.0", "63.9", "---", "64.0", "999", "64.1"))
    shown = body(as_cook.get(page["Location"]))
    assert "3 rows give no reading" in shown
    for line in (3, 5, 7):
        assert f"<td>{line}</td>" in shown
    as_cook.post(page["Location"], into(log))
    assert [str(each.celsius) for each in BathReading.objects.order_by("at")] == [
        "63.80",
        "63.90",
        "64.00",
        "64.10",
    ]


def test_duplicates_count_once_and_are_reported(as_cook, log):
    twice = lines("63.8", "64.0") + "2026-11-16 08:01:00;64.0\n"
    page = upload(as_cook, twice)
    shown = body(as_cook.get(page["Location"]))
    assert "1 duplicate row counted once (line 4)." in shown
    as_cook.post(page["Location"], into(log))
    assert BathReading.objects.count() == 2


def test_the_hour_that_comes_twice_follows_the_order_of_the_file(as_cook, factory):
    # Clocks in London went back at 02:00 on 25 October 2026, to 01:00 (a Sunday, by EU summer-time rules).
    bath = factory.bath()
    rows = ["00:50", "01:20", "01:50", "01:20", "01:50", "02:20"]
    page = upload(as_cook, HEAD + "".join(f"2026-10-25 {each};64.0\n" for each in rows))
    shown = body(as_cook.get(page["Location"]))
    assert "clocks went back" in shown
    said = {"log": "new", "bath": bath.pk, "set_point_c": "64", "probe": bath.probe_id}
    assert as_cook.post(page["Location"], said).status_code == 302
    at = list(BathReading.objects.order_by("at").values_list("at", flat=True))
    assert [(each - at[0]).total_seconds() / 60 for each in at] == [0, 30, 60, 90, 120, 150]


def test_the_hour_that_comes_twice_once_in_the_file_is_asked_about(as_cook, factory):
    page = upload(as_cook, HEAD + "2026-10-25 01:20;64.0\n2026-10-25 01:25;64.0\n")
    asked = body(as_cook.get(page["Location"]))
    assert "The clocks went back" in asked
    assert 'name="a-clock_change"' in asked


def test_an_answer_that_makes_the_file_unreadable_says_so(as_cook, log):
    page = upload(as_cook, "time;bath\n2026-11-16 08:00;64\n2026-11-16 08:01;65\n")
    answer = as_cook.get(page["Location"], {"a-unit_2": "kelvin"})
    assert answer.status_code == 422
    assert "Nothing was imported." in body(answer)
    assert "Answer again" in body(answer)


def test_a_digest_that_is_not_here_is_not_found(as_cook, db):
    assert as_cook.get("/larder/import/0123abc/").status_code == 404


def test_no_one_imports_without_signing_in(client, db):
    assert upload(client, lines("64.0")).status_code == 302
    assert not LogFile.objects.exists()
