"""Settings from the environment, refusing what is not understood.

A misspelt name or value must stop the start, not be guessed at: a server that
believes `DEBUG=flase` to be true would open the kitchen's door.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.core.exceptions import ImproperlyConfigured

PREFIX = "BATHBOOK_"
KNOWN = {
    "DEBUG": "on or off; off unless set",
    "SECRET_KEY": "a long random text; needed when DEBUG is off",
    "HOSTS": "the names under which the server answers, with commas between",
    "HTTPS": "on when the server is reached over https; on unless DEBUG is on",
    "DATABASE": "path of the SQLite file, or postgresql://user@host:5432/name",
    "STATIC_ROOT": "folder for collected static files",
}


@dataclass(frozen=True)
class Environment:
    """The `BATHBOOK_…` variables of a mapping such as ``os.environ``."""

    values: Mapping[str, str]

    def __post_init__(self) -> None:
        unknown = sorted(
            name for name in self.values if name.startswith(PREFIX) and name[len(PREFIX) :] not in KNOWN
        )
        if unknown:
            known = ", ".join(PREFIX + name for name in KNOWN)
            raise ImproperlyConfigured(f"Unknown setting {', '.join(unknown)}. Known are: {known}.")

    def text(self, name: str, default: str) -> str:
        """The value of a setting, or the default where it is not set."""
        return self.values.get(PREFIX + name, default)

    def switch(self, name: str, default: bool) -> bool:
        """A setting that is on or off; anything else is refused."""
        said = self.text(name, "on" if default else "off").strip().lower()
        if said not in ("on", "off"):
            raise ImproperlyConfigured(f"{PREFIX}{name} must be 'on' or 'off', not {said!r}.")
        return said == "on"

    def names(self, name: str, default: list[str]) -> list[str]:
        """A list with commas between, blanks dropped."""
        said = self.values.get(PREFIX + name)
        return default if said is None else [each.strip() for each in said.split(",") if each.strip()]
