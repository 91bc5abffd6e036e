"""A batch with a story, and its printed record."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from functools import partial
from typing import Any

import pytest
from django.db import transaction
from pypdf import PdfReader

from haccp.record import Assessment, BatchRecord
from kitchen.brining import actions as brining
from kitchen.cooking import actions as cooking
from kitchen.cooking.models import BathLog
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry
from kitchen.papers.batch_record import batch_record
from kitchen.review import actions as review
from kitchen.review.assessing import refresh
from kitchen.review.gather import gather
from kitchen.review.landing import quiet
from tests.kitchen.factory import Factory

ADDRESS = "http://kitchen.test/file/TK-261116-A/"


def tell(factory: Any) -> Any:
    """Brined chicken in two bags: one reading came late, one was mistyped; decided about, signed."""
    batch = factory.chilled(bags=2, brine_percent=Decimal(5), brine_min=60, allergens="none declared")
    hand, chef = factory.hand, factory.chef
    brine = brining.make_brine(code="B5", salt_g=Decimal(500), water_g=Decimal(9500), hand=hand())
    sealed = Entry.objects.get(kind="bags.seal").happened_at
    brining.into_brine(batch=batch, brine=brine, hand=hand(), at=sealed - timedelta(minutes=70))
    brining.out_of_brine(batch=batch, rinsed=True, dried=True, hand=hand(), at=sealed - timedelta(minutes=10))
    log = BathLog.objects.get()
    late = log.started_at + timedelta(minutes=100)
    cooking.read_bath(bath_log=log, celsius=Decimal("63.9"), probe=log.bath.probe, hand=hand(), at=late)
    wrong = Entry.objects.filter(kind="bath.read").order_by("seq")[2]
    correct(wrong.pk, {**wrong.said, "celsius": "64.2"}, reason="misread the display", hand=hand(minutes=3))
    bags = list(batch.bags.all())
    review.decide(bags=bags, decision="release", reason="Read through, all in order.", hand=hand(chef, 5))
    for rule in {
        each.rule for each in refresh(batch, factory.now).all_findings if each.outcome == "fails limits"
    }:
        review.take_action(
            batch=batch, rule=rule, finding="as found", cause="as known", action="as done", hand=hand(chef, 1)
        )
    review.sign_batch(batch=batch, hand=hand(chef, 2), now=factory.now)
    return batch


def put_to_paper(factory: Any, batch: Any) -> tuple[Entry, bytes]:
    """Print a batch's record: the entry of the print, and the PDF."""
    hand = factory.hand(factory.chef, 1)
    entry = review.note_print(batch=batch, assessment=refresh(batch, factory.now), hand=hand)
    return entry, batch_record(batch, entry, address=ADDRESS)


@pytest.fixture
def story(factory: Any) -> Any:
    """The batch with a story, for a test that adds to it."""
    with quiet():
        return tell(factory)


@pytest.fixture
def printed(factory: Any) -> Any:
    """Print a batch's record."""
    return partial(put_to_paper, factory)


@dataclass(frozen=True)
class Told:
    """The story's printed record beside what it must say."""

    pdf: bytes
    text: str
    first_page: str
    entry: Entry
    wrong: Entry
    correction: Entry
    assessment: Assessment
    gathered: BatchRecord


@pytest.fixture(scope="module")
def told(django_db_setup: None, django_db_blocker: Any) -> Any:
    """One print of the story for all tests that only read it; the database is left as it was."""
    with django_db_blocker.unblock(), transaction.atomic(), quiet():
        factory = Factory()
        batch = tell(factory)
        entry, pdf = put_to_paper(factory, batch)
        found = Told(
            pdf=pdf,
            text=words_of(pdf),
            first_page=spaced(PdfReader(io.BytesIO(pdf)).pages[0].extract_text()),
            entry=entry,
            wrong=Entry.objects.filter(kind="bath.read").order_by("seq")[2],
            correction=Entry.objects.get(kind="correction"),
            assessment=refresh(batch, entry.recorded_at),
            gathered=gather(batch, entry.recorded_at),
        )
        transaction.set_rollback(True)
    return found


def spaced(text: str) -> str:
    """A text with single spaces."""
    return re.sub(r"\s+", " ", text)


def words_of(pdf: bytes) -> str:
    """All text of a PDF, with single spaces."""
    return spaced(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))
