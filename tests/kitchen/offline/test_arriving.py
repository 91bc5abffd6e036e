"""Entries of an outbox arrive: once each, at the moment at which they were made, in any company."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from kitchen.base.ids import new_id
from kitchen.cooking.models import BagIn, BathReading
from kitchen.ledger.models import Entry, standing
from kitchen.ledger.verification import verify
from kitchen.review import trail
from kitchen.review.held import Arrival, Held
from tests.kitchen.offline.tablet import FakeTablet


def test_a_reading_lands_at_the_moment_at_which_it_was_made(tablet, log, on_time):
    probe = log.bath.probe.pk
    tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=10, celsius="63.8", probe=probe)
    made = on_time.now
    on_time.pass_time(120)
    assert tablet.answers() == [("taken", "Bath 1 at 63.8 °C kept: in its band.")]
    reading = BathReading.objects.latest("pk")
    assert (reading.celsius, reading.at) == (Decimal("63.8"), made)
    assert reading.entry.recorded_at == on_time.now
    assert reading.entry.person == on_time.cook


def test_a_resend_is_known_and_adds_nothing(tablet, log, on_time):
    tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=10, celsius="63.8", probe=log.bath.probe.pk)
    tablet.answers()
    before = Entry.objects.count()
    assert [what for what, _ in tablet.answers()] == ["had"]
    assert Entry.objects.count() == before
    assert verify(on_time.site).flaw is None


def test_the_same_id_with_other_content_is_held_and_changes_nothing(tablet, log):
    entry = tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=1, celsius="63.8", probe=log.bath.probe.pk)
    tablet.answers()
    other = {**entry, "fields": {**entry["fields"], "celsius": ["64.4"]}}
    what, why = tablet.answers([other])[0]
    assert what == "held"
    assert "said something else" in why
    assert [str(each.celsius) for each in BathReading.objects.order_by("pk")][-1] == "63.80"
    assert tablet.answers([other])[0][0] == "held"
    assert Held.objects.count() == 1


def test_an_answer_that_was_lost_online_is_no_second_entry(tablet, log, as_cook, on_time):
    """The form went by its own address, the answer was lost, and the tablet sends it by the outbox."""
    address = f"/bench/logs/{log.pk}/read/"
    entry = tablet.keep(address, minutes=3, celsius="63.8", probe=log.bath.probe.pk)
    as_cook.post(address, {"entry_id": entry["id"], "celsius": "63.8", "probe": log.bath.probe.pk})
    assert [what for what, _ in tablet.answers()] == ["had"]
    assert [what for what, _ in tablet.answers()] == ["had"]
    assert BathReading.objects.count() == 2
    assert Arrival.objects.count() == 1


def test_steps_of_bags_land_in_one_sending(tablet, batch, log):
    base = f"/bench/{batch.code}"
    tablet.keep(f"{base}/in/", minutes=2, bags=["1", "2"], bath_log=log.pk)
    tablet.keep(f"{base}/out/", minutes=185, bags=["1", "2"])
    assert [what for what, _ in tablet.answers()] == ["taken", "taken"]
    assert standing(BagIn.objects.all()).count() == 2


def test_a_bag_that_was_sealed_offline_is_named_by_its_sealing(tablet, batch, log):
    base = f"/bench/{batch.code}"
    sealing = tablet.keep(f"{base}/seal/", minutes=2, count="2", thickness_mm="24", start_c="4")
    tablet.keep(f"{base}/in/", minutes=2, bags=[f"{sealing['id']}.1", "1"], bath_log=log.pk)
    tablet.keep(f"{base}/in/", minutes=2, bags=[f"{sealing['id']}.7"], bath_log=log.pk)
    answers = tablet.answers()
    assert [what for what, _ in answers] == ["taken", "taken", "held"]
    assert answers[2][1] == "The sealing of its bags has not arrived."
    assert set(BagIn.objects.values_list("bag__number", flat=True)) == {1, 5}


def test_a_clock_one_hour_ahead_is_put_right_and_shown(as_cook, on_time, batch, log):
    tablet = FakeTablet(as_cook, on_time, ahead=timedelta(hours=1))
    tablet.keep(f"/bench/{batch.code}/in/", minutes=2, bags=["1"], bath_log=log.pk)
    made = on_time.now
    on_time.pass_time(30)
    assert tablet.answers()[0][0] == "taken"
    assert BagIn.objects.get().at == made
    line = next(line for line in trail.lines(batch) if line.entry.kind == "bags.in")
    assert line.note == (
        "kept on By the baths without network; its clock was 60 min ahead, which is put right here"
    )
    assert line.late == ""


def test_a_clock_that_was_moved_meanwhile_is_shown(tablet, batch, log, on_time):
    tablet.keep(f"/bench/{batch.code}/in/", minutes=2, bags=["1"], bath_log=log.pk)
    tablet.ahead = timedelta(minutes=-20)
    tablet.answers()
    assert "moved by 20 min before it was sent" in Arrival.objects.get().words


def test_a_time_that_has_not_come_is_held(tablet, log):
    entry = tablet.keep(f"/bench/logs/{log.pk}/read/", celsius="63.8", probe=log.bath.probe.pk)
    ahead = {**entry, "id": str(new_id()), "ahead_ms": -3_600_000}
    what, why = tablet.answers([ahead])[0]
    assert what == "held"
    assert "has not come yet" in why


def test_a_time_before_the_batch_is_held(tablet, batch, log):
    at = "2026-11-16T07:30"
    tablet.keep(
        f"/bench/{batch.code}/core/", bag="1", step="cook", celsius="55", probe=log.bath.probe.pk, at=at
    )
    what, why = tablet.answers()[0]
    assert what == "held"
    assert "before its batch was begun" in why


def test_what_was_done_is_not_asked_about_afterwards(tablet, batch, log):
    """Out before the hold is proven: a page asks before; afterwards the rules judge what was done."""
    base = f"/bench/{batch.code}"
    tablet.keep(f"{base}/in/", minutes=2, bags=["1"], bath_log=log.pk)
    tablet.keep(f"{base}/out/", minutes=20, bags=["1"])
    assert [what for what, _ in tablet.answers()] == ["taken", "taken"]


def test_a_doubtful_figure_is_held_with_its_question(tablet, log):
    tablet.keep(f"/bench/logs/{log.pk}/read/", minutes=1, celsius="6.4", probe=log.bath.probe.pk)
    what, why = tablet.answers()[0]
    assert what == "held"
    assert "64" in why
    assert BathReading.objects.count() == 1
