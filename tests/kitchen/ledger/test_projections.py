"""Every kind of entry has a projection and words; only actions append."""

import re
from pathlib import Path

from kitchen.ledger import projections
from kitchen.review import wording

KITCHEN = Path(__file__).parents[3] / "kitchen"


def test_every_kind_has_words():
    assert projections.kinds() - {projections.CORRECTION} == wording.worded()


def test_every_recorded_kind_is_projected():
    recorded = set()
    for source in KITCHEN.glob("*/actions.py"):
        recorded |= set(re.findall(r'record\(\s*"([a-z.]+)"', source.read_text()))
    assert recorded
    assert recorded <= projections.kinds()


def test_only_actions_and_corrections_append():
    callers = {
        str(source.relative_to(KITCHEN))
        for source in KITCHEN.rglob("*.py")
        if re.search(r"from kitchen\.ledger\.chain import [^\n]*\brecord\b", source.read_text())
    }
    assert {each for each in callers if not each.endswith("/actions.py")} == {"ledger/corrections.py"}
