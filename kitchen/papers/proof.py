"""What ties a paper to the record: short digests, and a code that opens the record's own page."""

from __future__ import annotations

import io

import segno
from django.utils.safestring import SafeString, mark_safe


def short(digest: str) -> str:
    """The first sixteen signs of a digest in fours, to be compared by eye."""
    return " ".join(digest[start : start + 4] for start in range(0, 16, 4))


def qr(address: str, title: str) -> SafeString:
    """A QR code as an inline SVG picture."""
    out = io.BytesIO()
    code = segno.make(address, error="m", micro=False)
    code.save(
        out, kind="svg", xmldecl=False, svgclass="qr", lineclass=None, omitsize=True, title=title, border=2
    )
    # Drawn here from the address alone; segno escapes the title.
    return mark_safe(out.getvalue().decode())
