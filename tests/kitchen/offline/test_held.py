"""Held entries: in sight, in the way of a signature, settled by entering them right or setting them aside."""

from __future__ import annotations

import pytest

from kitchen.cooking.models import BagIn, BagOut, BathLog, BathReading
from kitchen.ledger.models import Entry
from kitchen.ledger.verification import verify
from kitchen.review import trail
from kitchen.review.actions import hindrances
from kitchen.review.assessing import refresh
from kitchen.review.held import Held, unsettled


@pytest.fixture
def doubtful(tablet, log):
    """A reading of 6.4 °C in a bath at 64 °C, held with its question."""
    tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=5, celsius="6.4", probe=log.bath.probe.pk)
    tablet.factory.pass_time(60)
    tablet.answers()
    return Held.objects.get()


def test_all_that_was_said_stands_in_the_chain(doubtful, tablet):
    said = doubtful.entry.said
    assert said["fields"]["celsius"] == ["6.4"]
    assert said["address"] == doubtful.address
    assert said["by"] == "K1"
    assert tablet.token not in doubtful.entry.body


def test_it_stands_on_every_page_until_it_is_settled(doubtful, as_cook, as_chef):
    assert "1 held" in as_cook.get("/bench/").content.decode()
    page = as_chef.get("/held/").content.decode()
    assert "Ben Test" in page
    assert doubtful.words in page


def test_it_is_entered_right_at_the_moment_at_which_it_was_made(doubtful, as_cook, on_time, log):
    address = f"/held/{doubtful.of}/"
    page = as_cook.get(address).content.decode()
    assert 'value="6.4"' in page
    made = doubtful.at.replace(second=0, microsecond=0)
    assert f'value="{made:%Y-%m-%dT%H:%M}"' in page
    sent = {"celsius": "64.0", "probe": log.bath.probe.pk, "at": f"{made:%Y-%m-%dT%H:%M}"}
    assert as_cook.post(address, sent).status_code == 302
    reading = BathReading.objects.latest("pk")
    assert (str(reading.celsius), reading.at, reading.entry_id) == ("64.00", made, doubtful.of)
    assert unsettled(on_time.site).count() == 0
    assert "held" not in as_cook.get("/bench/").content.decode().split("<main")[0].split("rooms")[-1]
    assert as_cook.get(address).status_code == 404
    assert verify(on_time.site).flaw is None


def test_a_doubtful_value_is_kept_when_it_is_confirmed(doubtful, as_cook, log):
    address = f"/held/{doubtful.of}/"
    sent = {"celsius": "6.4", "probe": log.bath.probe.pk}
    assert as_cook.post(address, sent).status_code == 422
    assert as_cook.post(address, {**sent, "sure": "on"}).status_code == 302
    assert str(BathReading.objects.latest("pk").celsius) == "6.40"


def test_only_the_head_chef_sets_it_aside_and_says_why(doubtful, client, cook, chef):
    address = f"/held/{doubtful.of}/aside/"
    client.force_login(cook)
    assert client.post(address, {"reason": "typed for fun"}).status_code == 403
    client.force_login(chef)
    assert client.post(address, {"reason": " "}).status_code == 422
    assert client.post(address, {"reason": "The probe lay beside the bath."}).status_code == 302
    doubtful.refresh_from_db()
    assert doubtful.withdrawn_by.said["reason"] == "The probe lay beside the bath."
    assert BathReading.objects.count() == 1


def test_a_sending_after_it_is_settled_is_known(doubtful, tablet, as_chef):
    as_chef.post(f"/held/{doubtful.of}/aside/", {"reason": "The probe lay beside the bath."})
    tablet.client.force_login(tablet.who)
    assert [what for what, _ in tablet.answers()] == ["had"]


def test_another_kitchen_sees_nothing_of_it(doubtful, as_stranger):
    assert doubtful.words not in as_stranger.get("/held/").content.decode()
    assert as_stranger.get(f"/held/{doubtful.of}/").status_code == 404
    assert as_stranger.post(f"/held/{doubtful.of}/aside/", {"reason": "x"}).status_code == 404


def test_its_batch_is_not_signed_before_it_is_settled(tablet, batch, log, on_time):
    tablet.keep(f"/bench/{batch.code}/out/", minutes=5, bags=["1"])
    assert tablet.answers()[0][0] == "held"
    assessment = refresh(batch, on_time.now)
    assert "1 held entry waits to be settled." in hindrances(batch, assessment)
    assert [line.entry.kind for line in trail.lines(batch)][-1] == "held"


def test_what_came_too_early_is_taken_when_what_it_waited_for_has_come(tablet, batch, log):
    base = f"/bench/{batch.code}"
    came_in = tablet.keep(f"{base}/in/", minutes=2, bags=["1"], bath_log=log.pk)
    came_out = tablet.keep(f"{base}/out/", minutes=200, bags=["1"])
    assert tablet.answers([came_out])[0][0] == "held"
    assert tablet.answers([came_in])[0][0] == "taken"
    assert BagOut.objects.get().bag.number == 1
    assert [what for what, _ in tablet.answers([came_out])] == ["had"]
    settled = Entry.objects.get(kind="held.settle").said
    assert settled["how"] == "taken after what it waited for"


@pytest.mark.parametrize(
    ("second", "why"),
    [
        (("out", {"bags": ["1"]}), "Bag 1 is in no bath."),
        (("in", {"bags": ["1"]}), "while it was in Bath 1"),
        (("chill", {"bags": ["1"]}), "while it was in Bath 1"),
        (("fridge", {"bags": ["1"]}), "while it was in Bath 1"),
    ],
)
def test_what_another_tablet_says_and_can_not_be_true_is_held(tablet, batch, log, on_time, second, why):
    """The first tablet: in at 10 min, out at 200. The other: something else in between."""
    slug, fields = second
    other_bath = on_time.bath("Bath 2")
    chiller, fridge = on_time.chiller(), on_time.fridge()
    base = f"/bench/{batch.code}"
    tablet.keep(f"{base}/in/", minutes=10, bags=["1"], bath_log=log.pk)
    tablet.keep(f"/bench/baths/{other_bath.pk}/start/", minutes=1, set_point_c="64")
    between = tablet.keep(f"{base}/{slug}/", minutes=60, **fields)
    tablet.keep(f"{base}/out/", minutes=130, bags=["1"])
    first = [each for each in tablet.entries if each is not between]
    assert {what for what, _ in tablet.answers(first)} == {"taken"}
    between["fields"] |= {
        "bath_log": [str(BathLog.objects.get(bath=other_bath).pk)],
        "chiller": [str(chiller.pk)],
        "fridge": [str(fridge.pk)],
    }
    what, said = tablet.answers([between])[0]
    assert what == "held"
    assert why in said
    assert BagIn.objects.count() == BagOut.objects.count() == 1
