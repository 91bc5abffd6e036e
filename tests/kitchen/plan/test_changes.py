"""Differences of two contents, in words."""

from __future__ import annotations

import pytest

from kitchen.plan.changes import Change, changes
from kitchen.plan.parts import item


def content(**parts):
    """A content of these parts alone."""
    return {"plan": parts}


def limit(figure):
    """A limit with a figure."""
    return item("L-1", "Store", [("Figure", figure)])


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ([], [limit("3 °C")], ["Store: new."]),
        ([limit("3 °C")], [], ["Store: no longer in the plan."]),
        ([limit("3 °C")], [limit("5 °C")], ["Store, figure: 3 °C → 5 °C"]),
        ([limit("")], [limit("5 °C")], ["Store, figure: now 5 °C"]),
        ([limit("3 °C")], [limit("")], ["Store, figure: no longer 3 °C"]),
        ([limit("3 °C")], [limit("3 °C")], []),
    ],
    ids=["new", "gone", "other", "given", "taken", "same"],
)
def test_items_by_their_key(before, after, words):
    assert [each.words for each in changes(content(limits=before), content(limits=after))] == words


def test_sentences_that_come_and_go():
    found = changes(content(scope=["a", "b"]), content(scope=["b", "c"]))
    assert found == [Change("Scope", "No longer: a"), Change("Scope", "New: c")]


def test_what_lies_inside_a_family_is_named_with_it():
    def family(*steps):
        return item("k", "Fish", [], way=list(steps))

    cook = item("cook", "Cook", [], point="CCP 1")
    uncritical = item("cook", "Cook", [], point="")
    found = changes(content(families=[family(uncritical)]), content(families=[family(cook)]))
    assert [each.words for each in found] == ["Fish: step Cook: now CCP 1"]


def test_a_change_of_sources_alone_is_not_hidden():
    found = changes(content(sources=[item("a", "A", [])]), content(sources=[]))
    assert found == [Change("Sources", "Other sources, or other words of the same plan.")]
