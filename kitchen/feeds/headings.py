"""What the words of a heading, or of a line between readings, say."""

from __future__ import annotations

import re

from kitchen.feeds.cells import UNITS

TIME_WORD = re.compile(
    r"(?:\b|_)(?:date|time|datetime|timestamp|clock|elapsed|duration|seconds|minutes|hours|secs|mins|hrs|unix|epoch)"
    r"(?:\b|_)(?!\s*zone)|^(?:t|s|min|h)$",
    re.IGNORECASE,
)
STOP_START = re.compile(
    r"\b(?:stop|stopped|start|started|restart|restarted|pause|paused|resume|resumed|interrupted"
    r"|switched o(?:n|ff)"
    r"|power(?:ed)? ?(?:on|off|up|down|loss|failure)|logging (?:on|off))\b",
    re.IGNORECASE,
)
OTHER = re.compile(
    r"humid|%|(?:\b|_)rh(?:\b|_)|batt|volt|(?:\b|_)[mk]?pa(?:\b|_)|pressure|power|watt|duty|dew|"
    r"set[ _-]?point|target"
    r"|alarm|limit|flow|rpm|weight|signal|rssi|checksum|status|state|event|remark|note|serial|sample interval"
    r"|(?:\b|_)(?:no|nr|id|index|record|count|row|line|lux|ph|co2|model)\b\.?|^#$",
    re.IGNORECASE,
)
ELAPSED = re.compile(r"elapsed|duration|since start|relative|run ?time", re.IGNORECASE)
TIME_UNITS = (
    ("ms", re.compile(r"(?:\b|_)(?:ms|milliseconds?|msecs?)\b", re.IGNORECASE)),
    ("s", re.compile(r"(?:\b|_)(?:s|secs?|seconds?)\b", re.IGNORECASE)),
    ("min", re.compile(r"(?:\b|_)(?:mins?|minutes?)\b", re.IGNORECASE)),
    ("h", re.compile(r"(?:\b|_)(?:h|hrs?|hours?)\b", re.IGNORECASE)),
)
_HEADING_UNIT = re.compile(
    r"(?:(?:°|º|˚|\bdeg(?:rees?)?\.?)\s*([cf])\b|([℃℉])|\b(celsius|fahrenheit|kelvin)\b|[\[(]\s*([cfk])\s*[\])]"
    r"|_(?:deg)?([cfk])$|[ ,/]([CFK])$|(?:^|[_\s])temp(?:erature)?(?:_deg)?([CF])$)"
)
_HEADING_UNIT_ANY_CASE = re.compile(_HEADING_UNIT.pattern.replace("([CFK])", "([CcFfKk])", 0), re.IGNORECASE)


def unit_in_heading(name: str, names: list[str] | tuple[str, ...]) -> str | None:
    """The temperature unit that a heading states.

    A last letter on its own ("mean_c") is a unit only if no sister column has the
    same stem and another letter: in "mean_a, mean_b, mean_c" it is a name.
    """
    match = _HEADING_UNIT.search(name) or _HEADING_UNIT_ANY_CASE.search(name)
    if not match:
        return None
    if match[2]:
        return {"℃": "degC", "℉": "degF"}[match[2]]
    bare = match[5] or match[6]
    if bare:
        stem = name[: match.end() - 1].lower()
        for sister in names:
            low = sister.lower()
            if len(low) == len(name) and low.startswith(stem) and low[-1].isalnum() and low[-1] not in "cfk":
                return None
    letter = next(each for each in match.groups() if each)
    return UNITS[letter[0].lower()]
