"""Bathbook's computing core: heat, lethality, cooling, limits and rules.

Pure: it knows no database, no request, no clock and no file but its own data.
`assess(record, ruleset)` is the one door for a batch; the modules below it can
each be used on their own. `explain(limit, words, ruleset)` says why a limit applies.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from haccp.why import explain

__all__ = ["explain"]


def __getattr__(name: str) -> Any:
    # Not imported above: ``python -m haccp.limits`` would then load that module twice.
    if name == "explain":
        from haccp.why import explain

        return explain
    raise AttributeError(f"haccp has no {name}.")
