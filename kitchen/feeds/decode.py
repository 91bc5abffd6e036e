"""From the bytes of a logger file to its lines; anything that is not text is named and refused."""

from __future__ import annotations

import re

from kitchen.feeds.shapes import LoggerFileError

_SAVE_AS = "Open it where it was made, save or export it as CSV (plain text), and bring that file."

_SIGNATURES: tuple[tuple[bytes, str], ...] = (
    (b"PK\x03\x04", "a spreadsheet or another packed file"),
    (b"PK\x05\x06", "a packed file"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"II*\x00", "a picture"),
    (b"MM\x00*", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"7z\xbc\xaf", "a packed file"),
    (b"{\\rtf", "a word processor's file"),
    (b"SQLite format 3", "a database"),
)
_MARKUP = re.compile(r"\s*<(?:!doctype|html|\?xml|svg|table)\b", re.IGNORECASE)
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f\ufffe\uffff]")
_LINE_END = re.compile(r"\r\n|\n|\r")


def decode(data: bytes, limit: int) -> tuple[list[str], str]:
    """The lines of the file, as numbered in it, and the encoding that fits them strictly."""
    if len(data) > limit:
        raise LoggerFileError(
            f"The file has {len(data) / 1e6:.1f} MB; at most {limit / 1e6:.1f} MB are read at once. "
            "Export a shorter period, or split the file."
        )
    if not data.strip(b" \t\r\n\x00\xef\xbb\xbf\xff\xfe"):
        raise LoggerFileError("The file is empty. Export the readings from the logger again.")
    _refuse_known_binary(data)
    text, encoding = _text(data)
    text = text.rstrip("\x1a\x00")  # old export programs close a file with one of these
    if _MARKUP.match(text):
        raise LoggerFileError(f"The file looks like a web page or XML, not like a table. {_SAVE_AS}")
    if _NOT_TEXT.search(text):
        raise LoggerFileError(f"The file is not plain text: it holds control characters. {_SAVE_AS}")
    if not text.strip():
        raise LoggerFileError("The file is empty. Export the readings from the logger again.")
    return _LINE_END.split(text), encoding


def _refuse_known_binary(data: bytes) -> None:
    for signature, what in _SIGNATURES:
        if data.startswith(signature):
            raise LoggerFileError(f"The file looks like {what}. {_SAVE_AS}")
    if data[4:8] == b"ftyp" or (data[:4] == b"RIFF" and data[8:12] == b"WEBP"):
        raise LoggerFileError(f"The file looks like a picture or a film. {_SAVE_AS}")


def _text(data: bytes) -> tuple[str, str]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _strict(data, "utf-16"), "utf-16"
    if data.startswith(b"\xef\xbb\xbf"):
        return _strict(data, "utf-8-sig"), "utf-8-sig"
    if b"\x00" in data[:2000]:
        # UTF-16 without its mark: Latin text has a zero in every other byte.
        encoding = "utf-16-be" if data[:1] == b"\x00" else "utf-16-le"
        zeros = data[:2000][0 if encoding == "utf-16-be" else 1 :: 2]
        if zeros.count(0) < 0.8 * len(zeros):
            raise LoggerFileError(f"The file is not plain text: it holds zero bytes. {_SAVE_AS}")
        return _strict(data, encoding), encoding
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return _strict(data, "cp1252"), "cp1252"


def _strict(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise LoggerFileError(
            f"The file is not plain text in a known encoding (byte {error.start + 1} does not fit "
            f"{encoding}). Export it again as CSV in UTF-8."
        ) from error
