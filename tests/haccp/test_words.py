"""The words by which rows are chosen: one list, whoever uses them, each with a meaning and a use."""

from __future__ import annotations

import pytest

from haccp.limits import all_limits
from haccp.targets import targets
from haccp.words import ATTRIBUTES, VOCABULARY
from kitchen.larder.receiving import NATURES, STATES
from kitchen.methods.words import ATTRIBUTES as OF_A_METHOD


@pytest.mark.parametrize("name", VOCABULARY)
def test_every_word_has_a_meaning_and_no_two_have_one(name):
    meanings = list(VOCABULARY[name].values())
    assert all(each and each == each.strip() for each in meanings)
    assert len(set(meanings)) == len(meanings)


def test_every_attribute_has_a_meaning_and_no_two_have_one():
    assert all(ATTRIBUTES.values())
    assert len(set(ATTRIBUTES.values())) == len(ATTRIBUTES)


def test_the_forms_of_the_kitchen_offer_words_of_the_list_and_no_others():
    offered = {*OF_A_METHOD, *(word for word, _ in (*NATURES, *STATES))}
    assert offered - ATTRIBUTES.keys() == {"ambient"}, "a lot at room temperature triggers no row"


def test_the_targets_of_the_cook_use_words_of_the_list():
    used = {word for each in targets().values() for word in each.applies | each.any_of | each.unless}
    assert used <= ATTRIBUTES.keys()


def test_no_attribute_is_listed_that_nothing_uses():
    used = {word for each in all_limits() for word in each.applies | each.any_of | each.unless}
    used |= {word for each in targets().values() for word in each.applies | each.any_of | each.unless}
    assert sorted(ATTRIBUTES.keys() - used - OF_A_METHOD.keys()) == []


@pytest.mark.parametrize("name", VOCABULARY)
def test_no_word_of_a_field_is_listed_that_no_row_uses(name):
    used = {getattr(each, name) for each in all_limits()}
    assert sorted(VOCABULARY[name].keys() - used) == []
