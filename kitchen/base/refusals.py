"""How an action says no: in words that say what to do, with nothing half-saved."""

from __future__ import annotations


class Refused(Exception):
    """An action could not accept what it was told.

    `message` is for the cook; `field` names the form field it belongs to, if one.
    """

    def __init__(self, message: str, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
