"""The static files that a tablet keeps, and a version that changes when one of them does."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static

# Not needed at the Bench: what is printed, and what only the head chef's pages show.
LEFT_OUT = {f"css/{name}.css" for name in ("paper", "pass", "larder", "law", "plan")}
KEPT = {".css", ".js", ".svg", ".png", ".woff2"}


def names() -> list[str]:
    """The names of our own static files, without those that only the paper needs."""
    home = Path(settings.HOME) / "static"
    found = (path.relative_to(home).as_posix() for path in sorted(home.rglob("*")) if path.suffix in KEPT)
    return [name for name in found if name not in LEFT_OUT]


def addresses() -> list[str]:
    """Their addresses, with the digest in the name where the storage puts it there."""
    return [static(name) for name in names()]


def version() -> str:
    """A digest over all of them. Read once: a server that runs with other files is another server."""
    return _digest() if not settings.DEBUG else _digest.__wrapped__()


@lru_cache(maxsize=1)
def _digest() -> str:
    digest = hashlib.sha256()
    for name in names():
        path = finders.find(name)
        digest.update(name.encode())
        digest.update(Path(path).read_bytes() if path else b"")
    template = Path(settings.HOME) / "templates" / "offline" / "worker.js"
    digest.update(template.read_bytes())
    return digest.hexdigest()[:16]
