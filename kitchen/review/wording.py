"""What an entry says, in one line of plain words: the same line on screen and in print."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from haccp import units
from kitchen.cooking.models import BathLog
from kitchen.ledger.corrections import kind_and_said
from kitchen.ledger.models import Entry

Said = dict[str, Any]


def _bags(said: Said) -> str:
    numbers = said["bags"]
    if len(numbers) == 1:
        return f"bag {numbers[0]}"
    if numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"bags {numbers[0]} to {numbers[-1]}"
    return "bags " + ", ".join(str(each) for each in numbers)


def _temperature(said: Said, entry: Entry, name: str = "celsius") -> str:
    return units.format_temperature(float(Decimal(said[name])), entry.site.temperature_unit)


def _bath(said: Said) -> str:
    log = BathLog.objects.filter(entry_id=said["log"]).select_related("bath").first()
    return log.bath.name if log else "a bath"


def _lot(said: Said, entry: Entry) -> str:
    read = f" at {_temperature(said, entry)}" if said["celsius"] is not None else ""
    reason = f": {said['reason']}" if said.get("reason") else ""
    return f"Lot {said['code']} of {said['product']} from {said['supplier']} {_accepted(said)}{read}{reason}"


def _accepted(said: Said) -> str:
    return "received" if said["accepted"] else "rejected"


def _sealed(said: Said, entry: Entry) -> str:
    doubts = f"; {', '.join(said['doubts'])}" if said["doubts"] else ""
    start = _temperature(said, entry, "start_c")
    return f"{_bags(said).capitalize()} sealed: {said['thickness_mm']} mm thick, food at {start}{doubts}"


def _brine_out(said: Said) -> str:
    rinsed = "rinsed in cold running water" if said["rinsed"] else "not rinsed"
    return f"Out of the brine, {rinsed}, {'dried' if said['dried'] else 'not dried'}"


def _finished(said: Said) -> str:
    note = f": {said['note']}" if said["note"] else ""
    portions = f", {said['portions']} portions" if said["portions"] else ""
    return f"{_bags(said).capitalize()}: {said['kind']}{portions}{note}"


def _thawed(said: Said, entry: Entry) -> str:
    read = f", the food at {_temperature(said, entry)}" if said["celsius"] is not None else ""
    water = f", the water at {_temperature(said, entry, 'water_c')}" if said["water_c"] is not None else ""
    return f"Lot {said['lot']} thawed through {said['how']}{read}{water}"


def _frozen(said: Said, entry: Entry) -> str:
    if said["exempt"]:
        return f"Lot {said['lot']} need not be frozen against parasites, by paper {said['statement']}"
    cold = f"{_temperature(said, entry)} for {said['hours']} h"
    return f"Lot {said['lot']} was frozen at {cold}, by paper {said['statement']}"


def _kept(said: Said) -> str:
    how = "kept hot" if said["kind"] == "hot hold" else "put out at room temperature"
    return f"{_bags(said).capitalize()} {how}{f', {served}' if (served := said['served_as']) else ''}"


_SENTENCES: dict[str, Callable[[Said, Entry], str]] = {
    "site.open": lambda said, entry: f"{said['name']} opened its records",
    "site.regime": lambda said, entry: (
        f"From {said['from_day']} the limits of {said['regime']} apply: {said['reason']}"
    ),
    "limit.choose": lambda said, entry: (
        f"Limit {said['limit']} {'put in force' if said['on'] else 'no longer in force'}: {said['reason']}"
    ),
    "person.add": lambda said, entry: f"{said['role'].capitalize()} {said['code']} added",
    "person.code": lambda said, entry: f"Cook code of {said['code']} changed",
    "person.leave": lambda said, entry: f"{said['code']} signs in no more",
    "person.return": lambda said, entry: f"{said['code']} signs in again",
    "tablet.enrol": lambda said, entry: f"Tablet {said['name']} enrolled",
    "tablet.revoke": lambda said, entry: "Tablet revoked",
    "probe.add": lambda said, entry: f"Probe {said['name']} taken into use",
    "probe.check": lambda said, entry: (
        f"Probe {said['probe']} checked: {_temperature(said, entry)}. {said['sentence']}"
    ),
    "probe.retire": lambda said, entry: f"Probe {said['probe']} taken out of use: {said['reason']}",
    "probe.return": lambda said, entry: f"Probe {said['probe']} taken back into use: {said['reason']}",
    "bath.add": lambda said, entry: f"{said['name']} taken into use",
    "chiller.add": lambda said, entry: f"{said['name']} taken into use",
    "fridge.add": lambda said, entry: f"{said['name']} taken into use",
    "lot.receive": _lot,
    "lot.close": lambda said, entry: (
        f"Lot {said['lot']} {said['how']}" + (f": {said['note']}" if said["note"] else "")
    ),
    "lot.thaw": _thawed,
    "lot.frozen": _frozen,
    "method.draft": lambda said, entry: f"Method for {said['dish']}, version {said['version']}, drafted",
    "method.sign": lambda said, entry: f"Method for {said['dish']}, version {said['version']}, signed",
    "plan.issue": lambda said, entry: f"HACCP plan, version {said['version']}, signed",
    "plan.walk": lambda said, entry: "Flow diagrams of the HACCP plan walked through the kitchen: as drawn",
    "plan.competence": lambda said, entry: f"Competence of {said['code']}: {said['words']}",
    "approval.record": lambda said, entry: (
        f"Approval {said['reference']} of {said['authority']} recorded"
        + (f" for {said['dish']}" if said["dish"] else "")
        + f": {', '.join(each['limit'] for each in said['allows'])}"
    ),
    "approval.end": lambda said, entry: f"Approval ended: {said['reason']}",
    "batch.open": lambda said, entry: (
        f"Batch {said['code']} begun: {said['dish']}, version {said['version']}, from lot "
        + ", ".join(said["lots"])
    ),
    "bags.seal": _sealed,
    "batch.measure": lambda said, entry: (
        f"{said['quantity'].replace('_', ' ')} measured: {said['value']}"
        + ("" if said["checked"] else ", the meter not checked that day")
    ),
    "brine.make": lambda said, entry: (
        f"Brine {said['code']} made: {said['salt_g']} g salt in {said['water_g']} g water"
        + (f", {said['cure_g']} g curing salt" if said.get("cure_g") else "")
    ),
    "brine.in": lambda said, entry: f"Into brine {said['brine']}",
    "brine.out": lambda said, entry: _brine_out(said),
    "dayplan.want": lambda said, entry: (
        f"On the plan: {said['bags']} × {said['grams']} g of {said['dish']}, version {said['version']}"
    ),
    "bath.start": lambda said, entry: (
        f"{said['bath']} started, set point {_temperature(said, entry, 'set_point_c')}"
    ),
    "bath.end": lambda said, entry: f"{_bath(said)} ended",
    "bath.read": lambda said, entry: (
        f"{_bath(said)} read {_temperature(said, entry)} with probe {said['probe']}"
    ),
    "bath.import": lambda said, entry: (
        f"{_bath(said)}: {said['rows']} readings from file {said['name']}, column {said['channel']}"
    ),
    "bags.in": lambda said, entry: f"{_bags(said).capitalize()} into {_bath(said)}",
    "bags.out": lambda said, entry: f"{_bags(said).capitalize()} out of {_bath(said)}",
    "core.check": lambda said, entry: (
        f"Core of {_bags(said)} probed in the {said['step']}: "
        f"{_temperature(said, entry)} with probe {said['probe']}"
    ),
    "chill.in": lambda said, entry: f"{_bags(said).capitalize()} into {said['chiller']}",
    "chill.out": lambda said, entry: f"{_bags(said).capitalize()} out of {said['chiller']}",
    "chill.read": lambda said, entry: (
        f"{said['chiller']} read {_temperature(said, entry)} with probe {said['probe']}"
    ),
    "bags.store": lambda said, entry: f"{_bags(said).capitalize()} into {said['fridge']}",
    "fridge.read": lambda said, entry: (
        f"{said['fridge']} read {_temperature(said, entry)} with probe {said['probe']}"
    ),
    "bags.finish": lambda said, entry: _finished(said),
    "bags.keep": lambda said, entry: _kept(said),
    "bags.keep.read": lambda said, entry: (
        f"Food of {_bags(said)} at service: {_temperature(said, entry)} with probe {said['probe']}"
    ),
    "action.take": lambda said, entry: f"Corrective action: {said['action']} (cause: {said['cause']})",
    "bag.decide": lambda said, entry: f"{_bags(said).capitalize()}: {said['decision']} – {said['reason']}",
    "batch.sign": lambda said, entry: f"Signed: {said['meaning']} Outcome then: {said['outcome']}",
    "batch.print": lambda said, entry: "Batch record printed",
    "held": lambda said, entry: f"Held entry of {said['by']}: {said['words']} – {said['why']}",
    "held.settle": lambda said, entry: (
        f"Held entry {said['how']}" + (f": {said['reason']}" if said["reason"] else "")
    ),
    "outbox.arrive": lambda said, entry: (
        f"{len(said['entries'])} entries of {said['tablet'] or 'a tablet'} arrived that were kept "
        "without network"
    ),
}


def say(entry: Entry) -> str:
    """One line on what an entry says. A correction says what stands now, and why."""
    kind, said = kind_and_said(entry)
    if said is None:
        return f"Withdrawn: {entry.said['reason']}"
    line = _SENTENCES[kind](said, entry)
    return line if kind == entry.kind else f"{line} (corrected: {entry.said['reason']})"


def worded() -> frozenset[str]:
    """The kinds of entry that have words; a test compares them with the projections."""
    return frozenset(_SENTENCES)
