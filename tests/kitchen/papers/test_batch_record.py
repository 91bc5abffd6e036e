"""What an officer asks, answered from the printed record alone: every fact is read back from the PDF."""

from __future__ import annotations

import re
from decimal import Decimal

from kitchen.equipment.actions import check_probe
from kitchen.equipment.models import Probe
from kitchen.finishing.actions import finish_bags
from kitchen.review.actions import take_action
from tests.kitchen.papers.conftest import ADDRESS, words_of

# Where each answer stands: on the first page, under its question.
ANSWERS = {
    "What was cooked": r"Chicken breast, method version 1 .* 2 bags, made Mon 16 Nov 2026",
    "From what lot": r"chicken breast, lot L1, Saltmeadow Poultry",
    "How thick": r"Bags 1 and 2: 25 mm \(± 2 mm\)",
    "How hot": r"Bath 1 set to 64\.0 °C, read 63\.9 °C to 64\.2 °C",
    # In at 1 min after the log began, out at 182 min.
    "How long": r"Bags 1 and 2: 3 h 01 min in the bath, core \d.* at 60 °C \(60 °C for 45 min needed\)",
    "Proven by": r"\d+ readings by Bath 1 probe, .*2 core checks",
    "Against whose limit": r"Food Standards Agency list \(guidance\)",
    # Five minutes to the ice slurry, 85 in it.
    "How fast chilled": r"begun after 5 min \(at most 30 min\).*core 2\.0 °C, 1 h 30 min after the bath",
    # Cook-chill: five days, the days of cooking and of eating among them.
    # From memory: Chilled and Frozen: Guidelines on Cook-Chill, Department of Health, 1989.
    "Until when good": r"Bags 1 and 2: use-by Fri 20 Nov 2026",
    "Who decided": r"Bags 1 and 2: release, Ada Test \(head chef\); signed by Ada Test .*, Mon 16 Nov 2026",
    "Anything changed": r"3 late entries, 1 corrected entry",
}


def test_the_first_page_answers_every_question(told):
    questions = list(ANSWERS)
    for question, following in zip(questions, [*questions[1:], "water and core over time"], strict=True):
        answer = re.search(f"{question}(.*?){following}", told.first_page)
        assert answer, question
        assert re.search(ANSWERS[question], answer[1]), (question, answer[1])


def test_the_first_page_says_what_it_is_its_outcome_and_its_proof(told):
    first, entry = told.first_page, told.entry
    assert "Batch record · Test kitchen" in first
    assert str(told.assessment.outcome) in first
    assert f"Head no. {entry.seq}" in first
    digest = entry.digest
    assert f"{digest[:4]} {digest[4:8]} {digest[8:12]} {digest[12:16]}" in first
    assert f"{told.assessment.outcome} · signed" in first
    assert "times in Europe/London" in first


def test_the_steps_are_told_in_order(told):
    text = told.text
    place = 0
    for each in (
        "Steps in order of time Lots",
        "5.0 % w/w",
        "rinsed in cold running water, dried",
        "Sealed",
        "Water read",
        "Core checks",
        "Chill method",
        "Fridge In",
        "Second cook, serving, discarding",
        "Allergens",
        "Probe checks",
        "Not recorded",
        "Findings",
        "Limits used",
        "Corrective actions",
        "Dispositions",
        "Sign-off",
        "Entries as recorded",
        "Please note",
    ):
        found = text.find(each, place)
        assert found > 0, each
        place = found


def test_every_limit_has_source_section_edition_status_and_provenance(told):
    text = told.text
    used = {each.limit for each in told.assessment.all_findings if each.limit}
    assert used
    after = text[text.index("Limits used") : text.index("Corrective actions")]
    for limit in used:
        assert limit in after
    assert "(1989) guidance from memory" in after
    assert "law page seen" in after


def test_measured_required_and_margin_of_a_finding(told):
    text = told.text
    found = next(each for each in told.assessment.bags[0].findings if each.rule == "chill.begun")
    assert f"Measured {found.measured}, required {found.required}, margin {found.margin}." in text


def test_late_and_corrected_entries_are_told(told):
    text = told.text
    assert "late by" in text
    assert f"Corrected by no. {told.correction.seq}: misread the display" in text
    assert f"Replaces no. {told.wrong.seq}" in text
    assert "Bath 1 read 64.2 °C with probe Bath 1 probe (corrected: misread the display)" in text


def test_who_signed_when_with_what_meaning_and_whether_they_took_readings(told):
    text = told.text
    assert "Ada Test, head chef · Mon 16 Nov 2026" in text
    assert "GMT (UTC+00:00): “I have read this record and decided about every bag in it.”" in text
    assert re.search(r"Ada Test (took none of the readings|also took)", text)
    assert "Head chef: name, date, signature" in text
    assert "Officer: name, date, signature" in text


def test_what_came_after_the_signature_is_told(factory, story, printed):
    finish_bags(bags=[story.bags.first()], kind="served", portions=6, hand=factory.hand(minutes=30))
    text = words_of(printed(story)[1])
    assert re.search(r"Bag 1 served Mon 16 Nov \d\d:\d\d 6 –", text)
    assert "reopened by what came after the signature" in text
    assert re.search(r"Reopened\. After the last signature came: no\. \d+, .*: Bag 1: served", text)


def test_rules_engine_and_cautions(told):
    text = told.text
    assessment = told.assessment
    assert f"engine {assessment.engine}" in text
    assert assessment.ruleset_digest[:4] in text
    assert "competent authority" in text
    assert "“Pasteurised” describes the process only" in text
    assert ADDRESS in text
    assert "Printed Mon 16 Nov 2026" in text
    assert not re.search(r"\bsafe\b", text, re.IGNORECASE)


def test_what_was_not_recorded_is_said(factory, printed):
    text = words_of(printed(factory.batch())[1])
    assert "No bag was in a bath." in text
    assert "No chill is recorded." in text
    assert "No brine is recorded." in text
    assert "Not signed." in text
    assert "No decision is recorded." in text
    assert "not recorded" in text


def test_a_failed_probe_check_is_printed_with_its_result(factory, printed):
    batch = factory.cooked()
    probe = Probe.objects.get(name="Bath 1 probe")
    check_probe(probe=probe, medium="ice", celsius=Decimal("2.5"), hand=factory.hand(factory.chef, 10))
    text = words_of(printed(batch)[1])
    assert re.search(r"Bath 1 probe melting ice Mon 16 Nov \d\d:\d\d 2\.5 °C fails limits", text)
    assert "by a probe that failed its check" in text


def test_a_corrective_action_is_printed_whole(factory, printed):
    batch = factory.cooked(readings=["55"] * 12)
    take_action(
        batch=batch,
        rule="cook.hold",
        finding="Too short at 60 °C.",
        cause="The heater failed.",
        action="Cooked again.",
        prevention="Heater exchanged.",
        hand=factory.hand(factory.chef, 5),
    )
    text = words_of(printed(batch)[1])
    for said in (
        "Too short at 60 °C.",
        "The heater failed.",
        "Cooked again.",
        "Heater exchanged.",
        "Ada Test",
    ):
        assert said in text
