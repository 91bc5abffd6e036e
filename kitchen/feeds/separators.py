"""Which sign separates the columns of a file."""

from __future__ import annotations

import re

from kitchen.feeds.shapes import Answers, Choice, LoggerFileError, Question, chosen, shorten
from kitchen.feeds.table import cut, is_data, is_heading

SEPARATORS = {";": "semicolon", "\t": "tab", "|": "upright bar", ",": "comma"}


def find_separator(lines: list[str], answers: Answers) -> tuple[str, Question | None]:
    """The separator, or the question that must be answered first."""
    declared = re.match(r"\s*sep=(.)\s*$", lines[0], re.IGNORECASE)
    fits = {
        each: [at for at, text in enumerate(lines) if each in text and is_data(cut(text, each))]
        for each in SEPARATORS
    }
    if declared and declared[1] in SEPARATORS:
        fits = {declared[1]: fits[declared[1]]}
    most = max(fits, key=lambda each: len(fits[each]))
    if not fits[most]:
        raise LoggerFileError(
            "No line of the file looks like a reading (a time and a temperature, separated by a comma, "
            "a semicolon, a tab or an upright bar). Export the readings from the logger as CSV."
        )
    own = set(fits[most])
    first = fits[most][0]
    rivals = {most: fits[most]}
    # What stands above the heading is no row, whatever signs are in it.
    top = max((at for at in range(first) if is_heading(cut(lines[at], most))), default=-1)
    for each, found in fits.items():
        strays = [at for at in found if at not in own and at > top]
        if each != most and strays:
            rivals[each] = strays
    if len(rivals) == 1:
        return most, None
    question = Question(
        "separator",
        "The lines of this file are not all separated by the same sign. Say which lines to read; the others "
        "are refused and listed. Or make the file uniform and bring it again.",
        tuple(
            Choice(
                SEPARATORS[each],
                f"{SEPARATORS[each]}: {len(found)} line{'s' if len(found) > 1 else ''}",
                shorten(lines[found[0]], 80),
            )
            for each, found in rivals.items()
        ),
    )
    answer = chosen(answers, question)
    if answer is None:
        return most, question
    return next(each for each in rivals if SEPARATORS[each] == answer), None
