"""A step on paper: its title, a table with fixed columns, notes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

Row = tuple[str, ...]

# Head and width [mm] of each column; the paper's text is 180 mm wide. The widths are fixed, so that one
# long word widens no column beyond the margin.
COLUMNS: dict[str, tuple[tuple[str, int], ...]] = {
    "Lots": (
        ("Product", 26),
        ("Lot", 26),
        ("Supplier", 26),
        ("Received", 29),
        ("Temperature", 22),
        ("Use-by", 18),
        ("Weight", 17),
        ("Delivery", 16),
    ),
    "Brine": (("Brine", 46), ("In", 29), ("Out", 29), ("Time", 18), ("Thickness", 18), ("Afterwards", 40)),
    "Bags": (
        ("Bag", 28),
        ("Thickness", 20),
        ("Length × width", 32),
        ("Weight", 18),
        ("Food at", 20),
        ("Sealed", 34),
        ("In doubt", 28),
    ),
    "Cook": (
        ("Bag", 20),
        ("Bath", 20),
        ("Set point", 26),
        ("In", 29),
        ("Out", 29),
        ("Time", 20),
        ("Water read", 36),
    ),
    "Core checks": (("Bag", 20), ("Step", 18), ("When", 30), ("Core", 20), ("Probe", 52), ("Counted", 40)),
    "Chill": (
        ("Bag", 20),
        ("Chill method", 32),
        ("After the bath", 21),
        ("In", 29),
        ("Out", 29),
        ("Time", 20),
        ("Read", 29),
    ),
    "Store": (("Bag", 24), ("Fridge", 36), ("In", 29), ("Out", 29), ("Time", 22), ("Read", 40)),
    "Second cook, serving, discarding": (
        ("Bag", 26),
        ("What", 28),
        ("When", 30),
        ("Portions", 24),
        ("Note", 72),
    ),
    "Allergens": (("From", 70), ("Declared", 110)),
    "Probe checks": (
        ("Probe", 28),
        ("In", 22),
        ("When", 29),
        ("Read", 17),
        ("Result", 22),
        ("In words", 62),
    ),
}


@dataclass(frozen=True)
class Section:
    """One step; without rows only its notes are printed."""

    title: str
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()

    @property
    def columns(self) -> tuple[tuple[str, int], ...]:
        """Head and width of each column."""
        return COLUMNS[self.title]


def section(title: str, rows: Iterable[Row], *notes: str, empty: str = "") -> Section:
    """A step; `empty` is said in place of a table without rows."""
    found = tuple(rows)
    said = notes if found or not empty else (*notes, empty)
    return Section(title, found, tuple(each for each in said if each))
