"""The errors that `haccp` raises: each message says what to do about it."""

from __future__ import annotations


class HaccpError(ValueError):
    """A value that the library can't work with; the message is fit to be shown to the cook."""


class ReadingsError(HaccpError):
    """Readings that are missing, out of order, not numbers or not joined to each other."""


class BodyError(HaccpError):
    """A shape, a dimension or a property of the food outside what the equations cover."""


class RangeError(HaccpError):
    """A time, temperature, coefficient or range outside what the equations cover."""


class DataError(HaccpError):
    """An unknown key, or an entry of the data files that does not hold together."""


class UnitError(HaccpError):
    """A typed value or its unit that can't be read, or a value that the unit does not allow."""


class BasisError(HaccpError):
    """A figure and a limit that are reckoned on different things, so that comparing them means nothing."""
