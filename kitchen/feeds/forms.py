"""Forms for logger files: the file, what it leaves open, and where its readings go."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.conf import settings
from django.db.models import Q
from django.template.defaultfilters import filesizeformat

from haccp import units
from kitchen.base import moments
from kitchen.base.fields import temperature_field
from kitchen.base.layout import RowsForm
from kitchen.cooking.models import BathLog
from kitchen.equipment.models import Bath, Probe
from kitchen.feeds.shapes import Question

ANSWER = "a-"
NEW = "new"


def _helper(form: forms.Form) -> FormHelper:
    helper = FormHelper(form)
    helper.form_tag = False
    helper.disable_csrf = True
    return helper


class FileForm(forms.Form):
    """The logger's file."""

    file = forms.FileField(
        label="Logger file",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv,text/plain"}),
        help_text="A CSV export with the time and the temperature of each reading.",
        error_messages={
            "required": "Choose the logger’s file first.",
            "empty": "The file is empty. Export the log from the logger again and bring the new file.",
            "missing": "The file did not arrive. Choose it again.",
        },
    )

    def clean_file(self) -> Any:
        """A file that is larger than the server takes is refused before it is read."""
        file = self.cleaned_data["file"]
        if file.size > settings.LOG_FILE_MAX_BYTES:
            most = filesizeformat(settings.LOG_FILE_MAX_BYTES)
            raise forms.ValidationError(
                f"The file holds {filesizeformat(file.size)}; {most} is the most that is read at once. "
                "Export a shorter period from the logger."
            )
        return file

    @property
    def helper(self) -> FormHelper:
        """How crispy draws it."""
        return _helper(self)


class QuestionsForm(forms.Form):
    """What a file leaves open: one field per question, and the answers given before, unseen."""

    def __init__(
        self, questions: Sequence[Question], given: Mapping[str, str], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        open_keys = {each.key for each in questions}
        for key, value in given.items():
            if key not in open_keys:
                self.fields[ANSWER + key] = forms.CharField(initial=value, widget=forms.HiddenInput)
        for each in questions:
            self.fields[ANSWER + each.key] = _field(each, given.get(each.key, ""))

    @property
    def helper(self) -> FormHelper:
        """How crispy draws it."""
        return _helper(self)


def _field(question: Question, typed: str) -> forms.Field:
    if question.kind == "choice":
        choices = [
            (each.value, f"{each.label} – {each.example}" if each.example else each.label)
            for each in question.choices
        ]
        return forms.ChoiceField(label=question.text, choices=choices, widget=forms.RadioSelect)
    kind = "datetime-local" if question.kind == "moment" else "date"
    attrs = {"type": kind} | ({"step": "1"} if question.kind == "moment" else {})
    return forms.CharField(label=question.text, initial=typed, widget=forms.TextInput(attrs=attrs))


class ImportForm(RowsForm):
    """Where the readings go, and which probe stands for the logger."""

    backdated = False
    submit = "Import"
    rows = (("bath", "set_point_c"),)
    log = forms.ChoiceField(label="Into which bath log", widget=forms.RadioSelect)
    bath = forms.ModelChoiceField(Bath.objects.none(), required=False, label="Bath", empty_label="choose")

    def __init__(self, *args: Any, site: Any, first: datetime, last: datetime, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        logs = (
            BathLog.objects.filter(bath__site=site, started_at__lte=last)
            .filter(Q(ended__isnull=True) | Q(ended__happened_at__gte=first))
            .select_related("bath", "ended")
        )
        self.logs = {str(each.pk): each for each in logs}
        span = f"{moments.clock(first, site.timezone)} to {moments.clock(last, site.timezone)}"
        self.fields["log"].choices = [  # type: ignore[attr-defined]
            *((key, self._named(each)) for key, each in self.logs.items()),
            (NEW, f"A new log: {span}"),
        ]
        if not self.logs:
            self.fields["log"].initial = NEW
        self.fields["bath"].queryset = Bath.objects.filter(site=site)  # type: ignore[attr-defined]
        self.fields["bath"].help_text = "For a new log only."
        self.fields["set_point_c"] = temperature_field(
            "Set point",
            site.temperature_unit,
            low=50,
            high=95,
            required=False,
            help_text="For a new log only.",
        )
        self.fields["ended"] = forms.BooleanField(
            required=False,
            label="The new log ends at the file’s last reading",
            help_text="Leave this open while bags have still to be logged into it.",
        )
        self.fields["probe"] = forms.ModelChoiceField(
            Probe.objects.filter(site=site, out_of_use=False),
            label="Probe that stands for the logger",
            empty_label="choose",
            help_text="Its tolerance and its checks count for every reading of the file.",
        )

    def _named(self, log: BathLog) -> str:
        set_point = units.format_temperature(float(log.set_point_c), self.site.temperature_unit)
        until = moments.clock(log.ended.happened_at, self.site.timezone) if log.ended else "still running"
        return (
            f"{log.bath.name} at {set_point}, {moments.clock(log.started_at, self.site.timezone)} to {until}"
        )

    def questions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        """A set point that no bath is set to."""
        if cleaned["log"] == NEW and cleaned.get("set_point_c") is not None:
            doubt = units.suspect(float(cleaned["set_point_c"]), 45, 99, self.site.temperature_unit)
            if doubt:
                yield "set_point_c", doubt

    def clean(self) -> dict[str, Any]:
        """A new log needs its bath and its set point."""
        cleaned = super().clean()
        if cleaned.get("log") == NEW:
            for name, ask in (
                ("bath", "Choose the bath."),
                ("set_point_c", "Type the set point of the bath."),
            ):
                if name not in self.errors and cleaned.get(name) is None:
                    self.add_error(name, ask)
        return cleaned
