"""Facts told round the cook: nothing told is nothing, and none of them can be changed afterwards."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields, is_dataclass

import pytest

from haccp import facts, record
from haccp.facts import AllergenSheet, Keeping
from tests.haccp.kitchen_log import bag, batch


def test_record_offers_every_fact_under_the_same_name():
    assert [name for name in facts.__all__ if getattr(record, name, None) is not getattr(facts, name)] == []


def test_every_fact_is_frozen_and_says_what_it_is():
    for name in facts.__all__:
        kind = getattr(facts, name)
        assert is_dataclass(kind)
        assert kind.__doc__
        assert kind.__dataclass_params__.frozen
    with pytest.raises(FrozenInstanceError):
        Keeping(12.0).months = 6.0  # type: ignore[misc]


def test_a_record_of_which_nothing_more_was_told_has_no_such_fact():
    plain = batch(bag())
    own = {"RawHold", "Thaw", "Cure", "Assay", "Freezing", "DutyTold", "Approval"}
    told = [each.name for each in fields(plain) if any(kind in str(each.type) for kind in own)]
    assert told
    assert all(getattr(plain, name) == () for name in told)


def test_no_label_is_not_an_empty_label():
    assert AllergenSheet(frozenset({"milk"})).label is None
    assert AllergenSheet(frozenset({"milk"}), frozenset()).label == frozenset()
