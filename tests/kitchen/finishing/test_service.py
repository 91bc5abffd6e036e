"""Kept hot or out at room temperature: the stay, its readings, both in one go."""

import pytest

from kitchen.finishing.models import KeptForService, ServiceReading
from tests.kitchen.bench.sending import count, kept, send, words

pytestmark = pytest.mark.usefixtures("on_time")


def test_a_stay_and_its_first_reading_are_two_entries_kept_once(as_cook, factory):
    batch = factory.chilled(bags=1)
    probe = factory.checked_probe("Needle")
    factory.pass_time(60)
    address = f"/bench/{batch.code}/hot-hold/"
    assert "Hot hold" in words(as_cook.get(address))
    typed = {"bags": [1], "how": "hot", "celsius": "66", "probe": probe.pk}
    assert "Bag 1: kept hot." in kept(as_cook, send(as_cook, address, twice=True, **typed))
    assert (count("bags.keep"), count("bags.keep.read")) == (1, 1)
    factory.pass_time(30)
    again = {**typed, "how": "read", "celsius": "65"}
    assert "Bag 1: read." in kept(as_cook, send(as_cook, address, twice=True, **again))
    assert (KeptForService.objects.count(), ServiceReading.objects.count()) == (1, 2)


@pytest.mark.parametrize(
    ("typed", "why"),
    [({"how": "read"}, "Type the temperature"), ({"how": "hot", "celsius": "66"}, "Say which probe")],
)
def test_a_reading_without_figure_or_probe_is_refused(as_cook, factory, typed, why):
    batch = factory.chilled(bags=1)
    answer = send(as_cook, f"/bench/{batch.code}/hot-hold/", bags=[1], **typed)
    assert (answer.status_code, why in words(answer)) == (422, True)


def test_room_temperature_says_whether_it_is_served_cold_or_hot(as_cook, factory):
    batch = factory.chilled(bags=1)
    answer = send(as_cook, f"/bench/{batch.code}/hot-hold/", bags=[1], how="cold out", marked="on")
    assert "Bag 1: out at room temperature." in kept(as_cook, answer)
    stay = KeptForService.objects.get()
    assert (stay.kind, stay.served_as, stay.marked) == ("ambient", "served cold", True)
