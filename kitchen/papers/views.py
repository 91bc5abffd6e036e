"""The File: the officer's door. What exists, what is missing, how to print and prove it."""

from __future__ import annotations

from dataclasses import replace

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from kitchen.base import moments
from kitchen.base.refusals import Refused
from kitchen.batches.models import Batch
from kitchen.ledger.chain import head
from kitchen.ledger.verification import verify
from kitchen.papers import listing
from kitchen.papers.batch_record import batch_record
from kitchen.papers.forms import FilterForm, PrintForm
from kitchen.people.hands import hand_of
from kitchen.review.actions import note_print
from kitchen.review.assessing import refresh, state
from kitchen.review.page import batch_of
from kitchen.review.showing import signature_of

# A browser's own viewer shows a PDF as an object, which the policy of the pages shuts out.
PDF_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'none'"


def file_page(request: HttpRequest) -> HttpResponse:
    """All batches of a period and a dish."""
    site = request.site  # type: ignore[attr-defined]
    form = FilterForm(request.GET or None, site=site, label_suffix="")
    holds = not form.is_bound or form.is_valid()
    batches = listing.chosen(site, form.cleaned_data if form.is_bound and holds else {})
    count = batches.count()
    rows = [listing.row(each, moments.now()) for each in batches[: listing.LISTED]]
    context = {"form": form, "rows": rows, "count": count, "head": head(site), "listed": listing.LISTED}
    return render(request, "papers/file.html", context, status=200 if holds else 422)


@require_POST
def verify_chain(request: HttpRequest) -> HttpResponse:
    """Walk the site's whole chain, and say what was found."""
    verdict = verify(request.site)  # type: ignore[attr-defined]
    if verdict.flaw:
        messages.error(
            request,
            f"The chain does not hold: {verdict.flaw.reason}. {verdict.count} entries before it hold. "
            "Keep a copy of the database as it is, and tell who looks after this server.",
        )
    else:
        messages.success(
            request,
            f"The chain holds: {verdict.count} entries, each with the digest of the one before; "
            f"head {verdict.head[:16]}.",
        )
    return redirect("file")


def _batch(request: HttpRequest, code: str) -> Batch:
    batch = batch_of(request.site, code)  # type: ignore[attr-defined]
    if batch is None:
        raise Http404("No such batch at this site.")
    return batch


def file_batch(request: HttpRequest, code: str) -> HttpResponse:
    """One batch in the File: how it stands and what is missing; here its papers are printed."""
    batch = _batch(request, code)
    assessment = refresh(batch, moments.now())
    stands = state(batch)
    context = {
        "batch": batch,
        "row": listing.row(batch, moments.now()),
        "assessment": assessment,
        "state": str(stands),
        "signature": signature_of(batch),
        "head": head(batch.site),
    }
    return render(request, "papers/file_batch.html", context)


@require_POST
def print_batch(request: HttpRequest, code: str) -> HttpResponse:
    """Print the batch record: the print is an entry, and the paper carries that entry's digest."""
    batch = _batch(request, code)
    form = PrintForm(request.POST, site=batch.site)
    entry_id = form.cleaned_data["entry_id"] if form.is_valid() else None
    now = moments.now()
    assessment = refresh(batch, now)
    try:
        entry = note_print(
            batch=batch, assessment=assessment, hand=replace(hand_of(request, entry_id), now=now)
        )
    except Refused:
        messages.error(request, f"{batch.code} has changed since that page was shown. Print it again.")
        return redirect("file_batch", code=batch.code)
    address = request.build_absolute_uri(reverse("file_batch", args=[batch.code]))
    response = HttpResponse(batch_record(batch, entry, address=address), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="batch-record-{batch.code}.pdf"'
    response["Content-Security-Policy"] = PDF_POLICY
    return response
