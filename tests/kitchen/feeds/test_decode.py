"""Which bytes are read at all. Signatures: the formats' own magic numbers, as the `file` tool knows them."""

from __future__ import annotations

import hashlib
import io
import zipfile

import pytest

from kitchen.feeds.shapes import LoggerFileError
from tests.kitchen.feeds.looks import celsius, degrees, see

TABLE = "Time;Temp (°C)\n2026-03-02 10:00:00;59,5\n2026-03-02 10:00:10;60,1\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_the_degree_sign_survives_each_encoding(encoding: str) -> None:
    found = see(TABLE.encode(encoding))
    assert found.encoding == encoding
    assert celsius(found) == degrees("59.5", "60.1")
    assert found.digest == hashlib.sha256(TABLE.encode(encoding)).hexdigest()


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
def test_utf_16_without_its_mark(encoding: str) -> None:
    found = see(TABLE.encode(encoding))
    assert (found.encoding, len(found.channels[0].readings)) == (encoding, 2)


@pytest.mark.parametrize("end", ["\r\n", "\r", "\n"])
def test_each_line_end_counts_lines_alike(end: str) -> None:
    found = see(TABLE.replace("\n", end))
    assert [each.line for each in found.channels[0].readings] == [2, 3]


def _packed() -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as archive:
        archive.writestr("sheet.xml", "<x/>")
    return target.getvalue()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b" \r\n \n", "empty"),
        (b"\xef\xbb\xbf", "empty"),
        (_packed(), "spreadsheet"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(100), "old spreadsheet"),
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", "PDF"),
        (b"\x89PNG\r\n\x1a\n" + bytes(20), "picture"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "picture"),
        (b"GIF89a", "picture"),
        (b"<!DOCTYPE html><html><table>", "web page"),
        (b"Time,Temp\x00\x01\x02\n", "not plain text"),
        (b"Time,Temp\n\x81\x8d,\xff\n", "encoding"),
        (b"\xff\xfeT\x00\x00", "encoding"),
        (b"good morning\n", "No line of the file looks like a reading"),
    ],
)
def test_what_is_no_table_is_named(data: bytes, says: str) -> None:
    with pytest.raises(LoggerFileError, match=says):
        see(data)


def test_a_file_at_the_limit_is_read_and_one_byte_more_is_not() -> None:
    data = TABLE.encode()
    assert see(data, limit=len(data)).channels
    with pytest.raises(LoggerFileError, match="Export a shorter period"):
        see(data, limit=len(data) - 1)
