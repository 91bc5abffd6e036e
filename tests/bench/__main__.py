"""`make bench`: run every benchmark beside its comparison, print a table, keep the figures.

Each module of this folder offers ``run()``, which gives rows of name, value, unit, goal and
met. A value is a ratio to something run in the same call, so that it means the same on
another machine; a figure without a goal is for information.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import sys
from pathlib import Path
from typing import Any

RESULTS = Path(__file__).resolve().parents[2] / ".bench" / "results.json"


# One thread, for us and for our opponents, so that a ratio means the same on any machine. It is read when
# numpy is imported, which happens below.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def rows() -> list[dict[str, Any]]:
    """The rows of every benchmark module."""
    found: list[dict[str, Any]] = []
    for module in sorted(pkgutil.iter_modules([str(Path(__file__).parent)]), key=lambda each: each.name):
        if not module.name.startswith("_"):
            found += importlib.import_module(f"tests.bench.{module.name}").run()
    return found


def table(found: list[dict[str, Any]]) -> str:
    """The rows as text."""
    width = max(len(row["name"]) for row in found)
    lines = []
    for row in found:
        goal = f"goal {row['goal']}" if row["goal"] is not None else ""
        met = {True: "met", False: "MISSED", None: ""}[row["met"]]
        lines.append(f"{row['name']:<{width}}  {row['value']:>12.4g} {row['unit']:<10} {goal:<22} {met}")
    return "\n".join(lines)


def main() -> int:
    """Run, print, keep."""
    found = rows()
    RESULTS.parent.mkdir(exist_ok=True)
    RESULTS.write_text(json.dumps(found, indent=1) + "\n")
    print(table(found))
    return 0


if __name__ == "__main__":
    sys.exit(main())
