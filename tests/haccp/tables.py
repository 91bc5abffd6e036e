"""Read the small tables of published values that tests compare with."""

from __future__ import annotations

import csv
from pathlib import Path

DATA = Path(__file__).parents[1] / "data"


def rows(name: str, **where: str) -> list[dict[str, str]]:
    """Rows of ``tests/data/<name>`` whose columns have the values in `where`; never none."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(line for line in file if not line.startswith("#")))
    found = [row for row in table if all(row[column] == value for column, value in where.items())]
    assert found, f"no row of {name} has {where}"
    return found
