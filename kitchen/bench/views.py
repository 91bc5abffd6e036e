"""The cooks' pages: the Bench, a new batch, a batch, a bag."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from haccp.materials import medium
from kitchen.base import moments
from kitchen.base.entering import enter, go
from kitchen.batches.forms import NewBatchForm
from kitchen.batches.models import Batch
from kitchen.bench import next as coming
from kitchen.bench import picture, queries, steps
from kitchen.bench.bag import bath_words, chart_of, cooked_at, hold_of, reading_of, with_strips
from kitchen.bench.brines import guidance_of
from kitchen.bench.corrections import may_correct
from kitchen.bench.whereabouts import Where
from kitchen.ledger.models import standing
from kitchen.methods.models import Method
from kitchen.people.hands import hand_of
from kitchen.review import assessing, running, showing, trail


def bench(request: HttpRequest) -> HttpResponse:
    """What is in hand now, and what to do next."""
    now = queries.snapshot(request.site, moments.now())  # type: ignore[attr-defined]
    lines = coming.lines(now)
    context = {
        "now": now,
        "lanes": picture.draw(now),
        "lines": [(line, moments.span(abs(now.at - line.due))) for line in lines[: coming.MOST]],
        "more": len(lines) - coming.MOST,
        "head_chef": coming.for_head_chef(now),
    }
    return render(request, "bench/bench.html", context)


def batch_of(request: HttpRequest, code: str) -> Batch:
    """A batch of this kitchen; of any other there is none."""
    batches = Batch.objects.select_related("site", "method__dish", "entry")
    return get_object_or_404(batches, site=request.site, code=code)  # type: ignore[attr-defined]


def methods(request: HttpRequest) -> HttpResponse:
    """Pick the method of a new batch."""
    signed = Method.objects.filter(dish__site=request.site, signed__isnull=False)  # type: ignore[attr-defined]
    newest: dict[int, Method] = {}
    for method in signed.select_related("dish").order_by("dish__name", "-version"):
        newest.setdefault(method.dish_id, method)
    return render(
        request,
        "bench/methods.html",
        {"methods": [(method, bath_words(method)) for method in newest.values()]},
    )


def new_batch(request: HttpRequest, pk: int) -> HttpResponse:
    """Pick the lots of a new batch and begin it."""
    signed = Method.objects.filter(dish__site=request.site, signed__isnull=False)  # type: ignore[attr-defined]
    method = get_object_or_404(signed.select_related("dish"), pk=pk)
    form = NewBatchForm(request.POST or None, site=request.site, method=method)  # type: ignore[attr-defined]
    made: list[Batch] = []

    def begin(said: dict[str, object]) -> str:
        made.append(form.keep(hand_of(request, said["entry_id"])))  # type: ignore[arg-type]
        return f"Batch {made[0].code} begun."

    answer = enter(
        request,
        form,
        begin,
        title=f"New batch of {method.dish.name}",
        back=reverse("batch_new"),
        template="bench/new_batch.html",
        method=method,
        bath_words=bath_words(method),
        kept_offline=True,
    )
    return go(request, reverse("batch", args=[made[0].code])) if made else answer


def batch(request: HttpRequest, code: str) -> HttpResponse:
    """What is known of a batch, its bags, and the steps in the order of the work."""
    made = batch_of(request, code)
    each = steps.in_hand(made, moments.now())
    read = showing.Reading(each.assessment) if each.assessment else None
    context = {
        "batch": made,
        "method": made.method,
        "each": each,
        "rows": [(bag, found := each.found(bag), each.stands_of(found)) for bag in each.now.bags.values()],
        "steps": steps.buttons(each),
        "lots": [row.lot for row in standing(made.lots.all()).select_related("lot")],
        "guidance": guidance_of(made) if each.now.brine_since or each.to_brine else None,
        "said": with_strips(read.doubtful(), each.at) if read else [],
        "bath_words": bath_words(made.method),
        "chill_words": medium(made.method.chill_medium).name if made.method.chill_medium else "",
        "state": assessing.state(made),
        "lines": [(line, may_correct(line)) for line in trail.lines(made)],
    }
    return render(request, "bench/batch.html", context)


def bag(request: HttpRequest, code: str, number: int) -> HttpResponse:
    """One bag: its curve, its count-down, the limits that apply, the next step."""
    made = batch_of(request, code)
    get_object_or_404(made.bags, number=number)
    now = moments.now()
    each = steps.in_hand(made, now)
    here = each.now.bags.get(number)
    found = each.found(here) if here else None
    reading, hold = reading_of(each, found), hold_of(found, here, now)
    due = running.chill_due(found, made, now) if found else None
    context = {
        "batch": made,
        "number": number,
        "bag": here,
        "found": found,
        "stands": each.stands_of(found),
        "in_bath": here is not None and here.where == Where.BATH,
        "hold": hold,
        "left": moments.span(hold.until - now) if hold and hold.until else "",
        "due": due,
        "due_left": moments.span(due[0] - now) if due else "",
        "chart": chart_of(each, number, reading, now),
        "said": with_strips(reading.groups()[0].said, now) if reading else [],
        "cooked_at": cooked_at(each, here),
        "steps": steps.buttons(each, number) if here else [],
        "live": here is not None and not here.gone,
    }
    return render(request, "bench/bag.html", context)
