"""Forms at the baths: start, read, end; bags in, bags out, core probed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms

from haccp import units
from kitchen.base import moments
from kitchen.base.fields import temperature_field
from kitchen.base.forms import EntryForm
from kitchen.batches.forms import BagsForm, StepForm, bags_in_words
from kitchen.batches.models import Bag
from kitchen.cooking import actions
from kitchen.cooking.models import BathLog, CoreCheck
from kitchen.equipment.models import Bath, Probe
from kitchen.equipment.readings import Expected, ReadingForm
from kitchen.ledger.chain import Hand
from kitchen.ledger.models import standing

# How far from its set point a bath may be read before it is asked about: own choice. Below, because
# cold bags and refilling pull a bath down; above, because a heater hardly overshoots.
BELOW_K, ABOVE_K = 10.0, 5.0
# What a water bath can be set to, own choice: above the kitchen, below the boil.
COOLEST_C, HOTTEST_C = 40.0, 95.0
CORE_EXPECTED = {
    CoreCheck.Step.COOK: Expected(40, 90, 0, 100),
    CoreCheck.Step.CHILL: Expected(-2, 60, -5, 95),
    CoreCheck.Step.FINISH: Expected(55, 95, 0, 100),
}


class StartBathForm(EntryForm):
    """Begin a bath log."""

    submit = "Start"

    def __init__(self, *args: Any, bath: Bath, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.bath = bath
        unit = self.site.temperature_unit
        self.fields["set_point_c"] = temperature_field("Set point", unit, low=COOLEST_C, high=HOTTEST_C)
        self.order_fields(["set_point_c", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A set point that no bath has."""
        unit = self.site.temperature_unit
        doubt = units.suspect(float(cleaned["set_point_c"]), COOLEST_C, HOTTEST_C, unit)
        if doubt:
            yield "set_point_c", doubt

    def keep(self, hand: Hand) -> str:
        """Start the bath."""
        said = self.cleaned_data
        actions.start_bath(bath=self.bath, set_point_c=said["set_point_c"], hand=hand, at=said["at"])
        here = units.format_temperature(float(said["set_point_c"]), self.site.temperature_unit)
        return f"{self.bath.name} started, set point {here}."


class EndBathForm(EntryForm):
    """End a bath log."""

    submit = "End the bath log"

    def __init__(self, *args: Any, bath_log: BathLog, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.bath_log = bath_log

    def keep(self, hand: Hand) -> str:
        """End the log."""
        actions.end_bath(bath_log=self.bath_log, hand=hand, at=self.cleaned_data["at"])
        return f"{self.bath_log.bath.name} ended."


class BathReadingForm(ReadingForm):
    """A reading of a bath."""

    def __init__(self, *args: Any, bath_log: BathLog, **kwargs: Any) -> None:
        self.bath_log = bath_log
        expected = Expected.around(float(bath_log.set_point_c), float(bath_log.bath.band_k), BELOW_K, ABOVE_K)
        super().__init__(
            *args, expected=expected, probe=bath_log.bath.probe, label=bath_log.bath.name, **kwargs
        )

    def keep(self, hand: Hand) -> str:
        """Log the reading, and say at once where it lies."""
        said, log = self.cleaned_data, self.bath_log
        actions.read_bath(
            bath_log=log, celsius=said["celsius"], probe=said["probe"], hand=hand, at=said["at"]
        )
        here = units.format_temperature(float(said["celsius"]), self.site.temperature_unit)
        words = band_in_words(float(said["celsius"]), self.expected.low, self.expected.high)
        return f"{log.bath.name} at {here} kept: {words}."


def band_in_words(celsius: float, low: float, high: float) -> str:
    """Where a reading lies."""
    return "below its band" if celsius < low else "above its band" if celsius > high else "in its band"


class LogField(forms.ModelChoiceField):
    """One of the baths that are running."""

    def __init__(self, unit: str, **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(widget=forms.RadioSelect, empty_label=None, label="Bath", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        """Name and set point."""
        return f"{obj.bath.name}, set point {units.format_temperature(float(obj.set_point_c), self.unit)}"


class IntoBathForm(BagsForm):
    """Bags go into a bath."""

    verb = submit = "Bag in"
    consent = "Yes, into this bath"
    title = "Bag in"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        running = BathLog.objects.filter(bath__site=self.site, ended__isnull=True)
        logs = list(running.select_related("bath").order_by("bath__name"))
        wanted = self.batch.method.set_point_c
        right = [log for log in logs if log.set_point_c == wanted]
        chosen = right[0] if right else None
        self.fields["bath_log"] = LogField(
            self.site.temperature_unit,
            queryset=running.select_related("bath").order_by("bath__name"),
            initial=chosen,
            error_messages={"required": "Choose the bath. Start one first if none is running."},
        )
        self.order_fields(["bags", "bath_log", "sure", "at"])

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A bath that is set to something else than the method says."""
        log, wanted = cleaned["bath_log"], self.batch.method.set_point_c
        if log.set_point_c != wanted:
            unit = self.site.temperature_unit
            here, there = (units.format_temperature(float(each), unit) for each in (log.set_point_c, wanted))
            yield (
                "bath_log",
                f"{log.bath.name} is set to {here}; the method says {there}. Bag in all the same?",
            )

    def keep(self, hand: Hand) -> str:
        """Bags in."""
        said = self.cleaned_data
        log = said["bath_log"]
        actions.bags_into_bath(bags=said["bags"], bath_log=log, hand=hand, at=said["at"])
        return f"{bags_in_words(said['bags'])} into {log.bath.name}."


class OutOfBathForm(BagsForm):
    """Bags come out of their bath."""

    verb = submit = "Bag out"
    consent = "Yes, out now"
    title = "Bag out"

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """Out before the hold is proven."""
        at = cleaned.get("at") or moments.now()
        early = [pick.hold_until for pick in self.chosen if pick.hold_until and pick.hold_until > at]
        if early:
            clock = moments.clock(
                max(early), self.site.timezone, moments.local(at, self.site.timezone).date()
            )
            yield "bags", f"The hold is proven at {clock}. Take it out now?"

    def keep(self, hand: Hand) -> str:
        """Bags out."""
        said = self.cleaned_data
        actions.bags_out_of_bath(bags=said["bags"], hand=hand, at=said["at"])
        return f"{bags_in_words(said['bags'])} out of the bath."


def last_probe(site: Any) -> Probe | None:
    """The probe that a core was last probed with, while it is in use; else the only one there is."""
    used = standing(CoreCheck.objects.filter(bag__batch__site=site, probe__out_of_use=False))
    last = used.select_related("probe").order_by("-at", "-pk").first()
    if last:
        return last.probe
    probes = list(Probe.objects.filter(site=site, out_of_use=False)[:2])
    return probes[0] if len(probes) == 1 else None


class CoreForm(ReadingForm, StepForm):
    """The core of one bag is probed."""

    verb = submit = "Probe core"
    title = "Probe core"
    first = ("bag", "step")

    bag = forms.TypedChoiceField(coerce=int, widget=forms.RadioSelect)
    step = forms.ChoiceField(label="During", choices=CoreCheck.Step.choices, widget=forms.RadioSelect)

    def __init__(self, *args: Any, step: str = CoreCheck.Step.CHILL, **kwargs: Any) -> None:
        expected = CORE_EXPECTED[CoreCheck.Step(step)]
        super().__init__(*args, expected=expected, probe=last_probe(kwargs["site"]), label="Core", **kwargs)
        field = self.fields["bag"]
        field.choices = [  # type: ignore[attr-defined]
            (number, f"Bag {number} · {pick.words}") for number, pick in self.picks.items()
        ]
        self.fields["step"].initial = step
        ticked = [number for number, pick in self.picks.items() if pick.ticked]
        if len(ticked) == 1:
            field.initial = ticked[0]
        else:
            self._bag_first()

    def _bag_first(self) -> None:
        """With several bags to choose from, the pad opens when one is picked."""
        attrs = self.fields["celsius"].widget.attrs
        if attrs.pop("data-pad-opens", None) is not None:
            attrs["data-pad-after"] = "bag"
        self.order_fields(["bag", "celsius"])

    def clean_bag(self) -> Bag:
        """The bag behind the number."""
        return self.picks[self.cleaned_data["bag"]].bag

    def clean_step(self) -> str:
        """What is expected follows from what was chosen."""
        step: str = self.cleaned_data["step"]
        self.expected = CORE_EXPECTED[CoreCheck.Step(step)]
        return step

    def keep(self, hand: Hand) -> str:
        """Log the core."""
        said = self.cleaned_data
        actions.check_core(
            bag=said["bag"],
            step=said["step"],
            celsius=said["celsius"],
            probe=said["probe"],
            hand=hand,
            at=said["at"],
        )
        here = units.format_temperature(float(said["celsius"]), self.site.temperature_unit)
        return f"Core of bag {said['bag'].number} at {here} kept."
