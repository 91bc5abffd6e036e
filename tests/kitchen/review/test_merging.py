"""What the rules say of one bag reads well when it is said of several: every sentence that they have.

The sentences are read out of the source of `haccp`, so that a new one fails here until it stands, with
its plural, in tests/data/sentences_of_bags.txt. The plurals there were read by a person; no source.
"""

import ast
from pathlib import Path

import pytest

import haccp
from kitchen.review.merging import numbers_in_words, of_all, of_no_bag

ROOT = Path(haccp.__file__).parent
KEPT = Path(__file__).parents[2] / "data" / "sentences_of_bags.txt"
BAG, BAGS = "7", "Bags 7 to 9"


def template(node: ast.JoinedStr) -> str:
    """A sentence of the source: figures as …, the bag's code as 7."""
    said = ""
    for part in node.values:
        if isinstance(part, ast.Constant):
            said += str(part.value)
        else:
            code = ast.unparse(part.value).endswith("code") and said[-4:].lower() == "bag "
            said += BAG if code else "…"
    return said


def in_the_rules() -> set[str]:
    """Every sentence of the rules that names a bag, with what can still be done."""
    found = set()
    for path in ROOT.rglob("*.py"):
        nodes = [node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.JoinedStr)]
        found |= {said for node in nodes if of_no_bag(said := template(node), BAG) != said}
    return found


def kept() -> dict[str, str]:
    """The sentences with their plurals, as they are kept."""
    blocks = KEPT.read_text().strip().split("\n\n")
    lines = (block.splitlines() for block in blocks if not block.startswith("#"))
    return dict(lines)


def test_no_sentence_of_the_rules_is_left_out():
    assert {each for each in in_the_rules() if each.strip() not in kept()} == set()


@pytest.mark.parametrize(("one", "several"), kept().items())
def test_it_reads_well_of_several_bags(one, several):
    assert of_all(one, BAG, BAGS) == several


@pytest.mark.parametrize(("one", "several"), kept().items())
def test_of_one_bag_it_stays_as_it_is(one, several):
    assert of_all(one, BAG, numbers_in_words([7])) == one
