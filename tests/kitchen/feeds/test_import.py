"""A logger file through its pages: the file, its questions, the preview, the import."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from kitchen.cooking.actions import end_bath, start_bath
from kitchen.cooking.models import BathLog, BathReading, LogBreak
from kitchen.feeds.models import LogFile
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.verification import verify
from kitchen.review.wording import say
from tests.kitchen.factory import MORNING

pytestmark = pytest.mark.usefixtures("on_time")


def lines(*temperatures, start=MORNING, step=60, heading="time;temperature (°C)", sep=";"):
    rows = [heading.replace(";", sep)]
    for count, celsius in enumerate(temperatures):
        rows.append(f"{start + timedelta(seconds=step * count):%Y-%m-%d %H:%M:%S}{sep}{celsius}")
    return "\n".join(rows) + "\n"


def upload(client, text, name="bath.csv"):
    content = text if isinstance(text, bytes) else text.encode()
    return client.post("/larder/import/", {"file": SimpleUploadedFile(name, content)})


@pytest.fixture
def log(on_time):
    """A bath that has run for an hour."""
    made = start_bath(bath=on_time.bath(), set_point_c=Decimal(64), hand=on_time.hand())
    on_time.pass_time(60)
    return made


def into(log, **more):
    return {"log": str(log.pk), "probe": str(log.bath.probe_id), **more}


def test_a_plain_file_is_previewed_and_imported(as_cook, log, site):
    page = upload(as_cook, lines("63.8", "64.0", "64.1"))
    assert page.status_code == 302
    assert not BathReading.objects.exists()
    shown = as_cook.get(page["Location"]).content.decode()
    assert "63.8 °C, Mon 16 Nov 08:00" in shown
    assert "64.1 °C, Mon 16 Nov 08:02" in shown
    assert 'class="chart"' in shown
    assert not BathReading.objects.exists()
    done = as_cook.post(page["Location"], into(log), follow=True)
    assert "3 readings of bath.csv imported into the log of Bath 1." in done.content.decode()
    rows = BathReading.objects.order_by("at")
    assert [each.celsius for each in rows] == [Decimal("63.80"), Decimal("64.00"), Decimal("64.10")]
    assert [each.at for each in rows] == [MORNING + timedelta(minutes=each) for each in range(3)]
    assert all(each.from_file and each.probe == log.bath.probe for each in rows)
    entry = Entry.objects.get(kind="bath.import")
    assert {row.entry for row in rows} == {entry}
    assert say(entry) == "Bath 1: 3 readings from file bath.csv, column temperature (°C)"
    assert entry.said["digest"] == LogFile.objects.get().digest
    assert verify(site).flaw is None


def test_a_new_log_takes_the_span_of_the_file(as_cook, factory):
    bath = factory.bath()
    factory.pass_time(60)
    page = upload(as_cook, lines("60.8", "61.0", "61.2"))
    said = {"log": "new", "bath": bath.pk, "set_point_c": "61", "probe": bath.probe_id, "ended": "on"}
    assert as_cook.post(page["Location"], said).status_code == 302
    (made,) = BathLog.objects.all()
    assert (made.set_point_c, made.started_at) == (Decimal("61.0"), MORNING)
    assert made.ended.happened_at == MORNING + timedelta(minutes=2)
    assert made.readings.count() == 3


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ({"log": "new"}, "Choose the bath."),
        ({"log": "new", "bath": "1"}, "Type the set point of the bath."),
        ({"log": "new", "bath": "1", "set_point_c": "610"}, "the decimal point is missing"),
        ({"log": "999"}, "error-text"),
        ({}, "error-text"),
        ({"log": "new", "bath": "1", "set_point_c": "64"}, "is running. End its log"),
        ({"log": "1", "probe": ""}, "error-text"),
    ],
)
def test_where_it_goes_must_be_said_in_full(as_cook, log, said, asks):
    said = {"probe": log.bath.probe_id} | said
    said |= {"bath": log.bath_id} if "bath" in said else {}
    said |= {"log": log.pk} if said.get("log") == "1" else {}
    page = upload(as_cook, lines("63.8", "64.0"))
    before = Entry.objects.count()
    answer = as_cook.post(page["Location"], said)
    assert answer.status_code == 422
    assert asks in answer.content.decode()
    assert Entry.objects.count() == before
    assert not BathReading.objects.exists()


def test_nothing_is_imported_while_a_question_is_open(as_cook, log):
    # 11 December or 12 November, °C or °F: the file does not say.
    page = upload(as_cook, "time;bath\n11/12/2026 08:00;63,9\n11/12/2026 08:10;64,0\n")
    asked = as_cook.get(page["Location"])
    assert "can be read in more than one way" in asked.content.decode()
    assert "does not say in which unit" in asked.content.decode()
    again = as_cook.post(page["Location"], into(log))
    assert again.status_code == 200
    assert "Nothing is guessed" in again.content.decode()
    assert not BathReading.objects.exists()


def test_an_answer_that_was_not_understood_is_asked_again(as_cook, log):
    page = upload(as_cook, "time (s),bath (°C)\n0,63.9\n60,64.0\n")
    for typed in ("", "noon", "2026-13-40T08:00"):
        answer = as_cook.get(page["Location"], {"a-started_at": typed})
        assert "An answer is missing or was not understood." in answer.content.decode()
    start = f"{page['Location']}?a-started_at=2026-11-16T08:05"
    assert as_cook.post(start, into(log)).status_code == 302
    assert BathReading.objects.order_by("at").first().at == MORNING + timedelta(minutes=5)
    assert Entry.objects.get(kind="bath.import").said["answers"] == {"started_at": "2026-11-16T08:05"}


def test_rows_outside_the_log_are_left_out(as_cook, log):
    early = MORNING - timedelta(minutes=2)
    page = upload(as_cook, lines("20", "40", "63.8", "64.0", start=early))
    as_cook.post(page["Location"], into(log))
    assert [each.celsius for each in BathReading.objects.order_by("at")] == [Decimal("63.8"), Decimal("64.0")]


def test_a_file_of_another_time_is_refused(as_cook, log, factory):
    end_bath(bath_log=log, hand=factory.hand())
    page = upload(as_cook, lines("63.8", "64.0", start=MORNING - timedelta(days=1)))
    text = as_cook.get(page["Location"]).content.decode()
    assert f'value="{log.pk}"' not in text.split("Into which bath log")[1].split('name="bath"')[0]
    assert as_cook.post(page["Location"], into(log)).status_code == 422
    assert not BathReading.objects.exists()


def test_readings_that_have_not_come_yet_are_refused(as_cook, log):
    page = upload(as_cook, lines("63.8", "64.0", start=MORNING + timedelta(days=1)))
    answer = as_cook.post(page["Location"], into(log))
    assert answer.status_code == 422
    assert not BathReading.objects.exists()
    said = {"log": "new", "bath": log.bath_id, "set_point_c": "64", "probe": log.bath.probe_id}
    answer = as_cook.post(page["Location"], said)
    assert "has not come yet" in answer.content.decode()
    assert BathLog.objects.count() == 1


def test_the_same_readings_are_taken_once(as_cook, log):
    first = upload(as_cook, lines("63.8", "64.0"))
    as_cook.post(first["Location"], into(log))
    answer = as_cook.post(first["Location"], into(log))
    assert "All readings of this file are in that log already." in answer.content.decode()
    longer = upload(as_cook, lines("63.8", "64.0", "64.1"), "longer.csv")
    as_cook.post(longer["Location"], into(log))
    assert BathReading.objects.count() == 3
    assert Entry.objects.filter(kind="bath.import").order_by("-seq").first().said["rows"] == 1
    other = upload(as_cook, lines("63.8", "61.0"), "other.csv")
    answer = as_cook.post(other["Location"], into(log))
    assert "says other than one imported before" in answer.content.decode()
    assert BathReading.objects.count() == 3


def test_a_form_that_is_sent_twice_imports_once(as_cook, log):
    page = upload(as_cook, lines("63.8", "64.0"))
    said = into(log, entry_id="01936f3c-0000-7000-8000-000000000002")
    assert as_cook.post(page["Location"], said).status_code == 302
    assert as_cook.post(page["Location"], said).status_code == 302
    assert BathReading.objects.count() == 2


def test_an_import_that_was_wrong_is_withdrawn_with_its_reason_and_can_be_made_again(as_cook, log, factory):
    page = upload(as_cook, lines("63.8", "64.0"))
    as_cook.post(page["Location"], into(log))
    entry = Entry.objects.get(kind="bath.import")
    correct(entry.pk, None, reason="wrong bath", hand=factory.hand())
    assert not standing(BathReading.objects.all()).exists()
    assert BathReading.objects.count() == 2
    assert as_cook.post(page["Location"], into(log)).status_code == 302
    assert standing(BathReading.objects.all()).count() == 2


def test_a_stop_of_the_logger_parts_the_rows(as_cook, log):
    text = (
        lines("63.8", "64.0")
        + "Logging stopped;\n"
        + lines("63.0", "63.5", start=MORNING + timedelta(minutes=9))
    )
    page = upload(as_cook, text)
    as_cook.post(page["Location"], into(log))
    moments = list(BathReading.objects.order_by("at").values_list("at", flat=True))
    gap = max(pairwise(moments), key=lambda pair: pair[1] - pair[0])
    parted = list(LogBreak.objects.values_list("at", flat=True))
    assert parted
    assert all(gap[0] < each <= gap[1] for each in parted)


def test_a_stranger_finds_neither_file_nor_log(client, cook, stranger, log):
    client.force_login(cook)
    page = upload(client, lines("63.8", "64.0"))
    client.force_login(stranger)
    assert client.get(page["Location"]).status_code == 404
    assert client.post(page["Location"], into(log)).status_code == 404
    # The same bytes brought by the other kitchen are its own file there.
    own = upload(client, lines("63.8", "64.0"))
    assert client.get(own["Location"]).status_code == 200
    assert client.post(own["Location"], into(log)).status_code == 422
    assert LogFile.objects.count() == 2
    assert not BathReading.objects.exists()


def test_the_moments_of_a_file_are_on_the_kitchens_clock(as_cook, factory, site):
    site.timezone = "America/New_York"
    site.save()
    bath = factory.bath()
    factory.now = datetime(2026, 11, 16, 20, 0, tzinfo=UTC)
    page = upload(as_cook, "time;bath (°C)\n2026-11-16 08:00;64.0\n2026-11-16 08:01;64.0\n")
    said = {"log": "new", "bath": bath.pk, "set_point_c": "64", "probe": bath.probe_id}
    as_cook.post(page["Location"], said)
    assert BathReading.objects.order_by("at").first().at == datetime(2026, 11, 16, 13, 0, tzinfo=UTC)
