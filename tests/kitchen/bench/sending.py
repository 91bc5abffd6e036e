"""Send a form of the Bench as a tablet does: with the id that the page gave it."""

from __future__ import annotations

from typing import Any

from kitchen.base.ids import new_id
from kitchen.ledger.models import Entry


def send(client: Any, address: str, *, twice: bool = False, **typed: Any) -> Any:
    """Post a form, or the same form a second time; gives the last answer."""
    said = {"entry_id": str(new_id()), **typed}
    answer = client.post(address, said)
    if twice:
        answer = client.post(address, said)
    return answer


def words(answer: Any) -> str:
    """What a page says."""
    text: str = answer.content.decode()
    return text.replace("&#x27;", "'").replace("\u00a0", " ")


def kept(client: Any, answer: Any) -> str:
    """What the page after a redirect says."""
    assert answer.status_code == 302, words(answer)
    return words(client.get(answer.url))


def count(kind: str) -> int:
    """How many entries of a kind there are."""
    return Entry.objects.filter(kind=kind).count()
