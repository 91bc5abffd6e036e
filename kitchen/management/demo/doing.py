"""Each thing that the script can do, as a call of the action that a screen would call.

Lines of one kind take the facts of their action under the same names; what names a person,
a place or a batch is looked up on the stage.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from kitchen.batches import actions as batches
from kitchen.brining import actions as brining
from kitchen.brining.models import Brine
from kitchen.chilling import actions as chilling
from kitchen.cooking import actions as cooking
from kitchen.dayplan import actions as dayplan
from kitchen.equipment import actions as equipment
from kitchen.feeds import actions as feeds
from kitchen.finishing import actions as finishing
from kitchen.larder import actions as larder
from kitchen.ledger.corrections import correct, kind_and_said
from kitchen.ledger.models import standing
from kitchen.management.demo.script import Line, Week
from kitchen.management.demo.stage import Stage
from kitchen.methods import actions as methods
from kitchen.people import actions as people
from kitchen.plan import actions as plan
from kitchen.plan.content import compose
from kitchen.review import actions as review
from kitchen.storing import actions as storing

Facts = dict[str, Any]
Doing = Callable[[Stage, Week, Line, Facts], Any]
DOINGS: dict[str, Doing] = {}


def does(name: str) -> Callable[[Doing], Doing]:
    """Register a thing that the script can do."""

    def register(doing: Doing) -> Doing:
        DOINGS[name] = doing
        return doing

    return register


@does("add probe")
def _add_probe(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return equipment.add_probe(hand=stage.hand(line), **facts)


@does("add bath")
def _add_bath(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    probe = stage.probe(facts.pop("probe"))
    return equipment.add_bath(hand=stage.hand(line), probe=probe, **facts)


@does("add chiller")
def _add_chiller(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    probe = stage.probe(facts.pop("probe"))
    return equipment.add_chiller(hand=stage.hand(line), probe=probe, **facts)


@does("add fridge")
def _add_fridge(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    probe = stage.probe(facts.pop("probe"))
    return equipment.add_fridge(hand=stage.hand(line), probe=probe, **facts)


@does("enrol tablet")
def _enrol_tablet(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return people.enrol_tablet(hand=stage.hand(line), **facts)


@does("check probe")
def _check_probe(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    probe = stage.probe(facts.pop("probe"))
    return equipment.check_probe(probe=probe, hand=stage.hand(line), at=line.at, **facts)


@does("retire probe")
def _retire_probe(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return equipment.retire_probe(probe=stage.probe(facts.pop("probe")), hand=stage.hand(line), **facts)


@does("write method")
def _write_method(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return methods.draft_method(hand=stage.hand(line), **facts)


@does("sign method")
def _sign_method(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return methods.sign_method(method=stage.method(**facts), hand=stage.hand(line))


@does("receive lot")
def _receive_lot(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    if "use_by" in facts:
        facts["use_by"] = week.clock.day(facts["use_by"])
    probe = stage.probe(facts.pop("probe")) if "probe" in facts else None
    return larder.receive_lot(probe=probe, hand=stage.hand(line), at=line.at, **facts)


@does("make brine")
def _make_brine(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return brining.make_brine(hand=stage.hand(line), at=line.at, **facts)


@does("open batch")
def _open_batch(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    method, lots = stage.method(facts.pop("dish")), stage.lots(facts.pop("lots"))
    key = facts.pop("batch")
    batch = batches.open_batch(method=method, lots=lots, hand=stage.hand(line), at=line.at, **facts)
    stage.batches[key] = batch
    return batch


@does("into brine")
def _into_brine(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    brine = standing(Brine.objects.filter(site=stage.site, code=facts.pop("brine"))).get()
    batch = stage.batch(facts.pop("batch"))
    return brining.into_brine(batch=batch, brine=brine, hand=stage.hand(line), at=line.at, **facts)


@does("out of brine")
def _out_of_brine(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    batch = stage.batch(facts.pop("batch"))
    return brining.out_of_brine(batch=batch, hand=stage.hand(line), at=line.at, **facts)


@does("seal")
def _seal(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    batch = stage.batch(facts.pop("batch"))
    return batches.seal_bags(batch=batch, hand=stage.hand(line), at=line.at, **facts)


@does("start bath")
def _start_bath(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    facts.pop("batch", None)
    bath = stage.bath(facts.pop("bath"))
    return cooking.start_bath(bath=bath, hand=stage.hand(line), at=line.at, **facts)


@does("read bath")
def _read_bath(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    log = stage.running(facts["bath"])
    probe = stage.probe(facts["probe"]) if "probe" in facts else log.bath.probe
    celsius = facts["celsius"]
    return cooking.read_bath(bath_log=log, celsius=celsius, probe=probe, hand=stage.hand(line), at=line.at)


@does("end bath")
def _end_bath(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return cooking.end_bath(bath_log=stage.running(facts["bath"]), hand=stage.hand(line), at=line.at)


@does("import log")
def _import_log(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    """A logger's file that counts from its own start; the start is answered, as on the screen."""
    hand = stage.hand(line)
    content = (week.folder / facts["file"]).read_bytes()
    kept = feeds.keep_file(site=stage.site, name=facts["file"], content=content, now=line.told_at)
    began = stage.running(facts["bath"])
    zone = ZoneInfo(stage.site.timezone)
    started = began.started_at.astimezone(zone) + timedelta(minutes=facts.get("after_min", 0))
    answers = {**facts.get("answers", {}), "started_at": f"{started:%Y-%m-%dT%H:%M}"}
    probe = stage.probe(facts["probe"])
    return feeds.import_log(
        log_file=kept, channel=facts["channel"], answers=answers, probe=probe, bath_log=began, hand=hand
    )


@does("into bath")
def _into_bath(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    bags = stage.bags(facts["batch"], facts.get("bags"))
    log = stage.running(facts["bath"])
    return cooking.bags_into_bath(bags=bags, bath_log=log, hand=stage.hand(line), at=line.at)


@does("out of bath")
def _out_of_bath(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    bags = stage.bags(facts["batch"], facts.get("bags"))
    return cooking.bags_out_of_bath(bags=bags, hand=stage.hand(line), at=line.at)


@does("probe core")
def _probe_core(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    (bag,) = stage.bags(facts["batch"], [facts["bag"]])
    probe, hand = stage.probe(facts["probe"]), stage.hand(line)
    return cooking.check_core(
        bag=bag, step=facts["step"], celsius=facts["celsius"], probe=probe, hand=hand, at=line.at
    )


@does("into chill")
def _into_chill(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    bags, chiller = stage.bags(facts["batch"], facts.get("bags")), stage.chiller(facts["chiller"])
    return chilling.into_chiller(bags=bags, chiller=chiller, hand=stage.hand(line), at=line.at)


@does("read chill")
def _read_chill(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    chiller = stage.chiller(facts["chiller"])
    probe = stage.probe(facts["probe"]) if "probe" in facts else chiller.probe
    return chilling.read_chiller(
        chiller=chiller, celsius=facts["celsius"], probe=probe, hand=stage.hand(line), at=line.at
    )


@does("out of chill")
def _out_of_chill(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    bags = stage.bags(facts["batch"], facts.get("bags"))
    return chilling.out_of_chiller(bags=bags, hand=stage.hand(line), at=line.at)


@does("into fridge")
def _into_fridge(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    bags, fridge = stage.bags(facts["batch"], facts.get("bags")), stage.fridge(facts["fridge"])
    return storing.store_bags(bags=bags, fridge=fridge, hand=stage.hand(line), at=line.at)


@does("read fridge")
def _read_fridge(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    fridge = stage.fridge(facts["fridge"])
    return storing.read_fridge(
        fridge=fridge, celsius=facts["celsius"], probe=fridge.probe, hand=stage.hand(line), at=line.at
    )


@does("finish")
def _finish(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    bags = stage.bags(facts.pop("batch"), facts.pop("bags", None))
    return finishing.finish_bags(bags=bags, hand=stage.hand(line), at=line.at, **facts)


@does("correct")
def _correct(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    """Put other values in the place of some that an entry of the script said."""
    of = stage.named[facts["of"]]
    _, said = kind_and_said(of)
    return correct(of.pk, {**said, **facts["instead"]}, reason=facts["reason"], hand=stage.hand(line))


@does("want dish")
def _want_dish(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    method, ready_at = stage.method(facts.pop("dish")), week.clock.moment(facts.pop("ready"))
    return dayplan.want_dish(method=method, ready_at=ready_at, hand=stage.hand(line), **facts)


@does("take action")
def _take_action(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    key, rule = facts.pop("batch"), facts.pop("rule")
    finding = stage.finding(key, rule, line.told_at)
    return review.take_action(
        batch=stage.batch(key), rule=rule, finding=finding, hand=stage.hand(line), **facts
    )


@does("decide")
def _decide(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    bags = stage.bags(facts.pop("batch"), facts.pop("bags", None))
    return review.decide(bags=bags, hand=stage.hand(line), **facts)


@does("sign")
def _sign(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return review.sign_batch(batch=stage.batch(facts["batch"]), hand=stage.hand(line), now=line.told_at)


@does("note competence")
def _note_competence(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    person = stage.people[facts.pop("of")]
    return plan.note_competence(person=person, hand=stage.hand(line), **facts)


@does("walk plan")
def _walk_plan(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    """The diagrams that are walked are those that follow from the methods at that moment."""
    flows = compose(stage.site, line.told_at)["flows"]
    return plan.confirm_flow(flows=flows, hand=stage.hand(line), at=line.at)


@does("issue plan")
def _issue_plan(stage: Stage, week: Week, line: Line, facts: Facts) -> Any:
    return plan.issue_plan(hand=stage.hand(line), **facts)
