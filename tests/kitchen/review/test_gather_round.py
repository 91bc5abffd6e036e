"""What was told round the cook reaches the rules: thaw, freezing paper, cure, figures, service.

Figures of law: UK limits as shipped (sources beside them in haccp/data/uk.toml).
"""

from datetime import timedelta
from decimal import Decimal

import pytest

from haccp.record import Outcome
from kitchen.base.refusals import Refused
from kitchen.batches import actions as batches
from kitchen.brining import actions as brining
from kitchen.finishing import actions as finishing
from kitchen.larder import actions as larder
from kitchen.ledger.corrections import correct
from kitchen.ledger.verification import verify
from kitchen.review import trail
from kitchen.review.assessing import refresh
from kitchen.review.gather import gather

pytestmark = pytest.mark.django_db


def found(factory, batch, rule):
    """Outcomes and limits of one rule."""
    every = refresh(batch, factory.now).all_findings
    return [(each.limit, each.outcome) for each in every if each.rule == rule]


def cod(factory, **method):
    """A batch of cod cooked too cool to kill parasites, from one lot."""
    probe = factory.checked_probe("Needle")
    lot = factory.lot(material="lean_fish", product="cod loin", celsius=Decimal("1.2"), probe=probe)
    given = {"material": "lean_fish", "attributes": ["fish"], "set_point_c": Decimal(64), **method}
    made = factory.method("Cod", signed=False, **given)
    # Signed by hand of the test: a cook this cool is refused, and here the rule after it is looked at.
    type(made).objects.filter(pk=made.pk).update(signed=made.entry, set_point_c=Decimal("50"))
    made.refresh_from_db()
    return lot, batches.open_batch(method=made, lots=[lot], hand=factory.hand(minutes=1))


def sealed(factory, batch):
    batches.seal_bags(
        batch=batch, count=1, thickness_mm=Decimal(20), start_c=Decimal(3), hand=factory.hand(minutes=5)
    )


def test_the_paper_on_the_freezing_of_a_lot_makes_the_difference(factory):
    lot, batch = cod(factory)
    sealed(factory, batch)
    assert found(factory, batch, "parasite.killed") == [("UK-PARA-20", Outcome.UNPROVEN)]
    paper = larder.keep_freezing_paper(
        lot=lot, statement="FZ 12", celsius=Decimal("-20"), hours=Decimal(24), hand=factory.hand(minutes=1)
    )
    assert found(factory, batch, "parasite.killed") == [("UK-PARA-20", Outcome.MEETS)]
    assert paper in trail.entries(batch)
    correct(paper.pk, {**paper.said, "hours": "23.5"}, reason="read again", hand=factory.hand(minutes=1))
    assert found(factory, batch, "parasite.killed")[0][1] == Outcome.FAILS
    assert verify(factory.site).flaw is None


def test_an_exempt_lot_needs_no_frost(factory):
    lot, batch = cod(factory)
    sealed(factory, batch)
    larder.keep_freezing_paper(lot=lot, statement="farmed, feed FP 3", exempt=True, hand=factory.hand())
    assert found(factory, batch, "parasite.killed") == []


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"statement": " ", "celsius": Decimal(-20), "hours": Decimal(24)}, "reference"),
        ({"statement": "FZ", "celsius": Decimal(-20)}, "hours"),
        ({"statement": "FZ", "celsius": Decimal(20), "hours": Decimal(24)}, "minus"),
    ],
)
def test_a_paper_that_says_nothing_is_refused(factory, said, why):
    with pytest.raises(Refused, match=why):
        larder.keep_freezing_paper(lot=factory.lot(), hand=factory.hand(), **said)


def test_a_lot_is_used_within_a_day_of_being_thawed_through(factory):
    lot = factory.lot()
    begun = factory.now
    larder.thaw_lot(lot=lot, how="in the fridge", begun_at=begun, hand=factory.hand(minutes=600))
    factory.pass_time(24 * 60)
    batch = batches.open_batch(method=factory.method(), lots=[lot], hand=factory.hand())
    assert found(factory, batch, "thaw.kept") == [("UK-THAW-24H", Outcome.MEETS)]
    factory.pass_time(1)
    sealed(factory, batch)
    assert found(factory, batch, "thaw.kept") == [("UK-THAW-24H", Outcome.TO_REVIEW)]
    [thaw] = gather(batch, factory.now).thaws
    assert (thaw.from_at, thaw.readings) == (begun, ())


def test_the_water_of_a_thaw_and_the_food_in_it_are_two_readings(factory):
    lot = factory.lot()
    probe = factory.checked_probe("Needle")
    larder.thaw_lot(
        lot=lot,
        how="in running water",
        begun_at=factory.now,
        water_c=Decimal(12),
        probe=probe,
        hand=factory.hand(minutes=60),
    )
    batch = batches.open_batch(method=factory.method(), lots=[lot], hand=factory.hand())
    [thaw] = gather(batch, factory.now).thaws
    assert ([each.celsius for each in thaw.water], thaw.readings) == ([12.0], ())
    with pytest.raises(Refused, match="before the lot"):
        larder.thaw_lot(
            lot=lot, how="in the fridge", begun_at=lot.at - timedelta(hours=1), hand=factory.hand(minutes=1)
        )


def test_curing_salt_in_a_brine_is_reckoned_from_the_weights(factory):
    """60 g of a salt with 0.6 % in 10 kg of meat and brine together: 36 mg/kg, at most 60 on 6 kg of meat."""
    batch = batches.open_batch(
        method=factory.method(attributes=["poultry", "cook-chill", "cured"]),
        lots=[factory.lot()],
        hand=factory.hand(),
    )
    brine = brining.make_brine(
        code="B1",
        salt_g=Decimal(240),
        water_g=Decimal(3700),
        cure_g=Decimal(60),
        nitrite_percent=Decimal("0.6"),
        hand=factory.hand(),
    )
    brining.into_brine(batch=batch, brine=brine, meat_g=Decimal(6000), hand=factory.hand(minutes=1))
    [(limit, outcome)] = found(factory, batch, "cure.ingoing")
    assert (limit, outcome) == ("UK-CURE-NO2-MEAT", Outcome.MEETS)
    with pytest.raises(Refused, match="or neither"):
        brining.make_brine(
            code="B2", salt_g=Decimal(1), water_g=Decimal(9), cure_g=Decimal(1), hand=factory.hand()
        )


def test_a_figure_of_a_meter_reaches_the_rule(factory):
    batch = batches.open_batch(
        method=factory.method(attributes=["poultry", "cook-chill", "barrier"]),
        lots=[factory.lot()],
        hand=factory.hand(),
    )
    assert found(factory, batch, "acidity.proven")[0][1] == Outcome.UNPROVEN
    batches.measure_batch(
        batch=batch, quantity="pH", value=Decimal("4.8"), checked=True, hand=factory.hand(minutes=1)
    )
    assert found(factory, batch, "acidity.proven") == [("UK-VP-PH", Outcome.MEETS)]


def test_a_stay_at_service_ends_when_the_bag_is_served(factory):
    batch = factory.chilled(bags=2)
    probe = factory.checked_probe("Needle")
    bags = list(batch.bags.all())
    finishing.keep_for_service(bags=bags, kind="hot hold", hand=factory.hand(minutes=60))
    finishing.read_service(bags=bags[:1], celsius=Decimal(66), probe=probe, hand=factory.hand(minutes=30))
    finishing.finish_bags(bags=bags, kind="served", hand=factory.hand(minutes=30))
    first, second = gather(batch, factory.now).bags
    assert [each.celsius for each in first.services[0].readings] == [66.0]
    assert second.services[0].until == factory.now
    assert found(factory, batch, "hot_hold.temperature") == [
        ("UK-HOT-63", Outcome.MEETS),
        ("UK-HOT-63", Outcome.UNPROVEN),
    ]
    with pytest.raises(Refused, match="served already"):
        finishing.keep_for_service(bags=bags, kind="hot hold", hand=factory.hand(minutes=1))


def test_food_at_room_temperature_has_its_clock(factory):
    batch = factory.chilled(bags=1)
    bags = list(batch.bags.all())
    finishing.keep_for_service(
        bags=bags, kind="ambient", served_as="served cold", hand=factory.hand(minutes=60)
    )
    factory.pass_time(239)
    assert found(factory, batch, "ambient.time") == [("UK-CHILL-TOL-4H", Outcome.MEETS)]
    factory.pass_time(1)
    assert found(factory, batch, "ambient.time") == [("UK-CHILL-TOL-4H", Outcome.FAILS)]
