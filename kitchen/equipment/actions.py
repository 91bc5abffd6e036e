"""What is done about equipment."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from kitchen.base.refusals import Refused
from kitchen.equipment.checking import verdict_of
from kitchen.equipment.models import Bath, Chiller, Fridge, Probe, ProbeCheck
from kitchen.ledger.chain import Hand, record
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects


def add_probe(*, name: str, tolerance_k: Decimal, hand: Hand, serial: str = "") -> Probe:
    """Take a probe into use."""
    _new_name(Probe, name, hand)
    entry = record("probe.add", {"name": name, "serial": serial, "tolerance_k": tolerance_k}, hand=hand)
    return Probe.objects.get(entry=entry)


@projects("probe.add")
def _probe_add(entry: Entry, said: dict[str, Any]) -> None:
    Probe.objects.create(site=entry.site, entry=entry, **said)


def add_bath(*, hand: Hand, **facts: Any) -> Bath:
    """Take a bath into use: name, medium, volume, band, rates, reading interval, probe."""
    return _add_place(Bath, "bath.add", facts, hand)


def add_chiller(*, hand: Hand, **facts: Any) -> Chiller:
    """Take a chill method's place into use."""
    return _add_place(Chiller, "chiller.add", facts, hand)


def add_fridge(*, hand: Hand, **facts: Any) -> Fridge:
    """Take a fridge or freezer into use."""
    return _add_place(Fridge, "fridge.add", facts, hand)


def _new_name(model: Any, name: str, hand: Hand) -> None:
    if model.objects.filter(site=hand.site, name=name).exists():
        raise Refused(
            f"There is a {model._meta.verbose_name} named {name} already. Give this one its own name.", "name"
        )


def _add_place(model: Any, kind: str, facts: dict[str, Any], hand: Hand) -> Any:
    _new_name(model, facts["name"], hand)
    probe = facts.pop("probe", None)
    entry = record(kind, {**facts, "probe": probe.name if probe else None}, hand=hand)
    return model.objects.get(entry=entry)


def _project_place(model: Any, entry: Entry, said: dict[str, Any]) -> None:
    probe = said.pop("probe")
    found = Probe.objects.get(site=entry.site, name=probe) if probe else None
    model.objects.create(site=entry.site, entry=entry, probe=found, **said)


@projects("bath.add")
def _bath_add(entry: Entry, said: dict[str, Any]) -> None:
    _project_place(Bath, entry, said)


@projects("chiller.add")
def _chiller_add(entry: Entry, said: dict[str, Any]) -> None:
    _project_place(Chiller, entry, said)


@projects("fridge.add")
def _fridge_add(entry: Entry, said: dict[str, Any]) -> None:
    _project_place(Fridge, entry, said)


def check_probe(
    *, probe: Probe, medium: str, celsius: Decimal, hand: Hand, at: datetime | None = None
) -> ProbeCheck:
    """Check a probe in melting ice or boiling water; the verdict is kept as it was told."""
    if probe.out_of_use:
        raise Refused(f"Probe {probe.name} is out of use. Take it back into use to check it.")
    day = (at or hand.moment).astimezone(hand.site.zone).date()
    verdict = verdict_of(hand.site, day, medium, celsius)
    said = {
        "probe": probe.name,
        "medium": medium,
        "celsius": celsius,
        "passed": verdict.passed,
        "limit": verdict.limit,
        "sentence": verdict.sentence,
    }
    entry = record("probe.check", said, hand=hand, happened_at=at)
    return ProbeCheck.objects.get(entry=entry)


@projects("probe.check", correctable=True)
def _probe_check(entry: Entry, said: dict[str, Any]) -> None:
    said["probe"] = Probe.objects.get(site=entry.site, name=said["probe"])
    ProbeCheck.objects.create(entry=entry, at=entry.happened_at, **said)


def retire_probe(*, probe: Probe, reason: str, hand: Hand) -> Entry:
    """Take a probe out of use: no reading can be logged with it any more."""
    if probe.out_of_use:
        raise Refused(f"Probe {probe.name} is out of use already.")
    return record("probe.retire", {"probe": probe.name, "reason": _reason(reason)}, hand=hand)


@projects("probe.retire")
def _probe_retire(entry: Entry, said: dict[str, Any]) -> None:
    Probe.objects.filter(site=entry.site, name=said["probe"]).update(out_of_use=True)


def return_probe(*, probe: Probe, reason: str, hand: Hand) -> Entry:
    """Take a probe back into use. Its readings count when its next check passes."""
    if not probe.out_of_use:
        raise Refused(f"Probe {probe.name} is in use.")
    return record("probe.return", {"probe": probe.name, "reason": _reason(reason)}, hand=hand)


@projects("probe.return")
def _probe_return(entry: Entry, said: dict[str, Any]) -> None:
    Probe.objects.filter(site=entry.site, name=said["probe"]).update(out_of_use=False)


def _reason(said: str) -> str:
    if not said.strip():
        raise Refused("Give the reason: the officer reads it beside the probe.", "reason")
    return said.strip()
