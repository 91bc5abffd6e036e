"""Forms for a new batch, for sealing, and the form behind every step of bags."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Case, When

from haccp import units
from kitchen.base import moments
from kitchen.base.fields import PadInput, length_field, mass_field, temperature_field
from kitchen.base.forms import EntryForm
from kitchen.batches import actions
from kitchen.batches.models import Bag, Batch
from kitchen.larder.actions import closings
from kitchen.larder.models import Lot
from kitchen.ledger.chain import Hand
from kitchen.ledger.models import standing
from kitchen.methods.models import Method

FINITE = ("finite cylinder", "brick")


@dataclass(frozen=True)
class Pick:
    """A bag that a step may take: where it is, in words, and whether it is ticked beforehand."""

    bag: Bag
    words: str
    ticked: bool
    hold_until: datetime | None = None
    outcome: str = ""
    use_by: date | None = None


class StepForm(EntryForm):
    """A step of a batch that makes one entry: `keep` does it and says what was kept."""

    verb = ""
    title = ""
    consent = ""

    def __init__(self, *args: Any, batch: Batch, picks: Sequence[Pick] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.consent:
            self.fields["sure"].label = self.consent
            self.before_doing = True
        self.batch = batch
        self.picks = {pick.bag.number: pick for pick in picks}

    def keep(self, hand: Hand) -> str:
        """Make the entry of this step."""
        raise TypeError(f"{type(self).__name__} does not say what it keeps")


class BagsForm(StepForm):
    """A step of one bag or several."""

    bags = forms.TypedMultipleChoiceField(
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick the bags."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["bags"]
        field.choices = [  # type: ignore[attr-defined]
            (number, f"Bag {number} · {pick.words}") for number, pick in self.picks.items()
        ]
        field.initial = [number for number, pick in self.picks.items() if pick.ticked]

    def clean_bags(self) -> list[Bag]:
        """The bags behind the ticked numbers."""
        return [self.picks[number].bag for number in self.cleaned_data["bags"]]

    @property
    def chosen(self) -> list[Pick]:
        """What is known of the bags that were ticked."""
        return [self.picks[bag.number] for bag in self.cleaned_data["bags"]]


def bags_in_words(bags: Sequence[Bag]) -> str:
    """*Bag 3*; *Bags 1, 2 and 4*; *Bags 1 to 6*."""
    numbers = sorted(bag.number for bag in bags)
    if len(numbers) == 1:
        return f"Bag {numbers[0]}"
    if len(numbers) > 2 and numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"Bags {numbers[0]} to {numbers[-1]}"
    return f"Bags {', '.join(str(each) for each in numbers[:-1])} and {numbers[-1]}"


def millimetres(length: Decimal) -> str:
    """A length without idle zeros."""
    return f"{length.normalize():f} mm"


class NewBatchForm(EntryForm):
    """Begin a batch: the lots that go into it."""

    submit = "Begin the batch"
    lots = forms.ModelMultipleChoiceField(
        Lot.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Tick the lots that go into the batch: without them nothing can be traced."
        },
    )

    def __init__(self, *args: Any, method: Method, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.method = method
        today = moments.local(moments.now(), self.site.timezone).date()
        lots = standing(Lot.objects.filter(site=self.site, accepted=True)).exclude(use_by__lt=today)
        lots = lots.exclude(code__in=closings(self.site).values("lot__code"))
        fits = Case(When(material=method.material, then=1), default=0)
        field = self.fields["lots"]
        field.queryset = lots.order_by(fits.desc(), "product", "use_by", "code")  # type: ignore[attr-defined]
        field.label_from_instance = lot_in_words  # type: ignore[attr-defined]

    def keep(self, hand: Hand) -> Batch:
        """Begin the batch."""
        said = self.cleaned_data
        return actions.open_batch(method=self.method, lots=list(said["lots"]), hand=hand, at=said["at"])


def lot_in_words(lot: Lot) -> str:
    """A lot as a line of a list."""
    use_by = f", use-by {lot.use_by:%a} {lot.use_by.day} {lot.use_by:%b}" if lot.use_by else ""
    return f"{lot.product}, lot {lot.code}, {lot.supplier}{use_by}"


class SealForm(StepForm):
    """Seal like bags."""

    verb = submit = "Seal bags"
    title = "Seal bags"
    count = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=60,
        widget=PadInput(unit="bags"),
        error_messages={
            "min_value": "Seal at least one bag.",
            "max_value": "At most 60 bags at a time: seal the rest after these.",
        },
    )
    thickness_mm = forms.CharField()
    start_c = forms.CharField()
    doubts = forms.MultipleChoiceField(
        label="What casts doubt on the thickness",
        choices=[(each, each) for each in actions.DOUBTS],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="With any of these the core is unproven: the figures hold for one bag apart, under water.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        method = self.batch.method
        self.fields["thickness_mm"] = length_field(
            "Thickness at the thickest place",
            high=float(method.thickness_max_mm),
            help_text=f"The method allows up to {millimetres(method.thickness_max_mm)}.",
        )
        if method.shape in FINITE:
            self.fields["length_mm"] = length_field("Length")
        if method.shape == "brick":
            self.fields["width_mm"] = length_field("Width")
        warmest = units.format_temperature(float(method.start_max_c), self.site.temperature_unit)
        self.fields["start_c"] = temperature_field(
            "Temperature of the food",
            self.site.temperature_unit,
            low=0,
            high=float(method.start_max_c),
            help_text=f"The method allows up to {warmest}.",
        )
        self.fields["grams"] = mass_field("Weight of one bag", required=False)
        sizes = [name for name in ("length_mm", "width_mm") if name in self.fields]
        self.order_fields(["count", "thickness_mm", *sizes, "start_c", "grams", "doubts", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """Thicker or warmer than the method allows, or nothing that a bag can be."""
        method, unit = self.batch.method, self.site.temperature_unit
        thickness, start = cleaned["thickness_mm"], float(cleaned["start_c"])
        if thickness > method.thickness_max_mm:
            here, most = millimetres(thickness), millimetres(method.thickness_max_mm)
            said = f"{here} is more than the {most} of the method: the core needs longer."
            yield "thickness_mm", f"{said} Is it right?"
        elif thickness < 3:
            yield "thickness_mm", f"{millimetres(thickness)} is very thin. Was it measured in cm?"
        doubt = units.suspect(start, -5, max(float(method.start_max_c), 40), unit)
        if doubt:
            yield "start_c", doubt
        elif start > method.start_max_c:
            warmest = units.format_temperature(float(method.start_max_c), unit)
            here = units.format_temperature(start, unit)
            yield "start_c", f"{here} is warmer than the {warmest} that the method allows. Is it right?"

    def keep(self, hand: Hand) -> str:
        """Seal the bags."""
        said = self.cleaned_data
        grams = said["grams"]
        bags = actions.seal_bags(
            batch=self.batch,
            count=said["count"],
            thickness_mm=said["thickness_mm"],
            length_mm=said.get("length_mm"),
            width_mm=said.get("width_mm"),
            start_c=said["start_c"],
            grams=int(grams.to_integral_value()) if isinstance(grams, Decimal) else None,
            doubts=said["doubts"],
            hand=hand,
            at=said["at"],
        )
        return f"{bags_in_words(bags)} sealed."
