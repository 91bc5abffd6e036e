"""A logger file that was imported wrongly is withdrawn: its readings count no more, and stay in sight."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from kitchen.base import moments
from kitchen.base.entering import enter
from kitchen.base.forms import EntryForm
from kitchen.cooking.models import BathReading
from kitchen.ledger.chain import taken_before
from kitchen.ledger.corrections import correct
from kitchen.ledger.models import Entry, standing
from kitchen.people.hands import hand_of
from kitchen.review import wording

IMPORT = "bath.import"
SHOWN = timedelta(days=30)


@dataclass(frozen=True)
class Imported:
    """An import that stands, in words."""

    entry: Entry
    words: str


def imports(site: Any) -> list[Imported]:
    """The imports of the last month that were not withdrawn, newest first."""
    rows = Entry.objects.filter(site=site, kind=IMPORT, recorded_at__gte=moments.now() - SHOWN)
    rows = rows.select_related("site", "person").order_by("-seq")
    return [Imported(entry, wording.say(entry)) for entry in rows if stands(entry)]


def stands(entry: Entry) -> bool:
    """Whether readings of this import still count."""
    return standing(BathReading.objects.filter(entry=entry)).exists()


class WithdrawForm(EntryForm):
    """Why an import is withdrawn."""

    backdated = False
    submit = "Withdraw the import"
    reason = forms.CharField(
        max_length=300,
        help_text="Such as: another bath's file; the wrong column. It is printed on the record.",
        error_messages={"required": "Say why: the reason is printed beside what the import said."},
    )


def withdraw(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Withdraw an import; the file itself is kept, and can be imported anew."""
    site = request.site  # type: ignore[attr-defined]
    entry = Entry.objects.filter(pk=pk, site=site, kind=IMPORT).select_related("site").first()
    form = WithdrawForm(request.POST or None, site=site)
    again = (
        form.is_bound and form.is_valid() and taken_before(hand_of(request, form.cleaned_data["entry_id"]))
    )
    if entry is None or not (stands(entry) or again):
        raise Http404("There is no such import to withdraw.")

    def do(said: dict[str, Any]) -> str:
        hand = hand_of(request, said["entry_id"])
        if not taken_before(hand):
            correct(entry.pk, None, reason=said["reason"], hand=hand)
        return f"Withdrawn: the {entry.said['rows']} readings of {entry.said['name']} count no more."

    return enter(
        request,
        form,
        do,
        title="Withdraw an import",
        back=reverse("log_import"),
        template="feeds/withdraw.html",
        imported=Imported(entry, wording.say(entry)),
        room="larder",
    )
