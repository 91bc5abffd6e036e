"""What one cell of a logger file may be: a number, a moment, a unit, the text of an error."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache

# No cell that means something is longer; the patterns below are not tried on more.
_LONGEST = 60

UNITS = {"c": "degC", "f": "degF", "k": "kelvin"}
UNIT_LABELS = {"degC": "°C", "degF": "°F", "kelvin": "K"}

_DEGREE = r"(?:°|º|˚|deg(?:rees?)?\.?)"
UNIT_CELL = re.compile(
    rf"[\[(]?\s*(?:{_DEGREE}\s*([cf])|([℃℉])|(celsius|fahrenheit|kelvin)|([cfk]))\s*[\])]?\s*$", re.IGNORECASE
)
_NUMBER = re.compile(
    r"([+\-−]?)([0-9][0-9.,]{0,15}|[.,][0-9]{1,9})([eE][+\-]?[0-9]{1,2})?"
    rf"\s*((?:{_DEGREE}\s*)?[cfCFkK]|[℃℉])?$"
)
_ERROR_TEXT = re.compile(
    r"(?:[-–—_*#?.]+|n/?a|#n/a|-?nan|null|none|nil|err(?:or)?[ .:]?\w*|-?ol|o\.l\.?|[+-]?inf|open|short"
    r"|fault|fail(?:ed)?|invalid|(?:over|under)[ -]?range|no (?:data|signal|sensor|probe)|disconnected"
    r"|lo|hi)$",
    re.IGNORECASE,
)
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_MONTH = "(" + "|".join(_MONTHS) + r")[a-z]{0,6}\.?"
_MOMENT = re.compile(
    r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]{0,6},?\s+)?"
    r"(?P<date>[0-9]{1,4}([-/.])[0-9]{1,2}\2[0-9]{1,4}|[0-9]{8}(?=[T ])"
    rf"|[0-9]{{1,2}}[ \-/.]{{0,2}}{_MONTH}[ \-/.,]{{1,2}}[0-9]{{2,4}}|{_MONTH}\s[0-9]{{1,2}},?\s[0-9]{{4}})?"
    r"(?P<gap>\s*[T,]?\s*)"
    r"(?P<clock>[0-9]{1,4}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]{1,9})?)?)?"
    r"\s*(?P<half>[ap]\.?m\.?)?\s*(?P<zone>z|utc|gmt|[+\-−][0-9]{2}:?[0-9]{2})?$",
    re.IGNORECASE,
)
ORDERS = {"dmy": "day, month, year", "mdy": "month, day, year", "ymd": "year, month, day"}


def unit_of(text: str) -> str | None:
    """The temperature unit that a cell states and nothing else, or None."""
    match = UNIT_CELL.match(text.strip()) if len(text) <= _LONGEST else None
    if not match:
        return None
    found = (match[1] or match[3] or match[4] or {"℃": "c", "℉": "f"}[match[2]]).lower()
    return UNITS[found[0]]


@dataclass(frozen=True)
class NumberText:
    """A number as written. `marks` are the decimal signs under which it can be read."""

    sign: str
    digits: str
    exponent: str
    unit: str | None
    marks: frozenset[str]

    def value(self, mark: str) -> Decimal | None:
        """The number under decimal sign `mark` ('.', ',' or 'either'); None if it does not fit."""
        digits = self.digits
        if mark == "either":
            single = digits.count(".") + digits.count(",") == 1
            mark = next(iter(self.marks)) if len(self.marks) == 1 else ("." if "." in digits else ",")
            if not single and len(self.marks) != 1:
                mark = "."
        if mark not in self.marks:
            return None
        plain = digits.replace("," if mark == "." else ".", "").replace(mark, ".")
        return Decimal(("-" if self.sign in ("-", "−") else "") + plain + self.exponent)


@lru_cache(maxsize=20_000)
def number(text: str) -> NumberText | None:
    """`text` as a number with perhaps a unit after it, or None."""
    if len(text) > _LONGEST:
        return None
    match = _NUMBER.match(text.replace("\u00a0", " ").replace("\u202f", " ").strip())
    if not match:
        return None
    sign, digits, exponent, unit = match[1], match[2], match[3] or "", match[4]
    marks = _marks(digits)
    if not marks:
        return None
    return NumberText(sign, digits, exponent, unit_of(unit) if unit else None, marks)


def _marks(digits: str) -> frozenset[str]:
    both = frozenset(".,")
    points, commas = digits.count("."), digits.count(",")
    if not points and not commas:
        return both
    if points and commas:
        mark = "." if digits.rfind(".") > digits.rfind(",") else ","
        group = "," if mark == "." else "."
        fits = re.fullmatch(rf"[0-9]{{1,3}}(?:\{group}[0-9]{{3}})+\{mark}[0-9]+", digits)
        return frozenset(mark) if fits else frozenset()
    mark = "." if points else ","
    other = "," if points else "."
    grouped = re.fullmatch(rf"[1-9][0-9]{{0,2}}(?:\{mark}[0-9]{{3}})+", digits)
    if points + commas > 1:
        return frozenset(other) if grouped else frozenset()
    return both if grouped else frozenset(mark)


def is_error_text(text: str) -> bool:
    """Blank, or one of the words and signs that loggers write in place of a reading."""
    return not text.strip() or (len(text) <= _LONGEST and _ERROR_TEXT.match(text.strip()) is not None)


@dataclass(frozen=True)
class DateText:
    """A date as written: three numbers, and the orders in which they may stand."""

    parts: tuple[int, int, int]
    orders: tuple[str, ...]

    def resolve(self, order: str) -> date | None:
        """The date under `order`; a date that leaves no doubt is the same under every order."""
        used = order if order in self.orders else self.orders[0] if len(self.orders) == 1 else None
        if used is None:
            return None
        by_letter = dict(zip(used, self.parts, strict=True))
        year = by_letter["y"] + (2000 if by_letter["y"] < 100 else 0)
        try:
            found = date(year, by_letter["m"], by_letter["d"])
        except ValueError:
            return None
        return found if 2000 <= found.year <= 2099 else None


@dataclass(frozen=True)
class MomentText:
    """A moment as written: perhaps a date, perhaps a clock time, perhaps an offset from UTC."""

    day: DateText | None
    clock: timedelta | None
    clock_parts: int
    half: str
    offset: timedelta | None

    @property
    def time_of_day(self) -> timedelta | None:
        """The clock time as one of a day, or None if it is not one."""
        if self.clock is None:
            return None
        hours = int(self.clock.total_seconds() // 3600)
        if self.half:
            if not 1 <= hours <= 12:
                return None
            return self.clock + timedelta(hours=(12 if self.half == "p" else 0) - (12 if hours == 12 else 0))
        return self.clock if hours < 24 else None


@lru_cache(maxsize=20_000)
def moment(text: str) -> MomentText | None:
    """`text` as a date, a clock time or both, or None."""
    match = _MOMENT.match(text.strip()) if len(text) <= _LONGEST else None
    if not match or not (match["date"] or match["clock"]):
        return None
    if not match["clock"] and (match["half"] or match["zone"] or match["gap"].strip()):
        return None
    if match["date"] and match["clock"] and not match["gap"]:
        return None
    day = _date(match["date"]) if match["date"] else None
    clock, parts = _clock(match["clock"]) if match["clock"] else (None, 0)
    if (match["date"] and day is None) or (match["clock"] and clock is None):
        return None
    return MomentText(day, clock, parts, (match["half"] or "")[:1].lower(), zone_offset(match["zone"] or ""))


def zone_offset(text: str) -> timedelta | None:
    """The offset from UTC that Z, UTC, GMT or ±hh:mm states; None if nothing is stated."""
    match = re.match(r"(?:z|utc|gmt)?\s*(?:([+\-−])([0-9]{1,2}):?([0-9]{2})?)?$", text.strip(), re.IGNORECASE)
    if not match or not text.strip():
        return None
    size = timedelta(hours=int(match[2] or 0), minutes=int(match[3] or 0))
    if size > timedelta(hours=14):
        return None
    return -size if match[1] in ("-", "−") else size


@lru_cache(maxsize=4_000)
def _date(text: str) -> DateText | None:
    word = re.search("|".join(_MONTHS), text, re.IGNORECASE)
    numbers = [int(each) for each in re.findall("[0-9]+", text)]
    if word:
        month = _MONTHS.index(word[0].lower()) + 1
        return DateText((numbers[0], month, numbers[1]), ("dmy",)) if len(numbers) == 2 else None
    if len(numbers) == 1:
        return DateText((numbers[0] // 10000, numbers[0] // 100 % 100, numbers[0] % 100), ("ymd",))
    widths = [len(each) for each in re.findall("[0-9]+", text)]
    parts = (numbers[0], numbers[1], numbers[2])
    if widths[0] == 4 and widths[2] <= 2:
        return DateText(parts, ("ymd",))
    if widths[0] <= 2 and widths[2] == 4:
        return DateText(parts, ("dmy", "mdy"))
    if widths[0] <= 2 and widths[2] == 2:
        return DateText(parts, ("dmy", "mdy", "ymd"))
    return None


def _clock(text: str) -> tuple[timedelta | None, int]:
    parts = text.replace(",", ".").split(":")
    if int(parts[1]) > 59 or (len(parts) == 3 and float(parts[2]) >= 60):
        return None, 0
    seconds = Decimal(parts[2]) if len(parts) == 3 else Decimal(0)
    whole = timedelta(hours=int(parts[0]), minutes=int(parts[1]), microseconds=int(seconds * 1_000_000))
    return whole, len(parts)
