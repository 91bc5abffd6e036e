"""The ledger beside the least that any record could cost: a bare insert, a bare SHA-256."""

from __future__ import annotations

import hashlib
import os
import tempfile
import time
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

ROUNDS = 200


def _seconds(do: Callable[[], Any], rounds: int = ROUNDS) -> float:
    started = time.perf_counter()
    for _ in range(rounds):
        do()
    return (time.perf_counter() - started) / rounds


def _row(name: str, value: float, unit: str, most: float | None = None) -> dict[str, Any]:
    met = None if most is None else value <= most
    return {
        "name": name,
        "value": value,
        "unit": unit,
        "goal": None if most is None else f"<= {most:g}",
        "met": met,
    }


def run() -> list[dict[str, Any]]:
    """Rows on appending an entry and on verifying a chain, on SQLite with full synchronisation."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BATHBOOK_DATABASE"] = str(Path(folder) / "bench.sqlite3")
        os.environ.setdefault("BATHBOOK_DEBUG", "on")
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kitchen.settings")
        import django

        django.setup()
        from django.core.management import call_command
        from django.db import connection

        call_command("migrate", verbosity=0)
        rows = _rows()
        connection.close()
    return rows


def _rows() -> list[dict[str, Any]]:
    from kitchen.cooking import actions as cooking
    from kitchen.ledger.models import Entry
    from kitchen.ledger.verification import verify
    from kitchen.people.models import SignInTry
    from kitchen.review.landing import quiet
    from tests.kitchen.factory import Factory

    factory = Factory()
    log = cooking.start_bath(bath=factory.bath(), set_point_c=Decimal(60), hand=factory.hand())

    def bare() -> None:
        SignInTry.objects.create(at=factory.now, who="nobody", where="bench", worked=False)

    with quiet():
        one_row = _seconds(bare)
        reading = _seconds(lambda: factory.read(log, "60.0"))
    walk = _seconds(lambda: verify(factory.site), rounds=5)
    bodies = [each.encode() for each in Entry.objects.values_list("body", flat=True)]
    hashing = _seconds(lambda: [hashlib.sha256(each).hexdigest() for each in bodies], rounds=20)
    return [
        _row("bath reading (entry, chain, fact) / bare one-row insert", reading / one_row, "x"),
        _row("bath reading", reading * 1000, "ms"),
        _row("verify a chain / SHA-256 of the same bytes", walk / hashing, "x"),
        _row("verify one entry", walk / len(bodies) * 1e6, "µs"),
    ]
