"""No gathered figure is dropped unseen: each row is copied into tests/data, or listed in README.md here.

Runs only where the gathered references lie beside the checkout. A row that is added or changed there
fails here until it is copied and checked, or listed with its reason.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from pathlib import Path

import pytest

from tests.haccp.tables import rows

README = Path(__file__).with_name("README.md").read_text(encoding="utf-8")

# File, its columns that tell a row, the copies, their columns in the same order.
COPIES = {
    "lethality_tables.csv": (
        ("table_id", "temp_C", "time_min"),
        ("lethality_tables.csv", "lethality_more.csv"),
        ("table", "temp_c", "minutes"),
    ),
    "d_z_values.csv": (
        ("organism", "D_min", "T_ref_C", "z_C", "log_target"),
        ("d_z_values.csv",),
        ("organism", "d_min", "t_ref_c", "z_c", "log_target"),
    ),
    "cooling_limits.csv": (
        ("rule_id", "from_C", "to_C", "max_minutes"),
        ("cooling_limits.csv",),
        ("id", "from_c", "to_c", "minutes"),
    ),
    "heat_transfer_coefficients.csv": (
        ("condition", "h_W_m2K", "h_low", "h_high"),
        ("heat_transfer.csv",),
        ("condition", "h", "h_low", "h_high"),
    ),
    "growth_checks.csv": (
        ("id", "history_min_degC", "observed_log", "default_model"),
        ("growth_checks.csv",),
        ("id", "history_min_degC", "observed_log", "default_model"),
    ),
    "measured_cooling_times.csv": (
        ("from_C", "to_C", "measured_h"),
        ("measured_cooling_times.csv",),
        ("from_c", "to_c", "measured_h"),
    ),
    "pasteurisation_time_by_thickness.csv": (
        ("bath_C", "thickness_mm", "published_min"),
        ("bath_times_by_thickness.csv",),
        ("bath_c", "thickness_mm", "published_min"),
    ),
    "brine.csv": (("quantity", "x", "value"), ("brine.csv",), ("quantity", "x", "value")),
    "limits.csv": (("id",), ("limits_reference.csv", "usda_rows.csv"), ("id",)),
}
# Rows that no copy has; each kind has its line in README.md.
LISTED = {
    "brine.csv": {
        "freezing point": 27,
        "library check": 16,
        "diffusion": 3,
    },
}
NOTES = (
    "analytic_checks.md",
    "brine.md",
    "deviations.md",
    "growth_models.md",
    "record-duties.md",
    "shelf_life.md",
    "README_heat_lethality.md",
)


def gathered(folder: Path, name: str) -> list[dict[str, str]]:
    """The rows of one gathered file."""
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def same(value: str) -> str:
    """A figure as a number, so that 5 and 5.0 are one."""
    try:
        return f"{float(value):.4g}"
    except ValueError:
        return value


@pytest.mark.parametrize("name", COPIES)
def test_every_row_is_copied_or_listed(shared_reference, name):
    theirs, copies, ours = COPIES[name]
    every = gathered(shared_reference, name)
    copied = Counter(tuple(same(row[each]) for each in ours) for copy in copies for row in rows(copy))
    left = [row for row in every if not copied[tuple(same(row[each]) for each in theirs)]]
    kind = "kind" if name == "brine.csv" else "regime"
    found = Counter(row.get(kind, "no kind") for row in left)
    assert found == LISTED.get(name, {})
    assert all(f"| {name} |" in README and key in README for key in found), sorted(found)


def test_every_property_is_checked_or_listed(shared_reference):
    every = Counter(row["row_kind"] for row in gathered(shared_reference, "thermal_properties.csv"))
    assert every == {
        "computed check value": 144,
        "measured": 75,
        "coefficient": 29,
        "textbook value": 12,
        "typical": 12,
        "rule": 8,
        "adopted": 4,
        "statement": 1,
        "fitted": 1,
    }
    assert len(rows("composition_checks.csv")) == 144
    assert len(rows("choi_okos.csv")) == 24
    assert len(rows("specific_heats.csv")) == 14
    assert "| thermal_properties.csv |" in README


def test_every_gathered_file_is_named(shared_reference):
    every = {path.name for path in shared_reference.iterdir()}
    assert every == {*COPIES, *NOTES, "thermal_properties.csv"}
    assert all(name in README for name in every)


def test_every_test_that_the_readme_names_is_there():
    """The table of rules names one test each; a test that is renamed must be renamed there too."""
    here = Path(__file__).parent
    named = re.findall(r"`(test_\w+)\.(test_\w+)`", README)
    assert len(named) > 30
    for module, name in named:
        assert f"def {name}(" in (here / f"{module}.py").read_text(encoding="utf-8"), f"{module}.{name}"
    for path, name in re.findall(r"`(tests/[\w/]+\.py)::(test_\w+)`", README):
        assert f"def {name}(" in (here.parents[1] / path).read_text(encoding="utf-8"), f"{path}::{name}"
