"""From HTML to PDF: one font, one style sheet, the same bytes for the same content.

The font comes with the project's packages and is embedded, so that a paper looks the same
from a server that has no fonts. Dates come from the record, never from the clock.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import quote

from django.conf import settings

VARIANT = "pdf/a-3a"
FONT = "IBMPlexSans[wdth,wght].ttf"


@dataclass(frozen=True)
class Attached:
    """A file inside the PDF: the data behind the paper."""

    name: str
    description: str
    content: str


def _font_face() -> str:
    address = f"file://{quote(str(settings.FONTS / FONT))}"
    # WeasyPrint takes the weights of a variable font as they are asked for; it ignores a range of them.
    return f'@font-face {{ font-family: "IBM Plex Sans"; src: url("{address}"); }}'


def render(
    html: str,
    *,
    made_at: datetime,
    attached: Sequence[Attached] = (),
    sheets: Sequence[str] = ("paper.css",),
) -> bytes:
    """A tagged PDF/A-3 of a page, with its data attached; `sheets` lie in ``static/css``."""
    # WeasyPrint takes half a second to import: only who prints pays for it.
    # The fonts that it cuts carry the moment of cutting, unless this variable names another.
    os.environ.setdefault("SOURCE_DATE_EPOCH", "0")
    from weasyprint import CSS, HTML, Attachment
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()
    folder = settings.HOME / "static/css"
    styles = [
        CSS(string=_font_face(), font_config=fonts),
        *(CSS(filename=str(folder / each), font_config=fonts) for each in sheets),
    ]
    attachments = [
        Attachment(
            string=each.content,
            name=each.name,
            description=each.description,
            relationship="Data",
            created=made_at,
            modified=made_at,
        )
        for each in attached
    ]
    document = HTML(string=html, base_url=str(settings.HOME))
    written: bytes = document.write_pdf(
        stylesheets=styles, font_config=fonts, pdf_variant=VARIANT, attachments=attachments
    )
    return written
