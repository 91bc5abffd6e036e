"""Walk a site's chain and name the first entry that does not hold.

Every entry's stored text is hashed as it is: what was hashed once is never put together anew. Because
the text is canonical, its keys stand in one order, and what the columns say must be its beginning,
letter for letter. Only where that fails is an entry read closely, to say what is wrong with it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import DatabaseError, connection

from kitchen.ledger import canonical
from kitchen.ledger.chain import genesis
from kitchen.ledger.models import Entry

CHUNK = 2000
# The columns as text, alike on both databases: an id without dashes, a moment with a blank in the middle.
_COLUMNS = {
    # Joined to an empty text, a moment of SQLite is left as it is stored, and is not parsed.
    "sqlite": (
        "seq, CAST(body AS BLOB), digest, previous, id, kind, happened_at || '', recorded_at || '', person_id"
    ),
    "postgresql": (
        "seq, convert_to(body, 'UTF8'), digest, previous, replace(id::text, '-', ''), kind, "
        "to_char(happened_at AT TIME ZONE 'UTC', 'YYYY-MM-DD HH24:MI:SS.US'), "
        "to_char(recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD HH24:MI:SS.US'), person_id"
    ),
}


@dataclass(frozen=True)
class Flaw:
    """The first entry of a chain that does not hold, and why."""

    seq: int
    reason: str


@dataclass(frozen=True)
class Verdict:
    """What a walk along one chain found."""

    site: str
    count: int
    head: str
    flaw: Flaw | None


def _flaw(entry: Entry, seq: int, previous: str, site: Any) -> Flaw | None:
    if canonical.digest(entry.body) != entry.digest:
        return Flaw(seq, f"the content of entry no. {seq} does not give its digest: it was changed")
    if entry.previous != previous:
        return Flaw(seq, f"entry no. {seq} does not follow the one before it")
    try:
        body = json.loads(entry.body)
        spelt_once = canonical.text(body) == entry.body
    except (ValueError, TypeError):
        return Flaw(seq, f"the content of entry no. {seq} can't be read")
    columns = {
        "id": str(entry.pk),
        "site": site.slug,
        "seq": entry.seq,
        "kind": entry.kind,
        "happened_at": canonical.plain(entry.happened_at),
        "recorded_at": canonical.plain(entry.recorded_at),
        "person": entry.person.code if entry.person else None,
        "previous": entry.previous,
    }
    wrong = [name for name, value in columns.items() if body.get(name) != value]
    if wrong:
        return Flaw(seq, f"entry no. {seq} says otherwise in its columns: {', '.join(wrong)}")
    if not spelt_once:
        return Flaw(seq, f"the content of entry no. {seq} is not written in the canonical form")
    return None


def _closely(seq: int, previous: str, site: Any) -> Flaw | None:
    """What is wrong with an entry, if anything is: told from its model and its parsed content."""
    try:
        return _flaw(Entry.objects.select_related("person").get(site=site, seq=seq), seq, previous, site)
    except (ValueError, TypeError, AttributeError, DatabaseError):
        return Flaw(seq, f"entry no. {seq} can't be read")


def _rows(site: Any) -> Iterator[tuple[Any, ...]]:
    """The entries of a site as plain rows, a chunk at a time, so that memory does not grow with the chain."""
    last = -1
    sql = (
        f"SELECT {_COLUMNS[connection.vendor]} FROM kitchen_entry "
        f"WHERE site_id = %s AND seq > %s ORDER BY seq LIMIT {CHUNK}"
    )
    with connection.cursor() as cursor:
        while True:
            cursor.execute(sql, [site.pk, last])
            rows = cursor.fetchall()
            yield from rows
            if len(rows) < CHUNK:
                return
            last = rows[-1][0]


def _people(site: Any) -> dict[int | None, str]:
    """How each person of a site is written in an entry."""
    people = type(site)._meta.get_field("people").related_model._default_manager.filter(site=site)
    codes = {key: json.dumps(code, ensure_ascii=False) for key, code in people.values_list("pk", "code")}
    return {None: "null", **codes}


def verify(site: Any) -> Verdict:
    """Check every entry of a site against its digest, its columns and the one before it."""
    sha256, people = hashlib.sha256, _people(site)
    ends = f',"site":{json.dumps(site.slug)},"tablet":"'
    last, count = genesis(site), 0
    for seq, body, digest, previous, key, kind, happened, recorded, person in _rows(site):
        count += 1
        if seq != count:
            flaw = Flaw(count, f"entry no. {count} is missing; no. {seq} stands in its place")
            return Verdict(site.slug, count - 1, last, flaw)
        if len(happened) == 19:
            happened += ".000000"
        if len(recorded) == 19:
            recorded += ".000000"
        begins = (
            f'{{"happened_at":"{happened[:10]}T{happened[11:]}Z",'
            f'"id":"{key[:8]}-{key[8:12]}-{key[12:16]}-{key[16:20]}-{key[20:]}",'
            f'"kind":"{kind}","person":{people.get(person)},"previous":"{previous}",'
            f'"recorded_at":"{recorded[:10]}T{recorded[11:]}Z","said":'
        )
        if (
            sha256(body).hexdigest() != digest
            or previous != last
            or not body.startswith(begins.encode())
            or body.rfind(f',"seq":{seq}{ends}'.encode()) < 0
        ):
            flaw = _closely(seq, last, site)
            if flaw:
                return Verdict(site.slug, count - 1, last, flaw)
        last = digest
    return Verdict(site.slug, count, last, None)
