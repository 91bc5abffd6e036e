"""A small record for each row of the law, in which nothing but the row's own figure can go wrong.

`BUILDERS` by topic and quantity: given a row and a figure as it is compared (temperatures in °C, times in s,
all else as printed) they give the findings of the rules of that topic, judged by that row alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

from haccp.case import Case
from haccp.heat import BagHeat
from haccp.limits import Limit, Ruleset, all_limits, regimes
from haccp.record import (
    Assay,
    BatchRecord,
    CoreCheck,
    Cure,
    Delivery,
    Finding,
    Finish,
    Freezing,
    Keeping,
    MediumLog,
    Outcome,
    ProbeCheck,
    RawHold,
    Reading,
    ServiceStay,
    Stay,
    Step,
    Thaw,
)
from haccp.rules import (
    acidity,
    ambient,
    arrival,
    assays,
    cure,
    freeze,
    hot_hold,
    keeping,
    parasite,
    probe,
    raw_hold,
    receive,
    reheat,
    thaw,
    trace,
)
from tests.haccp.kitchen_log import DAY, METHOD, START, at, bag, batch, drawn_case

Build = Callable[[Limit, Fraction], list[Finding]]
NOTHING = BagHeat(None, None, None, None, ())


def alone(row: Limit, *others: Limit) -> Ruleset:
    """A ruleset of one row (and what it can't do without), whatever the day."""
    tables = tuple(each for regime in regimes().values() for each in regime.tables)
    return Ruleset(row.regime, row.regime, DAY, (row, *others), tables)


def words_for(row: Limit) -> frozenset[str]:
    """Words that trigger a row and nothing else."""
    return row.applies | frozenset(sorted(row.any_of)[:1])


def record(row: Limit, **facts: object) -> BatchRecord:
    """A batch of a food with those words, of a material that adds none."""
    method = replace(METHOD, attributes=words_for(row), material="other", chill_medium=None)
    return batch(method=method, regime=row.regime, logs=(), **facts)


def read(celsius: Fraction, minutes: float = 0.0) -> Reading:
    """A reading without tolerance, so that only the figure counts."""
    return Reading(at(minutes), float(celsius), 0.0, "P1")


def later(seconds: Fraction):
    """A moment so many seconds after the start, to the millionth."""
    return START + timedelta(microseconds=round(seconds * 10**6))


def case(
    row: Limit, facts: dict[str, object], *others: Limit, logs: Iterable[MediumLog] = (), seen=None
) -> Case:
    """A bag with these facts, without a curve."""
    told = replace(record(row), logs=tuple(logs), seen_at=seen or at(60 * 24 * 300))
    plain = {"cook": (), "chill": (), "store": (), "core_checks": (), "sealed_at": None, **facts}
    one = bag(**plain)
    return Case(record=replace(told, bags=(one,)), ruleset=alone(row, *others), bag=one, heat=NOTHING)


# -- one builder for each topic and quantity ----------------------------------------------------------------


def delivered(row: Limit, celsius: Fraction) -> list[Finding]:
    lot = Delivery("L1", "food", at(0), words_for(row), read(celsius))
    told = record(row, deliveries=(lot,))
    return [*receive.check_deliveries(told, alone(row)), *arrival.check_arrivals(told, alone(row))]


def air_of_delivery(row: Limit, celsius: Fraction) -> list[Finding]:
    lot = Delivery("L1", "eggs", at(0), words_for(row), air=read(celsius))
    return arrival.check_arrivals(record(row, deliveries=(lot,)), alone(row))


def cooled_after_delivery(row: Limit, seconds: Fraction) -> list[Finding]:
    lot = Delivery("L1", "milk", at(0), words_for(row), read(Fraction(9)), chilled_at=later(seconds))
    return arrival.check_arrivals(record(row, deliveries=(lot,)), alone(row))


def waited_raw(row: Limit, celsius: Fraction) -> list[Finding]:
    hold = RawHold("L1", "food", words_for(row), at(0), at(60), (read(celsius, 30),))
    return raw_hold.check_raw_holds(record(row, raw_holds=(hold,)), alone(row))


def days_raw(row: Limit, seconds: Fraction) -> list[Finding]:
    days = int(seconds / 86400)
    first = DAY - timedelta(days=days - (1 if row.first_day is None else row.first_day))
    hold = RawHold("L1", "food", words_for(row), at(0), at(0), kept_from=((row.counts_from, first),))
    return raw_hold.check_raw_holds(record(row, raw_holds=(hold,)), alone(row))


def thawed(row: Limit, value: Fraction) -> list[Finding]:
    how = "in running water" if "running water" in row.applies else "in the fridge"
    facts: dict[str, object] = {"done_at": at(60)}
    if row.quantity == "food_temperature":
        facts["readings"] = (read(value, 30),)
    elif row.quantity == "water_temperature":
        facts["water"] = (read(value, 30),)
    elif row.clock == "thaw":
        facts |= {
            "done_at": later(value),
            "readings": (read(Fraction(9)), replace(read(Fraction(9)), at=later(value))),
        }
    else:
        facts |= {"done_at": START, "used_at": later(value)}
    lot = Thaw("L1", "food", words_for(row), how, at(0), **facts)
    return thaw.check_thaws(record(row, thaws=(lot,), seen=1e6), alone(row))


def cured(row: Limit, mg_kg: Fraction) -> list[Finding]:
    """A dry cure in 1 kg of meat, in a curing salt that makes its grams come out even."""
    grams = float(mg_kg)  # of a salt with 0.1 % that is mg/kg in 1000 g
    if row.quantity.startswith("nitrite_ion"):
        # Atomic masses of IUPAC: Na 22.98976928, N 14.007, O 15.999. Down by less than a float's last digit.
        ion = 14.007 + 2 * 15.999
        grams *= (ion + 22.98976928) / ion * (1 - 1e-12)
    facts = {"nitrite_percent": 0.1}
    if "nitrate" in row.quantity:
        facts = {"nitrite_percent": 0.0, "nitrate_percent": 0.1}
    way = "pumped" if "pumped" in row.applies else "dry cured"
    if "dry cured" in row.unless:
        way = "immersed"
    told = Cure("cure", way, at(0), cure_g=grams, meat_g=1000.0, **facts)
    return cure.check_ingoing(record(row, cures=(told,)), alone(row))


def assayed(row: Limit, value: Fraction) -> list[Finding]:
    told = Assay(row.quantity, float(value), at(0))
    return assays.check_assays(record(row, assays=(told,)), alone(row))


def acid(row: Limit, value: Fraction) -> list[Finding]:
    figures = [Assay(row.quantity, float(value), at(0))]
    if row.second is not None:
        figures.append(Assay("water_activity", float(row.second.value), at(0)))
    return acidity.check_acidity(record(row, assays=tuple(figures)), alone(row))


def kept_hot(row: Limit, celsius: Fraction) -> list[Finding]:
    stay = ServiceStay("hot hold", at(0), at(60), (read(celsius, 30),))
    return hot_hold.check_hot_hold(case(row, {"services": (stay,)}))


def hot_row() -> Limit:
    """A row of hot holding, for the rows that let food be below it."""
    return next(each for each in all_limits() if each.id == "UK-HOT-63")


def time_below(row: Limit, seconds: Fraction) -> list[Finding]:
    if row.event == "served":
        ends = (Finish("served", later(seconds)),)
        checks = (CoreCheck(read(Fraction(75)), Step.FINISH),)
        return hot_hold.check_served_soon(case(row, {"finishes": ends, "core_checks": checks}))
    stay = ServiceStay("hot hold", at(0), later(seconds), (read(Fraction(70)), read(Fraction(50), 1)))
    return hot_hold.check_hot_hold(case(row, {"services": (stay,)}, hot_row()))


def at_room_temperature(row: Limit, seconds: Fraction) -> list[Finding]:
    cold = (read(Fraction(3)), read(Fraction(15), 30))
    stay = ServiceStay("ambient", at(0), later(seconds), cold, words_for(row) & {"served cold", "served hot"})
    store = (Stay("fridge", later(seconds)),) if row.tier == "chill again" else ()
    return ambient.check_ambient(case(row, {"services": (stay,), "store": store}))


def reheated(row: Limit, value: Fraction) -> list[Finding]:
    """Timed rows: out of the store at the start, second cook or hot core after the time."""
    second = row.second if row.second is not None else None
    target = Fraction(99)
    begun = later(value) if row.event == "second cook" and row.start is None else START
    checks = (CoreCheck(replace(read(target), at=later(value)), Step.FINISH),)
    facts = {
        "store": (Stay("fridge", at(-60), at(0)),),
        "finishes": (Finish("second cook", begun),),
        "core_checks": checks,
        "services": (ServiceStay("hot hold", later(value), later(value)),),
    }
    if second is not None:
        return reheat.check_hot_in_time(case(row, facts))
    hot = replace(row, id="HOT", quantity="core_temperature", operator=">=", value=Fraction(75), unit="degC")
    one = case(row, facts, replace(hot, event="", clock="", start=None))
    return [*reheat.check_begun(one), *reheat.check_hot_in_time(one)]


def in_freezer(row: Limit, celsius: Fraction) -> list[Finding]:
    log = MediumLog("freezer", "Freezer", "fridge_air", (read(celsius, 30),), freezer=True)
    return freeze.check_freezer(case(row, {"store": (Stay("freezer", at(0), at(60)),)}, logs=(log,)))


def frozen_in(row: Limit, seconds: Fraction) -> list[Finding]:
    log = MediumLog("freezer", "Freezer", "fridge_air", (), freezer=True)
    end = row.end.exact_celsius if row.end else Fraction(0)
    there = CoreCheck(replace(read(end), at=later(seconds)), Step.CHILL)
    facts = {"store": (Stay("freezer", at(0)),), "core_checks": (there,)}
    return freeze.check_frozen_in_time(case(row, facts, logs=(log,)))


def frozen_for_parasites(row: Limit, celsius: Fraction) -> list[Finding]:
    """By the supplier's paper, the time just right."""
    return _frozen(row, celsius, Fraction(row.hold.value) if row.hold else Fraction(0))


def _frozen(row: Limit, celsius: Fraction, hours: Fraction) -> list[Finding]:
    paper = Freezing("L1", statement="FZ 1", stated_c=float(celsius), stated_h=float(hours), solid_c=-40.0)
    lot = Delivery("L1", "cod", at(0), words_for(row))
    one = case(row, {})
    return parasite.check_parasites(
        replace(one, record=replace(one.record, freezings=(paper,), deliveries=(lot,)))
    )


def heated_for_parasites(row: Limit, celsius: Fraction) -> list[Finding]:
    minutes = (row.hold.seconds if row.hold else 0.0) / 60.0
    return _heated(row, float(celsius), max(minutes, 1.0))


def _heated(row: Limit, celsius: float, minutes: float) -> list[Finding]:
    one = drawn_case([0, minutes], [celsius, celsius], attributes=words_for(row))
    told = replace(one.record, method=replace(one.record.method, material="other"))
    return parasite.check_parasites(replace(one, record=told, ruleset=alone(row)))


def kept_for(row: Limit, months: Fraction) -> list[Finding]:
    told = record(row, keeping=Keeping(float(months)))
    told = replace(told, method=replace(told.method, life_days=0))
    return keeping.check_kept(told, alone(row))


def kept_days(row: Limit, seconds: Fraction) -> list[Finding]:
    # A mean month of the Gregorian calendar is 146097/4800 days; up to the next float.
    return kept_for(row, seconds / 86400 / Fraction(146097, 4800) + Fraction(1, 10**9))


def papers_say(row: Limit, count: Fraction) -> list[Finding]:
    items = frozenset(f"item {number}" for number in range(int(count)))
    lot = Delivery("L1", "food", at(0), words_for(row), supplier="Fernslack Farm", papers=items)
    return [
        each
        for each in trace.check_back(record(row, deliveries=(lot,)), alone(row))
        if each.rule == "trace.papers"
    ]


def probed(row: Limit, celsius: Fraction) -> list[Finding]:
    """A check in the row's medium; an accuracy is judged in melting ice, where nought is true."""
    if row.medium == "bath":
        check = ProbeCheck("P1", at(-5), "ice", float(celsius))
        log = MediumLog("bath", "Bath", "stirred_bath", (read(Fraction(60)),))
        one = bag(cook=(Stay("bath", at(0)),), chill=(), store=(), core_checks=())
        told = replace(record(row, probe_checks=(check,)), logs=(log,), bags=(one,))
        return probe.check_bath_probe(told, alone(row))
    medium = row.medium if row.medium in ("ice", "boiling") else "ice"
    told = probe.judge_probe_check(medium, float(celsius), 0.0, alone(row))
    outcome = Outcome.MEETS if told.passed else Outcome.FAILS
    return [Finding("probe.check", Step.PROBE, outcome, told.sentence, limit=told.limit)]


ASSAYS = (
    ("receive", "histamine"),
    *(("cure", f"{each}_residual") for each in ("sodium_nitrite", "sodium_nitrate", "nitrite_ion")),
    ("cure", "sodium_nitrite_total"),
    ("cure", "dose"),
    ("record_keeping", "overall_migration"),
    ("shelf_life", "count"),
)
BUILDERS: dict[tuple[str, str], Build] = {
    ("receive", "food_temperature"): delivered,
    ("receive", "air_temperature"): air_of_delivery,
    ("receive", "cool_total"): cooled_after_delivery,
    ("raw_hold", "food_temperature"): waited_raw,
    ("raw_hold", "days"): days_raw,
    ("thaw", "food_temperature"): thawed,
    ("thaw", "water_temperature"): thawed,
    ("thaw", "elapsed_time"): thawed,
    ("cure", "sodium_nitrite_ingoing"): cured,
    ("cure", "nitrite_ion_ingoing"): cured,
    ("cure", "sodium_nitrate_ingoing"): cured,
    ("acidity", "pH"): acid,
    ("acidity", "water_activity"): acid,
    ("acidity", "salt_aqueous"): acid,
    ("hot_hold", "food_temperature"): kept_hot,
    ("hot_hold", "elapsed_time"): time_below,
    ("serve_ambient", "elapsed_time"): at_room_temperature,
    ("reheat", "elapsed_time"): reheated,
    ("freeze", "food_temperature"): in_freezer,
    ("freeze", "cool_stage"): frozen_in,
    ("parasite", "freeze_hold"): frozen_for_parasites,
    ("parasite", "core_hold"): heated_for_parasites,
    ("record_keeping", "retention"): kept_for,
    ("traceability", "retention"): kept_for,
    ("traceability", "fields"): papers_say,
    ("probe_check", "reading"): probed,
    ("probe_check", "accuracy"): probed,
    **dict.fromkeys(ASSAYS, assayed),
}
