"""A sentence about one bag, said of all the bags that it holds of.

The rules write about one bag; what holds of several is said once. The code of the bag gives way to
the bags' numbers, and the verbs and pronouns that are about the bag follow it. A pronoun may also stand
for a bath or a fridge ("its band"), so only the turns that are about a bag are changed, each by itself;
a test holds them against every sentence in the rules.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

_PLURAL = {"was": "were", "is": "are", "has": "have"}
# Before these the bag is not what the verb is about: "Core of bag 1 was at 60 °C".
_NOT_SUBJECT = r"(?<!\bof )(?<!\bfor )(?<!\bin )(?<!\bwith )(?<!\bfrom )(?<!\bto )"
_OWN = re.compile(r"\bits (core|chill|store|hold|use-by|cook|bag|own thickness|second cook)\b")
_TURNS = (
    ("It is judged by", "They are judged by"),
    ("The bag is thicker", "The bags are thicker"),
    ("but it was chilled", "but they were chilled"),
    ("and is in no fridge", "and are in no fridge"),
    ("before it went in", "before they went in"),
    ("; it was somewhere else", "; they were somewhere else"),
    ("it is eaten within", "they are eaten within"),
    ("but it is still here", "but they are still here"),
    ("but it was there until", "but they were there until"),
    # Why a bag heats other than its thickness says.
    ("it floated, so a part of it", "they floated, so a part of each"),
    ("it lay against other bags", "they lay against other bags"),
    ("it was not wholly under water", "they were not wholly under water"),
    ("it went in frozen", "they went in frozen"),
    ("it had air in it", "they had air in them"),
    # What can still be done.
    ("Chill it now and log it; if it was chilled", "Chill them now and log it; if they were chilled"),
    ("Keep it in the bath", "Keep them in the bath"),
    ("keep the bag in until", "keep the bags in until"),
    ("put the bag back", "put the bags back"),
    ("Put it back", "Put them back"),
    ("keep it there until", "keep them there until"),
    ("Its come-ups", "Their come-ups"),
    ("it is cold in time", "they are cold in time"),
    ("instead of keeping it", "instead of keeping them"),
    ("heating it now", "heating them now"),
    ("what it missed", "what they missed"),
    ("cooking it again", "cooking them again"),
    ("what became of it", "what became of them"),
    ("Serve it first", "Serve them first"),
    ("Serve it by", "Serve them by"),
    ("Serve it before", "Serve them before"),
    ("throw it away", "throw them away"),
    ("Throw it away", "Throw them away"),
    ("after it left the", "after they left the"),
    ("that it was kept hot", "that they were kept hot"),
    ("to serve it,", "to serve them,"),
    ("Discard it", "Discard them"),
    ("discard it", "discard them"),
    ("Destroy it", "Destroy them"),
    ("destroy it", "destroy them"),
    ("a new label on it", "a new label on each"),
    ("Log when it goes in", "Log when they go in"),
    ("Log when it was in the bath", "Log when they were in the bath"),
    ("Log when it was taken out", "Log when they were taken out"),
)


def numbers_in_words(numbers: Iterable[int]) -> str:
    """Bags by number: *Bag 3*, *Bags 1 to 6*, *Bags 1 to 4, 6 and 8*."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    parts = []
    for run in runs:
        if len(run) > 2:
            parts.append(f"{run[0]} to {run[-1]}")
        else:
            parts += [str(each) for each in run]
    if len(parts) == 1:
        return f"Bags {parts[0]}" if len(runs[0]) > 1 else f"Bag {parts[0]}"
    return f"Bags {', '.join(parts[:-1])} and {parts[-1]}"


def of_no_bag(sentence: str, bag: str) -> str:
    """The sentence without the bag's code, so that two bags of which the same is said can be compared."""
    return re.sub(rf"\bbag {re.escape(bag)}\b", "bag", sentence, flags=re.IGNORECASE)


def of_all(sentence: str, bag: str, name: str) -> str:
    """The sentence about one bag, said of all that are like it; `name` is theirs, in words."""
    code = re.escape(bag)
    if name.startswith("Bags"):
        subject = rf"{_NOT_SUBJECT}\b([Bb]ag {code}) (was|is|has)\b"
        sentence = re.sub(subject, lambda match: f"{match[1]} {_PLURAL[match[2]]}", sentence)
        sentence = _OWN.sub(r"their \1", sentence)
        for of_one, of_several in _TURNS:
            sentence = sentence.replace(of_one, of_several)
    small = name[0].lower() + name[1:]
    return re.sub(rf"\b([Bb])ag {code}\b", lambda match: name if match[1] == "B" else small, sentence)
