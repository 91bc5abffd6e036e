"""The page's font holds every sign that the pages write; text goes packed, pictures and fonts as they are."""

from __future__ import annotations

import gzip
import io
from pathlib import Path

from django.conf import settings
from fontTools.ttLib import TTFont

from kitchen.base.webfont import FONT, woff2

HOME = Path(settings.HOME)


def signs():
    """Every sign in the sources of what is shown."""
    sources = [
        *HOME.glob("templates/**/*.html"),
        *HOME.glob("kitchen/**/*.py"),
        *HOME.glob("haccp/data/*.toml"),
        *HOME.glob("static/js/*.js"),
    ]
    return {ord(sign) for path in sources for sign in path.read_text() if sign.isprintable()}


def test_the_cut_font_has_all_that_the_whole_one_has_of_our_signs():
    whole = TTFont(Path(settings.FONTS) / FONT).getBestCmap()
    cut = TTFont(io.BytesIO(woff2())).getBestCmap()
    assert {chr(sign) for sign in signs() & whole.keys() - cut.keys()} == set()


def test_the_letters_of_every_language_of_the_bench_are_there():
    """French, Spanish, Italian, Polish, Portuguese, Romanian: their alphabets, from memory."""
    cut = TTFont(io.BytesIO(woff2())).getBestCmap()
    letters = "àâæçéèêëîïôœùûüÿñáíóúü¿¡ìòąćęłńóśźżãõăâîșțşţ"
    assert {each for each in letters + letters.upper().replace("ß", "") if ord(each) not in cut} == set()


def test_weights_are_variable_and_all_figures_are_equally_wide():
    font = TTFont(io.BytesIO(woff2()))
    (axis,) = font["fvar"].axes
    assert (axis.axisTag, axis.minValue, axis.maxValue) == ("wght", 400, 700)
    cut = font.getBestCmap()
    assert len({font["hmtx"][cut[ord(digit)]][0] for digit in "0123456789"}) == 1


def test_text_is_packed_and_pictures_and_fonts_are_not(client, db):
    asked = {"headers": {"Accept-Encoding": "gzip"}}
    style = client.get("/static/css/bathbook.css", **asked)
    assert style.headers["Content-Encoding"] == "gzip"
    assert b"@font-face" in gzip.decompress(b"".join(style.streaming_content))
    style.close()
    for address in ("/font.woff2", "/static/img/icon-192.png"):
        answer = client.get(address, **asked)
        answer.close()
        assert answer.status_code == 200
        assert "Content-Encoding" not in answer.headers
