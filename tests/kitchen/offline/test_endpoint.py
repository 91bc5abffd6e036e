"""Whatever is sent to the outbox: an answer for each entry, never a fault, nothing of another kitchen."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitchen.base.ids import new_id
from kitchen.cooking.models import BathReading
from kitchen.ledger.models import Entry
from kitchen.offline.replay import FORMS
from kitchen.offline.sent import MOST_ENTRIES
from kitchen.review.held import Held
from kitchen.urls import urlpatterns


def test_signed_out_the_tablet_is_told_to_sign_in(client, db):
    answer = client.post("/outbox/", "{}", content_type="application/json")
    assert answer.status_code == 401
    assert "Sign in" in answer.json()["error"]


@pytest.mark.parametrize(
    "body",
    [
        *(
            "",
            "{",
            "null",
            "[]",
            "7",
            '{"entries": 3}',
            '{"entries": []}',
            '{"entries": [], "sent_at": "noon"}',
        ),
        *('{"entries": [], "sent_at": "2026-11-16T08:00:00"}', "[" * 100_000),
    ],
    ids=range(10),
)
def test_what_is_no_outbox_is_refused_in_words(as_cook, body):
    answer = as_cook.post("/outbox/", body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["error"]


def test_too_many_at_once_and_too_much_at_once_are_refused(tablet, log):
    entry = tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    assert tablet.send([entry] * (MOST_ENTRIES + 1)).status_code == 400
    assert tablet.send([{**entry, "words": "x" * 3_000_000}]).status_code == 400
    assert BathReading.objects.count() == 1


WRONG = {
    "id": [7, None, "x", ["a"]],
    "address": [None, 5, "/" * 300, "/bench/\x00/", "\ud800"],
    "fields": [None, [], {"celsius": "63"}, {"celsius": [63]}, {"celsius": ["x" * 3000]}, {"a": [["b"]]}],
    "tablet_time": ["", "noon", 5, "2026-11-16T08:00:00", "0001-01-01T00:00:00+14:00"],
    "ahead_ms": ["0", 1.5, None, True, 10**30, -(10**14)],
    "by": [None, 3, "x" * 99],
    "token": [None, 5],
    "sealed": [None, {}],
    "tablet": [None, "x" * 99],
    "words": [3],
}


@pytest.mark.parametrize("name", WRONG)
def test_an_entry_of_the_wrong_make_is_refused_and_the_next_is_taken(tablet, log, name):
    entry = tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    wrong = [{**entry, "id": str(new_id()), name: value} for value in WRONG[name]]
    missing = {key: value for key, value in entry.items() if key != name}
    answers = tablet.answers([*wrong, missing, "no entry", None, entry])
    assert {what for what, _ in answers[:-1]} == {"refused"}
    assert answers[-1][0] == "taken"


@pytest.mark.parametrize(
    "address",
    [
        *(
            "/larder/people/new/",
            "/sign-out/",
            "/outbox/",
            "/pass/",
            "/nowhere/",
            "bench",
            "",
            "//x.example/",
        ),
        *("/bench/XX-1/in/", "/bench/logs/999/read/", "/larder/methods/new/", "/bench/%00/in/"),
    ],
)
def test_an_address_that_no_tablet_keeps_is_held_and_never_run(tablet, address):
    before = Entry.objects.count()
    tablet.keep(address, name="x", code="y", cook_code="9876")
    what, why = tablet.answers()[0]
    assert what == "held"
    assert why
    assert set(Entry.objects.order_by("seq").values_list("kind", flat=True)[before:]) == {"held"}


def test_ids_of_another_kitchen_are_held(tablet, log, batch, on_time):
    """The stranger's tablet names things of this kitchen, and this kitchen's entries."""
    tablet.client.force_login(on_time.stranger)
    tablet.who, tablet.token = on_time.stranger, ""
    tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    tablet.keep(f"/bench/{batch.code}/in/", bags=["1"], bath_log=log.pk)
    used = tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    used["id"] = str(Entry.objects.filter(kind="bath.read").first().pk)
    used["fields"]["entry_id"] = [used["id"]]
    assert {what for what, _ in tablet.answers()} == {"held"}
    assert BathReading.objects.count() == 1
    assert {each.site for each in Held.objects.all()} == {on_time.other_site}
    assert {each.batch for each in Held.objects.all()} == {None}


def test_every_form_that_is_kept_has_an_address():
    names = {pattern.name for room in urlpatterns[1:] for pattern in room.url_patterns}
    assert names >= FORMS


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_json_gets_an_answer(data, tablet, log):
    """Hypothesis looks for a part that makes the server fail."""
    good = {
        **tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk),
        "id": str(new_id()),
    }
    name = data.draw(st.sampled_from(sorted(good)))
    entry = {**good, name: data.draw(json_values)}
    answer = tablet.send([entry])
    assert answer.status_code == 200
    assert len(json.loads(answer.content)["answers"]) == 1


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    fields=st.dictionaries(
        st.sampled_from(["bags", "bath_log", "at", "sure", "fold"]),
        st.lists(st.text(max_size=20), max_size=3),
    )
)
def test_any_fields_get_an_answer(fields, tablet, batch):
    entry = tablet.keep(f"/bench/{batch.code}/in/")
    entry["fields"] |= fields
    assert tablet.answers([entry])[0][0] in ("taken", "held", "refused")
