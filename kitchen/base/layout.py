"""Fields that belong together stand side by side."""

from __future__ import annotations

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Row

from kitchen.base.forms import EntryForm


class RowsForm(EntryForm):
    """An entry's form of which some neighbouring fields share a row, where there is room."""

    rows: tuple[tuple[str, ...], ...] = ()

    @property
    def helper(self) -> FormHelper:
        """The rows, each at the place of its first field."""
        helper = super().helper
        first = {row[0]: row for row in self.rows}
        later = {name for row in self.rows for name in row[1:]}
        names = list(helper.layout.fields)
        helper.layout.fields = [
            Row(*(each for each in first[name] if each in names)) if name in first else name
            for name in names
            if name not in later
        ]
        return helper
