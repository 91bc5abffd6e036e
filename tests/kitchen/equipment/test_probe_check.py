"""A probe check through its page: the verdict, the altitude, and what a failed check reaches."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from kitchen.base.refusals import Refused
from kitchen.cooking.actions import read_bath, start_bath
from kitchen.equipment import actions, checking
from kitchen.equipment.models import ProbeCheck
from kitchen.ledger.models import Entry
from kitchen.review import reach

pytestmark = pytest.mark.usefixtures("on_time")
DAY = date(2026, 11, 16)


def check(client, probe, medium, celsius, **more):
    said = {"medium": medium, "celsius": celsius, **more}
    return client.post(f"/larder/probes/{probe.pk}/check/", said)


# The UK band is −1 to 1 °C in ice and 99 to 101 °C in boiling water at sea level: FSA guidance for
# small caterers, from memory; the same band was read in the guidance of Hong Kong's food authority.
@pytest.mark.parametrize(
    ("medium", "celsius", "passes"),
    [
        ("ice", "1", True),
        ("ice", "1.01", False),
        ("ice", "-1", True),
        ("ice", "-1.01", False),
        ("boiling", "99", True),
        ("boiling", "98.99", False),
        ("boiling", "101", True),
        ("boiling", "101.01", False),
    ],
)
def test_the_edges_of_the_band_meet_the_limit(as_cook, factory, medium, celsius, passes):
    probe = factory.probe()
    answer = check(as_cook, probe, medium, celsius)
    assert answer.status_code == 302
    assert answer["Location"] == f"/larder/probes/{probe.pk}/"
    kept = ProbeCheck.objects.get()
    assert kept.passed is passes
    assert kept.limit == {"ice": "UK-PROBE-ICE", "boiling": "UK-PROBE-BOIL"}[medium]
    assert "Food Standards Agency" in kept.sentence


def test_boiling_water_is_expected_cooler_higher_up(as_cook, factory, site):
    # Cooks' rule of thumb, "about 1 °C per 300 m": 1500 m is 5 °C, so 95 °C; common practice, no source.
    site.altitude_m = 1500
    site.save()
    (expected,) = [each for each in checking.expectations(site, DAY) if each.medium == "boiling"]
    assert expected.true_c == pytest.approx(95.0, abs=0.2)
    probe = factory.probe()
    check(as_cook, probe, "boiling", "95.3")
    check(as_cook, probe, "boiling", "99.5")
    assert list(ProbeCheck.objects.order_by("entry__seq").values_list("passed", flat=True)) == [True, False]
    assert "1500 m above the sea" in as_cook.get(f"/larder/probes/{probe.pk}/check/").content.decode()


def test_the_us_accuracy_is_centred_on_what_the_medium_really_is(factory, site):
    # US Food Code 4-203.11: a food thermometer is accurate to ±1 °C.
    site.regime = "US-FDA"
    site.save()
    probe = factory.probe()
    for celsius, passes in (("1.0", True), ("1.1", False), ("-1.0", True), ("-1.1", False)):
        said = {"probe": probe, "medium": "ice", "celsius": Decimal(celsius), "hand": factory.hand(minutes=1)}
        kept = actions.check_probe(**said)
        assert (kept.passed, kept.limit) == (passes, "USFDA-PROBE-FOOD")


def test_a_reading_far_off_is_questioned_and_kept_when_confirmed(as_cook, factory):
    probe = factory.probe()
    answer = check(as_cook, probe, "ice", "32")
    assert answer.status_code == 422
    assert "typed in °F" in answer.content.decode()
    assert not ProbeCheck.objects.exists()
    assert check(as_cook, probe, "ice", "32", sure="on").status_code == 302
    assert ProbeCheck.objects.get().passed is False


@pytest.mark.parametrize(
    "said", [{"at": ""}, {"medium": "ice"}, {"medium": "oil", "celsius": "1"}, {"celsius": "x"}]
)
def test_nothing_is_kept_of_a_check_that_is_not_whole(as_cook, factory, said):
    probe = factory.probe()
    before = Entry.objects.count()
    assert as_cook.post(f"/larder/probes/{probe.pk}/check/", said).status_code == 422
    assert Entry.objects.count() == before


def test_the_check_is_due_a_month_after_the_last(site):
    # FSS catering manual: a "Monthly Probe Thermometer Check" record.
    assert checking.due_after(site, date(2026, 1, 31)) == date(2026, 2, 28)
    assert checking.due_after(site, date(2026, 11, 16)) == date(2026, 12, 16)
    assert checking.due_after(site, date(2027, 12, 1)) == date(2028, 1, 1)


def test_a_failed_check_tells_which_readings_and_batches_are_in_doubt(as_chef, factory):
    bath = factory.bath()
    log = start_bath(bath=bath, set_point_c=Decimal(64), hand=factory.hand())
    factory.read(log, "64.0")
    actions.check_probe(probe=bath.probe, medium="ice", celsius=Decimal("0.2"), hand=factory.hand(minutes=5))
    factory.pass_time(10)
    factory.read(log, "63.9")
    factory.pass_time(10)
    factory.read(log, "64.1")
    factory.pass_time(10)
    page = check(as_chef, bath.probe, "ice", "1.6")
    body = as_chef.get(page["Location"]).content.decode()
    assert "It failed its newest check" in body
    assert "fails the limit of −1.0 °C to 1.0 °C" in body
    found = reach.of_failed(reach.newest_check(bath.probe))
    assert [(each.where, each.count) for each in found.doubted] == [("Bath 1", 2)]
    assert f"/larder/probes/{bath.probe.pk}/retire/" in body


def test_the_batches_that_rest_on_a_failed_probe_are_named_and_the_others_not(as_chef, factory):
    made = factory.cooked()
    probe = made.bags.get().bath_ins.get().bath_log.bath.probe
    other = factory.probe("P9")
    check(as_chef, other, "ice", "2.0")
    check(as_chef, probe, "ice", "2.0")
    text = as_chef.get(f"/larder/probes/{other.pk}/").content.decode()
    assert "It has no good check before" in text
    assert made.code not in text
    text = as_chef.get(f"/larder/probes/{probe.pk}/").content.decode()
    assert "Its last good check was Mon 16 Nov 08:05" in text
    assert made.code in text
    assert 'class="mark unproven"' in text or 'class="mark fails-limits"' in text


def test_a_probe_out_of_use_reads_nothing_until_it_is_back(as_chef, factory):
    bath = factory.bath()
    log = start_bath(bath=bath, set_point_c=Decimal(64), hand=factory.hand())
    assert as_chef.post(f"/larder/probes/{bath.probe.pk}/retire/", {"reason": " "}).status_code == 422
    said = {"reason": "read 1.6 °C in melting ice"}
    assert as_chef.post(f"/larder/probes/{bath.probe.pk}/retire/", said).status_code == 302
    bath.probe.refresh_from_db()
    with pytest.raises(Refused, match="out of use"):
        read_bath(bath_log=log, celsius=Decimal(64), probe=bath.probe, hand=factory.hand())
    assert "out of use" in as_chef.get("/larder/").content.decode()
    assert check(as_chef, bath.probe, "ice", "0.1").status_code == 422
    assert as_chef.post(f"/larder/probes/{bath.probe.pk}/return/", {"reason": "repaired"}).status_code == 302
    assert check(as_chef, bath.probe, "ice", "0.1").status_code == 302
