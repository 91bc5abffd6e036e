"""Forms about an outbox: read one in from a file, set a held entry aside."""

from __future__ import annotations

import json
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from kitchen.base.forms import EntryForm
from kitchen.base.refusals import Refused
from kitchen.offline.sent import entries_of

MOST_BYTES = 2 * 1024 * 1024


class FileForm(forms.Form):
    """An outbox that was saved as a file."""

    outbox = forms.FileField(
        label="Saved outbox",
        widget=forms.ClearableFileInput(attrs={"accept": "application/json,.json"}),
        error_messages={"required": "Choose the file that the other tablet saved."},
    )

    def clean_outbox(self) -> Any:
        """The entries in the file."""
        file: UploadedFile = self.cleaned_data["outbox"]
        if (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError("This file is too large for an outbox.")
        try:
            return entries_of(json.loads(file.read()))
        except (ValueError, RecursionError) as trouble:
            raise forms.ValidationError("This is no saved outbox. Save it once more.") from trouble
        except Refused as refusal:
            raise forms.ValidationError(refusal.message) from refusal


class AsideForm(EntryForm):
    """Set a held entry aside, and say why."""

    backdated = False
    submit = "Set aside"
    reason = forms.CharField(
        max_length=300,
        help_text="What was said stays in the records, with this reason beside it.",
        error_messages={"required": "Say why it is set aside: it stays in the records."},
    )
