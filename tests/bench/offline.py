"""The tablet: bytes of a first and a repeated Bench, from tap to *kept* without network, a cold start.

The Bench holds three baths and forty open bags. Bytes are counted on the wire, headers included. A kept entry
is on the disk: the transaction is a strict one.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from tests.bench._wire import Wire, served

ROUNDS = 15
KB = 1000
# From the tap on the pad's last key to the words; touched by script, so that no test tool is timed.
TAP = """() => new Promise((done) => {
  const started = performance.now();
  const status = document.querySelector('.messages');
  new MutationObserver(() => status.textContent.includes('Kept') && done(performance.now() - started))
    .observe(status, { childList: true, subtree: true });
  document.querySelector('dialog[open] [data-do="keep"]').click();
})"""
READY = (
    "() => document.querySelector('[data-unsent-count]:not([hidden])') && document.readyState === 'complete'"
)


def _row(name: str, value: float, unit: str, most: float | None = None) -> dict[str, Any]:
    met = None if most is None else value <= most
    goal = None if most is None else f"<= {most:g}"
    return {"name": name, "value": value, "unit": unit, "goal": goal, "met": met}


def run() -> list[dict[str, Any]]:
    """Rows on the Bench of a tablet."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {
            "BATHBOOK_DATABASE": str(Path(folder) / "bench.sqlite3"),
            "BATHBOOK_DEBUG": "on",
            "DJANGO_SETTINGS_MODULE": "kitchen.settings",
        }
        import os

        filled = subprocess.run(
            [sys.executable, "-m", "tests.bench._offline_kitchen"],
            env={**os.environ, **environment},
            check=True,
            capture_output=True,
            text=True,
        )
        made = json.loads(filled.stdout.splitlines()[-1])
        with served(environment) as wire, sync_playwright() as playwright:
            return _rows(playwright, wire, made, folder)


def _rows(playwright: Any, wire: Wire, made: dict[str, Any], folder: str) -> list[dict[str, Any]]:
    url = f"http://127.0.0.1:{wire.port}"

    def start() -> Any:
        return playwright.chromium.launch_persistent_context(
            f"{folder}/tablet",
            executable_path="/usr/bin/chromium",
            viewport={"width": 1180, "height": 820},
            args=["--disable-gpu", "--disable-background-networking"],
        )

    tablet = start()
    tablet.add_cookies(
        [
            {"name": name, "value": value, "url": url, "expires": time.time() + 40_000}
            for name, value in (made["session"], made["tablet"])
        ]
    )
    page = tablet.new_page()
    # The server cuts the font when it is first asked for: that is no part of what goes over the wire.
    tablet.request.get(f"{url}/font.woff2")
    first = _load(page, url, wire)
    page.wait_for_selector("html[data-pages-kept]", state="attached", timeout=120_000)
    page.wait_for_timeout(500)
    to_keep = wire.count - first
    again = [_load(page, url, wire) for _ in range(3)]
    tablet.set_offline(True)
    taps = [_tap(page, f"{url}/bench/logs/{made['log']}/read/") for _ in range(ROUNDS)]
    tablet.close()

    tablet = start()
    tablet.set_offline(True)
    page = tablet.new_page()
    started = time.perf_counter()
    page.goto(f"{url}/bench/")
    page.wait_for_function(READY)
    cold = time.perf_counter() - started
    tablet.close()
    return [
        _row("first Bench, over the wire", first / KB, "KB", 150),
        _row("repeated Bench, over the wire", statistics.median(again) / KB, "KB", 15),
        _row("what a tablet keeps after its first Bench, over the wire", to_keep / KB, "KB"),
        _row("from tap to kept without network, median", statistics.median(taps), "ms", 100),
        _row("from tap to kept without network, slowest", max(taps), "ms"),
        _row("Bench ready from a cold start without network", cold * 1000, "ms"),
    ]


def _load(page: Any, url: str, wire: Wire) -> int:
    """The bytes that one Bench costs, its font and pictures included."""
    before = wire.count
    page.goto(f"{url}/bench/")
    page.evaluate("document.fonts.ready.then(() => true)")
    page.wait_for_function(READY)
    return wire.count - before


def _tap(page: Any, address: str) -> float:
    """From the tap to the words, in ms."""
    page.goto(address)
    for sign in "63.8":
        page.locator(f'dialog[open] [data-key="{sign}"]').click()
    taken: float = page.evaluate(TAP)
    page.wait_for_url("**/bench/")
    return taken


if __name__ == "__main__":
    from tests.bench.__main__ import table

    print(table(run()))
