"""What was known on the day beside the plan itself: trial cores, batches, probe checks, the chain's head.

It is kept and printed with a version, and no difference of it makes a new one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from kitchen.base.moments import local
from kitchen.batches.models import Batch
from kitchen.cooking.models import CoreCheck
from kitchen.equipment.models import Probe, ProbeCheck
from kitchen.ledger.chain import head
from kitchen.ledger.models import standing
from kitchen.methods.models import Method
from kitchen.papers.wordings import Wordings, counted
from kitchen.people.models import Site
from kitchen.plan.families import Family
from kitchen.plan.models import FlowConfirmed
from kitchen.plan.parts import Item, item
from kitchen.review.models import Assessed, SignOff

_STEPS = (
    ("cook", "Core in the cook"),
    ("chill", "Core after the chill"),
    ("finish", "Core in the second cook"),
)


def evidence(site: Site, found: Sequence[Family], flows: str) -> dict[str, Any]:
    """Everything that is known on the day."""
    newest = head(site)
    return {
        "trials": [_trials(each, Wordings(site)) for family in found for each in family.methods],
        "checks": _checks(site),
        "confirmed": _confirmed(site, flows),
        "head": {"seq": newest.seq if newest else 0, "digest": newest.digest if newest else ""},
    }


def _trials(method: Method, words: Wordings) -> Item:
    """The cores that were probed in bags of one version of a method, and how its batches came out."""
    probed = standing(CoreCheck.objects.filter(bag__batch__method=method)).select_related(
        "probe", "bag__batch"
    )
    by_step: dict[str, list[CoreCheck]] = {}
    for each in probed.order_by("at", "pk"):
        by_step.setdefault(each.step, []).append(each)
    facts = [(label, _told(by_step[step], words)) for step, label in _STEPS if step in by_step]
    return item(
        method.dish.name,
        f"{method.dish.name}, version {method.version}",
        [*(facts or [("Cores probed", "none yet")]), ("Batches", _batches(method))],
    )


def _told(checks: list[CoreCheck], words: Wordings) -> str:
    low, high = (pick(float(each.celsius) for each in checks) for pick in (min, max))
    batches = list(dict.fromkeys(each.bag.batch.code for each in checks))
    probes = sorted({each.probe.name for each in checks})
    spread = (
        words.temperature(low) if low == high else f"{words.temperature(low)} to {words.temperature(high)}"
    )
    return f"{counted(len(checks), 'reading')}, {spread}, {', '.join(probes)}; batches {', '.join(batches)}"


def _batches(method: Method) -> str:
    batches = Batch.objects.filter(method=method)
    outcomes = Counter(Assessed.objects.filter(batch__in=batches).values_list("outcome", flat=True))
    signed = standing(SignOff.objects.filter(batch__in=batches)).values("batch").distinct().count()
    if not batches.exists():
        return "none yet"
    told = ", ".join(f"{count} {outcome}" for outcome, count in sorted(outcomes.items()))
    return f"{batches.count()} made ({told}); {signed} signed"


def _checks(site: Site) -> list[Item]:
    """The newest check of each probe in each medium."""
    words = Wordings(site)
    found = []
    for probe in Probe.objects.filter(site=site):
        newest: dict[str, ProbeCheck] = {}
        for each in standing(probe.checks.all()).order_by("at", "pk"):
            newest[each.medium] = each
        told = [
            f"{each.get_medium_display()} {words.temperature(each.celsius)}, {words.clock(each.at)}"
            + ("" if each.passed else " (fails)")
            for each in newest.values()
        ]
        found.append(item(probe.name, probe.name, [("Last checks", "; ".join(told) or "none yet")]))
    return found


def _confirmed(site: Site, flows: str) -> dict[str, str]:
    """Who walked the diagrams that are printed here, and when; empty if nobody did."""
    walked = standing(FlowConfirmed.objects.filter(site=site, flows=flows)).order_by("-at", "-pk").first()
    if walked is None or walked.entry.person is None:
        return {}
    day = local(walked.at, site.timezone).date()
    return {"code": walked.entry.person.code, "day": Wordings.day(day), "seq": str(walked.entry.seq)}
