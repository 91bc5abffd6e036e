"""The canonical form: the same content gives the same bytes, and only those."""

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from uuid import UUID

import pytest

from kitchen.ledger import canonical


def test_keys_are_sorted_and_nothing_is_padded():
    assert canonical.text({"b": 1, "a": [True, None]}) == '{"a":[true,null],"b":1}'


def test_moments_are_told_in_utc():
    here = datetime(2026, 10, 25, 1, 30, tzinfo=timezone(timedelta(hours=1)))
    assert canonical.text(here) == '"2026-10-25T00:30:00.000000Z"'
    assert canonical.moment("2026-10-25T00:30:00.000000Z") == here


def test_a_figure_has_one_spelling():
    assert canonical.text(Decimal("60.00")) == canonical.text(Decimal("60.0")) == '"60"'
    assert canonical.text(Decimal("1E+2")) == '"100"'


@pytest.mark.parametrize("value", [0.1, {"celsius": 60.0}, [1, [2.5]]])
def test_floats_are_refused(value):
    with pytest.raises(TypeError, match="float"):
        canonical.text(value)


def test_a_moment_without_a_zone_is_refused():
    with pytest.raises(TypeError, match="time zone"):
        canonical.text(datetime(2026, 1, 1))  # noqa: DTZ001


def test_other_plain_values():
    assert canonical.plain({"day": date(2026, 1, 2), "id": UUID(int=0), "doubts": {"b", "a"}}) == {
        "day": "2026-01-02",
        "id": "00000000-0000-0000-0000-000000000000",
        "doubts": ["a", "b"],
    }


def test_the_digest_is_sha_256():
    # FIPS 180-4's one-block example: the message "abc".
    assert canonical.digest("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_utf_8_is_what_is_hashed():
    assert canonical.text({"name": "Bœuf"}) == '{"name":"Bœuf"}'
    assert canonical.digest("é") == canonical.digest("\u00e9") != canonical.digest("e")
    assert datetime.now(UTC).tzinfo is UTC
