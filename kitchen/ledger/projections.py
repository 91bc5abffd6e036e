"""From entry to facts: one function per kind of entry.

A projection reads nothing but its entry and the facts of earlier entries, so that replaying
the chain gives the same facts again.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.apps import apps

from kitchen.ledger.models import Entry, Fact

Projection = Callable[[Entry, dict[str, Any]], None]
_BY_KIND: dict[str, Projection] = {}
_CORRECTABLE: set[str] = set()

CORRECTION = "correction"


def projects(kind: str, *, correctable: bool = False) -> Callable[[Projection], Projection]:
    """Register the projection of one kind of entry; correctable if it puts down nothing but facts."""

    def register(function: Projection) -> Projection:
        if kind in _BY_KIND:
            raise RuntimeError(f"Two projections for {kind}.")
        _BY_KIND[kind] = function
        if correctable:
            _CORRECTABLE.add(kind)
        return function

    return register


def kinds() -> frozenset[str]:
    """All kinds of entry that can be projected."""
    return frozenset(_BY_KIND)


def correctable(kind: str) -> bool:
    """Whether an entry of this kind can be replaced by a correction."""
    return kind in _CORRECTABLE


def project(entry: Entry) -> None:
    """Put the facts of an entry beside it."""
    _BY_KIND[entry.kind](entry, entry.said)


def fact_models() -> list[type[Fact]]:
    """All models whose rows are facts."""
    return [model for model in apps.get_app_config("kitchen").get_models() if issubclass(model, Fact)]


@projects(CORRECTION)
def _correction(entry: Entry, said: dict[str, Any]) -> None:
    """Withdraw what the corrected entry put there, then put there what should have been."""
    for model in fact_models():
        model._default_manager.filter(entry_id=said["of"], withdrawn_by__isnull=True).update(
            withdrawn_by=entry
        )
    if said["said"] is not None:
        _BY_KIND[said["kind"]](entry, said["said"])
