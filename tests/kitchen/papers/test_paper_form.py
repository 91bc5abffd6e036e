"""The paper itself: pages, font, margins, struck lines, attachment, tags, the same bytes."""

from __future__ import annotations

import csv
import io
import re
import shutil
import subprocess
from datetime import datetime
from decimal import Decimal

import pikepdf
import pytest
import segno
import time_machine
from PIL import Image, ImageOps
from pypdf import PdfReader

from kitchen.papers.batch_record import batch_record
from kitchen.papers.readings_csv import plain
from kitchen.papers.sections import COLUMNS
from tests.kitchen.papers.conftest import ADDRESS, words_of

MARGIN_PT = 15 / 25.4 * 72
A4_PT = (595.276, 841.89)
WORD = re.compile(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>')


def boxes(pdf: bytes) -> list[list[tuple[float, float, float, float, str]]]:
    """Every word of every page with its box [pt], by poppler: a reader that is none of ours."""
    assert shutil.which("pdftotext"), "poppler-utils is one of the test tools (see the Makefile)"
    out = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    ).stdout.decode()
    return [
        [(*(float(each) for each in found[:4]), found[4]) for found in WORD.findall(page)]
        for page in out.split("<page ")[1:]
    ]


def test_pages_are_a4_and_numbered(told):
    pages = PdfReader(io.BytesIO(told.pdf)).pages
    for number, page in enumerate(pages, start=1):
        size = float(page.mediabox.width), float(page.mediabox.height)
        assert size == pytest.approx(A4_PT, abs=0.5)
        assert f"page {number} of {len(pages)}" in page.extract_text()


def test_no_page_is_empty(told):
    for page in PdfReader(io.BytesIO(told.pdf)).pages:
        assert len(page.extract_text()) > 200


def test_the_font_is_embedded_and_bold_is_bold(told):
    with pikepdf.open(io.BytesIO(told.pdf)) as pdf:
        names = set()
        for page in pdf.pages:
            for font in page.Resources.Font.values():
                inner = font.DescendantFonts[0]
                assert "/FontFile2" in inner.FontDescriptor
                names.add(str(inner.BaseFont).split("+")[-1])
    assert all(name.startswith("IBM-Plex-Sans") for name in names)
    assert {"IBM-Plex-Sans", "IBM-Plex-Sans-Semi-Bold"} <= names


def test_nothing_runs_over_the_margin_or_into_its_neighbour(factory, printed):
    long = "Salzwiesenlammkeulenbratenscheibe"
    factory.lot = lambda: type(factory).lot(
        factory,
        "LOT-2026-11-16-0123456789-ABCDEFGH",
        product=long,
        supplier=f"{long} & {long}",
        allergens="milk",
    )
    batch = factory.chilled(bags=3, dish=f"{long}, {long}"[:80], preparation=long)
    for page in boxes(printed(batch)[1]):
        for left, _, right, bottom, word in page:
            assert left >= MARGIN_PT - 1, word
            assert right <= A4_PT[0] - MARGIN_PT + 1, word
            assert bottom <= A4_PT[1] - 10, word
        body = [each for each in page if each[4].strip()]
        for one in body:
            for other in body:
                if one is other or one[4] == other[4]:
                    continue
                wide = min(one[2], other[2]) - max(one[0], other[0])
                high = min(one[3], other[3]) - max(one[1], other[1])
                lower = min(one[3] - one[1], other[3] - other[1])
                assert not (wide > 1.5 and high > 0.6 * lower), (one, other)


def inked(pdf: bytes, word: str) -> list[float]:
    """For each place of a word among the entries: how much of a line through its middle is ink, 0 to 1."""
    found = []
    for number, page in enumerate(boxes(pdf), start=1):
        places = [each for each in page if each[4] == word]
        if not places or "Happened" not in {each[4] for each in page}:
            continue
        command = ["pdftoppm", "-r", "288", "-gray", "-f", str(number), "-l", str(number), "-png", "-"]
        png = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout
        image = Image.open(io.BytesIO(png)).convert("L")
        for left, top, right, bottom, _ in places:
            crop = image.crop(tuple(round(each * 4) for each in (left + 1, top, right - 1, bottom)))
            middle = range(crop.height // 3, 2 * crop.height // 3 + 1)
            rows = [sum(crop.getpixel((x, y)) < 128 for x in range(crop.width)) / crop.width for y in middle]
            found.append(max(rows))
    return found


def test_the_old_value_is_struck_through_and_the_new_one_is_not(told):
    assert told.wrong.said["celsius"] == "64"
    new, old = inked(told.pdf, "64.2"), inked(told.pdf, "64.0")
    assert new
    assert max(new) < 0.9
    assert sum(each > 0.97 for each in old) == 1


def test_the_code_is_drawn_whole_at_a_size_that_a_tablet_reads(told):
    """Every module of the code is sampled from the page; its size and quiet zone as ISO/IEC 18004 asks."""
    command = ["pdftoppm", "-r", "600", "-gray", "-f", "1", "-l", "1", "-png", "-"]
    png = subprocess.run(command, input=told.pdf, capture_output=True, check=True).stdout
    page = Image.open(io.BytesIO(png)).convert("1", dither=Image.Dither.NONE)
    mm = 600 / 25.4
    corner = page.crop((round(163 * mm), round(10 * mm), round(197 * mm), round(38.2 * mm)))
    ink = ImageOps.invert(corner.convert("L")).getbbox()
    left, top, right, _ = ink
    code = segno.make(ADDRESS, error="m", micro=False)
    size = code.symbol_size(border=0)[0]
    module = (right - left) / size
    assert module / mm >= 0.5
    drawn = [
        [corner.getpixel((left + (x + 0.5) * module, top + (y + 0.5) * module)) == 0 for x in range(size)]
        for y in range(size)
    ]
    assert drawn == [[bool(each) for each in row] for row in code.matrix]


def test_the_same_state_gives_the_same_bytes_whenever_it_is_printed(story, printed):
    entry, first = printed(story)
    with time_machine.travel(datetime.fromisoformat("2031-01-01T00:00:00+00:00")):
        assert batch_record(story, entry, address=ADDRESS) == first


def test_a_later_entry_changes_the_head_on_the_next_print(factory, story, printed):
    one, first = printed(story)
    factory.lot("L9")
    two, second = printed(story)
    assert first != second
    assert f"Head no. {one.seq} " in words_of(first)
    assert f"Head no. {two.seq} " in words_of(second)
    assert two.digest[:4] in words_of(second)


def test_the_readings_are_attached_and_load_back(told):
    (name, (content,)) = next(iter(PdfReader(io.BytesIO(told.pdf)).attachments.items()))
    assert name == "readings-TK-261116-A.csv"
    rows = list(csv.DictReader(io.StringIO(content.decode())))
    gathered = told.gathered
    readings = [each for log in gathered.logs for each in log.readings]
    checks = [each.reading for bag in gathered.bags for each in bag.core_checks]
    assert [(datetime.fromisoformat(row["utc"]), Decimal(row["celsius"])) for row in rows] == [
        (each.at, Decimal(f"{each.celsius:.2f}")) for each in readings + checks
    ]


@pytest.mark.parametrize("text", ["=1+1", "+A1", "-2", "@x", "\tx"])
def test_no_text_of_the_attachment_is_taken_for_a_formula(text):
    assert plain(text) == f"'{text}"
    assert plain("Bath 1") == "Bath 1"


def test_it_is_tagged_archivable_and_says_what_its_pictures_are(told):
    """The marks that PDF/A-3, level A (ISO 19005-3) asks for, as far as pikepdf can see them."""
    with pikepdf.open(io.BytesIO(told.pdf)) as pdf:
        meta = pdf.open_metadata()
        assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "A")
        assert "Batch record TK-261116-A" in meta["dc:title"]
        assert meta["xmp:CreateDate"].startswith(told.entry.recorded_at.strftime("%Y-%m-%dT%H:%M"))
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en-GB"
        assert pdf.Root.AF[0].AFRelationship == pikepdf.Name.Data
        alts = [
            str(each["/Alt"])
            for each in pdf.objects
            if isinstance(each, pikepdf.Dictionary) and each.get("/S") == "/Figure" and "/Alt" in each
        ]
    assert any("Core curve of bags 1 and 2 of batch TK-261116-A" in each for each in alts)
    assert any("Opens the record of batch TK-261116-A" in each for each in alts)


def test_the_columns_of_every_step_are_as_wide_as_the_text():
    """A4 less two margins of 15 mm."""
    assert {title: sum(width for _, width in columns) for title, columns in COLUMNS.items()} == dict.fromkeys(
        COLUMNS, 210 - 2 * 15
    )
