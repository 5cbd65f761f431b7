"""Bytes to lines of text: byte marks, encodings, line ends, and a kind no to what is no text."""

from __future__ import annotations

import codecs
import re

from edgeshift.errors import UnreadableFile

BYTE_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
COPY_AGAIN = "Copy it again from the instrument."
MOST_CONTROL = 0.01
"""Above this share of control characters the bytes are no text (a few come from old terminals)."""


def looks_like_text(head: bytes) -> bool:
    """Whether the first bytes of a file could be text in a usual encoding."""
    if any(head.startswith(mark) for mark, _ in BYTE_MARKS):
        return True
    if b"\x00" in head:
        return False
    return len(CONTROL.findall(head.decode("latin-1"))) <= MOST_CONTROL * len(head)


def lines_of(file: str, data: bytes) -> list[str]:
    """The lines of a text file without their ends.

    Knows byte marks, UTF-8 and, failing that, latin-1; CRLF, CR and LF. Raises UnreadableFile for
    an empty file and for bytes that are no text.
    """
    if not data:
        raise UnreadableFile(file, "a table of numbers", "an empty file", COPY_AGAIN)
    if not looks_like_text(data):
        raise UnreadableFile(file, "text", "binary bytes", "Export it as text or NeXus.")
    text = _decoded(file, data)
    if "\x00" in text or len(CONTROL.findall(text)) > MOST_CONTROL * len(text):
        raise UnreadableFile(file, "text", "binary bytes", "Export it as text or NeXus.")
    if not text.strip():
        raise UnreadableFile(file, "a table of numbers", "a file of blanks only", COPY_AGAIN)
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _decoded(file: str, data: bytes) -> str:
    for mark, encoding in BYTE_MARKS:
        if data.startswith(mark):
            # A cut or damaged character becomes a visible mark, and its line a complaint.
            return data[len(mark) :].decode(encoding, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")
