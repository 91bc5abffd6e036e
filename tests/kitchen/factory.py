"""Makes kitchens, people, methods and batches for tests, through the actions and nothing else.

All data here is invented.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from kitchen.batches import actions as batches
from kitchen.chilling import actions as chilling
from kitchen.cooking import actions as cooking
from kitchen.equipment import actions as equipment
from kitchen.larder import actions as larder
from kitchen.ledger.chain import Hand
from kitchen.methods import actions as methods
from kitchen.people import actions as people
from kitchen.people.models import Role
from kitchen.storing import actions as storing

MORNING = datetime(2026, 11, 16, 8, 0, tzinfo=UTC)
CHEF_PASSWORD = "a long pass phrase"
COOK_CODE = "4711"


class Factory:
    """One kitchen with a head chef and a cook, a stranger elsewhere, and a clock that the test moves."""

    def __init__(self, regime: str = "UK") -> None:
        self.now = MORNING
        self.site = people.open_site(
            now=self.now,
            slug="test-kitchen",
            name="Test kitchen",
            code="TK",
            timezone="Europe/London",
            regime=regime,
        )
        self.chef = self._person(self.site, "C1", "Ada Test", Role.HEAD_CHEF, "chef", password=CHEF_PASSWORD)
        self.cook = self._person(self.site, "K1", "Ben Test", Role.COOK, "cook", cook_code=COOK_CODE)
        self.other_site = people.open_site(
            now=self.now, slug="elsewhere", name="Elsewhere", code="EW", timezone="Europe/London", regime="UK"
        )
        self.stranger = self._person(
            self.other_site, "C1", "Sam Elsewhere", Role.HEAD_CHEF, "stranger", password=CHEF_PASSWORD
        )

    def _person(self, site: Any, code: str, name: str, role: str, handle: str, **secrets: str) -> Any:
        hand = Hand(site=site, now=self.now)
        return people.add_person(
            site=site, code=code, name=name, role=role, handle=handle, hand=hand, **secrets
        )

    def hand(self, person: Any = None, minutes: float | None = None) -> Hand:
        """The hand of the cook (or another person), now or some minutes later."""
        if minutes is not None:
            self.pass_time(minutes)
        who = person or self.cook
        return Hand(site=who.site, person=who, tablet="test tablet", now=self.now)

    def pass_time(self, minutes: float) -> datetime:
        """Let time pass."""
        self.now += timedelta(minutes=minutes)
        return self.now

    def probe(self, name: str = "P1", tolerance: str = "0.3") -> Any:
        """A probe that nobody has checked yet."""
        return equipment.add_probe(name=name, tolerance_k=Decimal(tolerance), hand=self.hand(self.chef))

    def checked_probe(self, name: str) -> Any:
        """A probe that was checked in melting ice and found right."""
        probe = self.probe(name)
        equipment.check_probe(probe=probe, medium="ice", celsius=Decimal("0.1"), hand=self.hand(self.chef))
        return probe

    def bath(self, name: str = "Bath 1", **facts: Any) -> Any:
        """A stirred bath with its probe."""
        given = {
            "medium": "stirred_bath",
            "probe": facts.pop("probe", None) or self.checked_probe(f"{name} probe"),
            "every_min": 30,
            "volume_l": Decimal(20),
            "band_k": Decimal("0.5"),
            "fall_k_per_min": Decimal("0.05"),
            "rise_k_per_min": Decimal("0.5"),
            **facts,
        }
        return equipment.add_bath(name=name, hand=self.hand(self.chef), **given)

    def chiller(self, name: str = "Ice slurry", medium: str = "ice_slurry") -> Any:
        """A tub of ice slurry."""
        probe = self.checked_probe(f"{name} probe")
        return equipment.add_chiller(
            name=name, medium=medium, every_min=60, probe=probe, hand=self.hand(self.chef)
        )

    def fridge(self, name: str = "Fridge 1") -> Any:
        """A fridge."""
        return equipment.add_fridge(
            name=name,
            medium="fridge_air",
            every_min=720,
            probe=self.checked_probe(f"{name} probe"),
            low_c=Decimal(0),
            high_c=Decimal(3),
            hand=self.hand(self.chef),
        )

    def lot(self, code: str = "L1", **facts: Any) -> Any:
        """A lot of chicken breast that came cold."""
        given = {
            "product": "chicken breast",
            "supplier": "Saltmeadow Poultry",
            "material": "poultry",
            "attributes": ("raw", "chilled"),
            **facts,
        }
        if "celsius" not in given:
            given |= {"celsius": Decimal("2.4"), "probe": self.checked_probe(f"Needle {code}"[:40])}
        return larder.receive_lot(code=code, hand=self.hand(), **given)

    def method(self, dish: str = "Chicken breast", *, signed: bool = True, **facts: Any) -> Any:
        """A method for chicken breast at 64 °C, signed unless said otherwise."""
        given = {
            "material": "poultry",
            "attributes": ["poultry", "cook-chill"],
            "shape": "slab",
            "thickness_mm": Decimal(25),
            "thickness_max_mm": Decimal(30),
            "thickness_tolerance_mm": Decimal(2),
            "start_max_c": Decimal(8),
            "set_point_c": Decimal(64),
            "bath_min": 180,
            "chill_medium": "ice_slurry",
            "life_days": 5,
            **facts,
        }
        method = methods.draft_method(dish=dish, hand=self.hand(self.chef), **given)
        return methods.sign_method(method=method, hand=self.hand(self.chef)) if signed else method

    def batch(self, *, bags: int = 1, thickness: str = "25", **method: Any) -> Any:
        """A batch of sealed bags, cold and ready for the bath."""
        batch = batches.open_batch(method=self.method(**method), lots=[self.lot()], hand=self.hand())
        batches.seal_bags(
            batch=batch,
            count=bags,
            thickness_mm=Decimal(thickness),
            start_c=Decimal(5),
            hand=self.hand(minutes=5),
        )
        return batch

    def cooked(
        self, *, set_point: str = "64", minutes: int = 180, readings: list[str] | None = None, **batch: Any
    ) -> Any:
        """A batch that was cooked with a reading every 15 min, and is out of the bath."""
        made = self.batch(**batch)
        bath = self.bath()
        log = cooking.start_bath(bath=bath, set_point_c=Decimal(set_point), hand=self.hand())
        self.read(log, set_point)
        bags = list(made.bags.all())
        cooking.bags_into_bath(bags=bags, bath_log=log, hand=self.hand(minutes=1))
        steps = minutes // 15
        for step in range(steps):
            said = readings[step] if readings else set_point
            self.pass_time(15)
            if said:
                self.read(log, said)
        cooking.bags_out_of_bath(bags=bags, hand=self.hand(minutes=1))
        return made

    def read(self, log: Any, celsius: str) -> Any:
        """A bath reading."""
        return cooking.read_bath(
            bath_log=log, celsius=Decimal(celsius), probe=log.bath.probe, hand=self.hand()
        )

    def chilled(self, *, minutes: int = 85, core: str | None = "2.0", **cooked: Any) -> Any:
        """A batch that was cooked, put into ice slurry five minutes later, and into a fridge."""
        made = self.cooked(**cooked)
        chiller, fridge = self.chiller(), self.fridge()
        bags = list(made.bags.all())
        chilling.into_chiller(bags=bags, chiller=chiller, hand=self.hand(minutes=5))
        for _ in range(2):
            chilling.read_chiller(
                chiller=chiller,
                celsius=Decimal("0.5"),
                probe=chiller.probe,
                hand=self.hand(minutes=minutes / 2),
            )
        if core:
            for bag in bags:
                cooking.check_core(
                    bag=bag, step="chill", celsius=Decimal(core), probe=chiller.probe, hand=self.hand()
                )
        chilling.out_of_chiller(bags=bags, hand=self.hand())
        storing.read_fridge(
            fridge=fridge, celsius=Decimal("2.0"), probe=fridge.probe, hand=self.hand(minutes=1)
        )
        storing.store_bags(bags=bags, fridge=fridge, hand=self.hand())
        return made
