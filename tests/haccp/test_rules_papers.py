"""Papers: acid and other figures of a laboratory, records, suppliers, duties in words, allergens.

Sources: Regulation (EC) 2073/2005 Annex I (histamine; pH 5.0 with a water activity of 0.94); Regulation (EU)
1169/2011 Annex II (fourteen allergens; sulphites over 10 mg/kg); FDA Food Code 3-502.11 and 3-502.12(B).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from haccp.allergens import lists, named
from haccp.assess import assess
from haccp.record import (
    AllergenSheet,
    Allowance,
    Approval,
    Assay,
    Cure,
    Delivery,
    DutyTold,
    Keeping,
    Outcome,
)
from haccp.rules.acidity import check_acidity
from haccp.rules.allergens import check_declared, check_triggers
from haccp.rules.assays import check_assays
from haccp.rules.duties import check_told, check_variance
from haccp.rules.keeping import check_kept
from haccp.rules.trace import check_back
from tests.haccp.kitchen_log import DAY, METHOD, at, batch, of, rules

MEETS, REVIEW, UNPROVEN, FAILS = Outcome


def told(regime: str = "UK", words: tuple[str, ...] = ("whole muscle",), **facts: object):
    """A batch and the rules of a regime."""
    return batch(regime=regime, method=replace(METHOD, attributes=frozenset(words)), **facts), rules(regime)


# -- figures of a meter -----------------------------------------------------------------------------------


def test_acid_is_asked_only_of_food_that_rests_on_it():
    sour = (Assay("pH", 6.5, at(0)),)
    assert check_acidity(*told(assays=sour)) == []
    [found] = check_acidity(*told(words=("barrier",), assays=sour))
    assert found.outcome == FAILS


def test_one_way_of_several_is_enough_and_nothing_measured_is_unproven():
    dry = (Assay("pH", 6.5, at(0)), Assay("water_activity", 0.95, at(0)))
    [found] = check_acidity(*told(words=("barrier",), assays=dry))
    assert (found.limit, found.outcome) == ("UK-VP-AW", MEETS)
    assert [each.outcome for each in check_acidity(*told(words=("barrier",)))] == [UNPROVEN]


def test_two_figures_that_are_asked_together_are_both_to_be_met():
    """pH 5.0 does only together with a water activity of 0.94."""
    for water, outcome in ((0.94, MEETS), (0.95, FAILS)):
        both = (Assay("pH", 5.0, at(0)), Assay("water_activity", water, at(0)))
        found = [
            e for e in check_acidity(*told("EU", ("barrier",), assays=both)) if e.limit.startswith("EU-LM")
        ]
        assert [each.outcome for each in found] == [outcome]


def test_the_worst_of_several_readings_counts_and_an_unchecked_meter_proves_nothing():
    pair = (Assay("pH", 4.4, at(0)), Assay("pH", 5.2, at(5)))
    assert [each.outcome for each in check_acidity(*told(words=("barrier",), assays=pair))] == [FAILS]
    unchecked = (Assay("pH", 4.4, at(0), checked=False),)
    assert [each.outcome for each in check_acidity(*told(words=("barrier",), assays=unchecked))] == [UNPROVEN]
    coarse = (Assay("pH", 4.9, at(0), tolerance=0.2),)
    assert [each.outcome for each in check_acidity(*told(words=("barrier",), assays=coarse))] == [UNPROVEN]


@pytest.mark.parametrize(("mg_kg", "outcome"), [(100, MEETS), (101, REVIEW), (200, REVIEW), (201, FAILS)])
def test_histamine_has_two_figures(mg_kg, outcome):
    """Regulation (EC) 2073/2005, 1.26: m = 100, M = 200 mg/kg; between them some samples may lie."""
    found = check_assays(*told("EU", ("fish", "scombroid"), assays=(Assay("histamine", mg_kg, at(0)),)))
    assert [each.outcome for each in found] == [outcome]
    assert check_assays(*told("EU", ("fish",), assays=(Assay("histamine", mg_kg, at(0)),))) == []


# -- records and suppliers --------------------------------------------------------------------------------


def test_records_are_kept_for_the_longest_time_that_is_asked_and_silence_says_nothing():
    assert check_kept(*told()) == []
    # UK good practice: the life of the product and twelve months on top.
    assert [e.outcome for e in check_kept(*told(keeping=Keeping(12.0)))] == [REVIEW]
    assert [e.outcome for e in check_kept(*told(keeping=Keeping(13.0)))] == [MEETS]


def test_a_lot_without_its_supplier_is_found_and_lots_that_were_not_gathered_are_not():
    lot = Delivery("L1", "lamb", at(-600), frozenset({"raw", "red meat"}))
    assert check_back(*told(deliveries=(lot,))) == []
    [found] = check_back(
        *told(
            "EU", deliveries=(replace(lot, supplier="Fernslack Farm"), replace(lot, lot="L2", supplier=" "))
        )
    )
    assert (found.limit, found.outcome) == ("EU-TRACE-18", REVIEW)
    assert "L2" in found.sentence
    assert "L1" not in found.sentence


# -- duties -----------------------------------------------------------------------------------------------


def test_the_newest_word_on_a_duty_counts_and_a_duty_of_another_law_does_not():
    words = (
        DutyTold("UK-DUALVP", False, at(-60)),
        DutyTold("UK-DUALVP", True, at(0)),
        DutyTold("EU-THAW", False, at(0)),
    )
    assert [(e.limit, e.outcome) for e in check_told(*told(duties=words))] == [("UK-DUALVP", MEETS)]


APPROVED = Approval("County health", "HV-17", date(2026, 1, 5), (Allowance("USFDA-VARIANCE-CURE"),))


@pytest.mark.parametrize(
    ("approvals", "outcome"),
    [
        ((), UNPROVEN),
        ((APPROVED,), MEETS),
        ((replace(APPROVED, until=date(2026, 3, 2)),), UNPROVEN),  # ran out the day before
        ((replace(APPROVED, until=DAY),), MEETS),
        ((replace(APPROVED, day=date(2026, 3, 4)),), UNPROVEN),  # granted the day after
        ((replace(APPROVED, dish="Pork belly"),), UNPROVEN),
        ((replace(APPROVED, scope=frozenset({"poultry"})),), UNPROVEN),
        ((replace(APPROVED, allows=(Allowance("USFDA-COLD-5"),)),), UNPROVEN),
    ],
)
def test_curing_in_a_kitchen_needs_a_variance(approvals, outcome):
    cure = Cure("cure A", "dry cured", at(0), 10.0, 1000.0, 0.6)
    record, ruleset = told("US-FDA", ("whole muscle",), cures=(cure,), approvals=approvals)
    assert [each.outcome for each in check_variance(record, ruleset)] == [outcome]


def test_food_that_is_not_cured_needs_none():
    assert check_variance(*told("US-FDA")) == []


# -- allergens --------------------------------------------------------------------------------------------


def lot(*allergens: str, code: str = "L1") -> Delivery:
    return Delivery(code, "food", at(-600), frozenset(), allergens=frozenset(allergens))


def declared(*words: str, lots: tuple[Delivery, ...], label=None, regime: str = "UK", material: str = "lamb"):
    record, ruleset = told(regime, deliveries=lots, allergens=AllergenSheet(frozenset(words), label))
    return check_declared(replace(record, method=replace(record.method, material=material)), ruleset)


def test_what_a_lot_brings_the_dish_declares_whatever_it_is_called():
    assert [e.outcome for e in declared("Soya", "milk", lots=(lot("soy sauce", "Butter"),))] == [MEETS]
    [found] = declared("milk", lots=(lot("milk"), lot("wheat flour", code="L2")))
    assert (found.limit, found.outcome) == ("UK-ALLERGEN-14", FAILS)
    assert "cereals containing gluten (from lot L2)" in found.sentence


def test_a_word_on_no_list_is_reviewed_and_the_food_itself_counts():
    assert [e.outcome for e in declared(lots=(lot("annatto"),))] == [REVIEW]
    [found] = declared(lots=(), material="lean_fish")
    assert (found.outcome, "fish (from the food itself)" in found.sentence) == (FAILS, True)


def test_a_label_declares_it_too_where_there_is_one():
    [found] = declared("milk", lots=(lot("milk"),), label=frozenset())
    assert (found.outcome, "The label does not declare milk" in found.sentence) == (FAILS, True)


def test_an_allergen_that_a_law_does_not_list_is_not_asked_there():
    """Celery is one of the fourteen and none of the nine."""
    assert [e.outcome for e in declared(lots=(lot("celery"),))] == [FAILS]
    assert [e.outcome for e in declared(lots=(lot("celery"),), regime="US-FDA")] == [MEETS]


def test_without_the_list_of_the_dish_nothing_is_judged():
    assert check_declared(*told(deliveries=(lot("milk"),))) == []


def test_the_lists_have_as_many_names_as_the_law_counts():
    counts = {limit: len(each.allergens) for each in lists() for limit in each.limits}
    for key in ("UK-ALLERGEN-14", "EU-ALLERGEN-14"):
        assert counts[key] == rules(key.split("-")[0]).limit(key).amount.value
    assert counts["USFDA-ALLERGEN-9"] == rules("US-FDA").limit("USFDA-ALLERGEN-9").amount.value
    assert named(["None", " Milk. ", "annatto"]) == {"milk", "annatto"}


@pytest.mark.parametrize(
    ("regime", "quantity", "mg_kg", "found"),
    [
        ("UK", "sulphur_dioxide", 10, []),  # over 10: at 10 the duty has not begun
        ("UK", "sulphur_dioxide", 10.1, [FAILS]),
        ("AU-NZ", "sulphite", 9.9, []),
        ("AU-NZ", "sulphite", 10, [FAILS]),  # at or above
    ],
)
def test_sulphites_are_declared_from_a_figure_on(regime, quantity, mg_kg, found):
    record, ruleset = told(regime, assays=(Assay(quantity, mg_kg, at(0)),))
    assert [each.outcome for each in check_triggers(record, ruleset)] == found
    said = replace(record, allergens=AllergenSheet(frozenset({"sulphites"})))
    assert {each.outcome for each in check_triggers(said, ruleset)} <= {MEETS}


# -- an approval in an assessment -------------------------------------------------------------------------


def test_a_longer_life_holds_only_with_the_approval_and_is_said_with_it():
    """Five days by the cook-chill guidelines; the method of this kitchen keeps seven, approved."""
    longer = Approval(
        "Seamoor council", "FS/88", date(2026, 2, 1), (Allowance("UK-CCH-LIFE", value=7.0),), entry="a1"
    )
    method = replace(METHOD, life_days=7)
    plain = batch(method=method, seen=6 * 1440.0)
    without = of(assess(plain, rules()), "store.use_by")
    assert [(each.limit, each.outcome) for each in without] == [("UK-CCH-LIFE", FAILS)]
    [found] = of(assess(replace(plain, approvals=(longer,)), rules()), "store.use_by")
    assert found.outcome == MEETS
    for part in ("9 March 2026", "Printed is 5 days", "Approved by Seamoor council, FS/88, 1 February 2026."):
        assert part in found.sentence
    assert found.entries[-1] == "a1"
    assert assess(replace(plain, approvals=(longer,)), rules()).ruleset_digest == rules().digest


def test_a_figure_that_a_limit_does_not_print_covers_nothing():
    wrong = Approval(
        "Seamoor council",
        "FS/88",
        date(2026, 2, 1),
        (Allowance("UK-CCH-LIFE", hold=3.0), Allowance("UK-DUALVP", 2.0)),
    )
    [found] = of(assess(batch(approvals=(wrong,)), rules()), "store.use_by")
    assert "Approved" not in found.sentence
