"""The decimal sign of a file: what its own figures prove, or the question."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from kitchen.feeds.cells import NumberText, moment, number
from kitchen.feeds.shapes import Answers, Choice, LoggerFileError, Question, RefusedRow, chosen, shorten
from kitchen.feeds.table import Row, Table

_SIGNS = {"point": ".", "comma": ",", "either": "either"}


def ask_decimal(table: Table, columns: Iterable[int], answers: Answers) -> tuple[str, Question | None]:
    """The decimal sign ('.', ',', 'either'; empty if the figures have none), or the question for it."""
    texts = [row.cells[at] for at in columns for row in table.rows if at < len(row.cells)]
    found = [(text, each) for text in dict.fromkeys(texts) if (each := number(text))]
    signed = [(text, each) for text, each in found if "." in each.digits or "," in each.digits]
    if not signed:
        return "", None
    proven = {next(iter(each.marks)) for _, each in signed if len(each.marks) == 1}
    if len(proven) == 1:
        return proven.pop(), None
    if proven:
        points = next(text for text, each in signed if each.marks == {"."})
        commas = next(text for text, each in signed if each.marks == {","})
        question = Question(
            "decimal",
            "Some figures of this file have a decimal point and others a decimal comma. Say which to read; "
            "figures with the other sign are refused and listed.",
            (
                Choice("point", "the point is the decimal sign", f"{points} is read, {commas} is refused"),
                Choice("comma", "the comma is the decimal sign", f"{commas} is read, {points} is refused"),
                Choice("either", "both are decimal signs", f"{points} and {commas} are both read"),
            ),
        )
    else:
        text, each = signed[0]
        question = Question(
            "decimal",
            "The figures of this file can be read in two ways. Say which sign stands before the decimals.",
            (
                Choice("point", "the point", f"{text} is {_spell(each, '.')}"),
                Choice("comma", "the comma", f"{text} is {_spell(each, ',')}"),
            ),
        )
    answer = chosen(answers, question)
    return (_SIGNS[answer], None) if answer else ("", question)


def join_decimal_commas(table: Table, answers: Answers) -> Question | None:
    """Where a comma both separates columns and seems to stand before decimals: ask, and join if told so.

    Such rows have one cell more for every column of figures. The reader has
    refused them for their width; they come back with the figures joined.
    """
    if table.separator != "," or not table.heading:
        return None
    width = len(table.heading)
    wide = [each for each in table.wide if each.cells]
    if not wide or len(wide) <= len(table.rows):
        return None
    cells, _ = Counter(len(each.cells) for each in wide).most_common(1)[0]
    whole = 2 * width - cells
    if not 0 <= whole < width:
        return None
    joined = {id(each): _join(each.cells, whole) for each in wide if len(each.cells) == cells}
    usable = [each for each in wide if joined.get(id(each))]
    if len(usable) < 0.5 * len(wide):
        return None
    example = joined[id(usable[0])] or []
    question = Question(
        "decimal",
        "The comma separates the columns of this file, and it seems to be the decimal sign as well. Is it?",
        (
            Choice("comma", "yes: the comma is also the decimal sign", " | ".join(example)),
            Choice("no", "no: the heading lacks some columns", " | ".join(usable[0].cells)),
        ),
    )
    answer = chosen(answers, question)
    if answer is None:
        return question
    if answer == "no":
        raise LoggerFileError(
            f"The rows have {cells} columns and the heading only {width}. Name every column in the heading "
            "line and bring the file again."
        )
    back = {each.line for each in usable}
    table.refused = [each for each in table.refused if each.line not in back]
    table.refused += [
        RefusedRow(each.line, shorten(each.text), "its commas do not say which are decimal signs")
        for each in table.rows
    ]
    table.rows = [
        Row(each.line, each.text, joined[id(each)] or [], each.segment, each.units) for each in usable
    ]
    return None


def _join(cells: list[str], whole: int) -> list[str] | None:
    pairs = list(zip(cells[whole::2], cells[whole + 1 :: 2], strict=True))
    joined = [f"{left},{right}" for left, right in pairs]
    if not all(left.lstrip("+-−").isdecimal() and right.isdecimal() for left, right in pairs):
        return None
    if whole and not any(moment(each) or number(each) for each in cells[:whole]):
        return None
    return cells[:whole] + joined


def _spell(each: NumberText, mark: str) -> str:
    value = each.value(mark)
    return f"{value:f}" if value is not None else "not a number"
