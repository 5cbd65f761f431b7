"""Header lines of a text file: the comment marker off, `key: value` apart from free remarks."""

from __future__ import annotations

import re
from collections.abc import Iterable

MARKER = re.compile(r"\s*(?:[#;%!]+|//+)")
RULER = re.compile(r"[\W_]*\Z")
EQUALS = re.compile(r"([A-Za-z][^=]{0,80}?)\s+=\s+(.*)\Z")
COLON = re.compile(r"([A-Za-z][^=:]{0,60}?)(?:\s+:|:(?=\s|\Z))\s*(.*)\Z")
TIGHT = re.compile(r"([A-Za-z][A-Za-z _.\-]{0,40})[:=](\S.*)\Z")


def bare(line: str) -> str:
    """The line without its comment marker and without blanks around it."""
    marker = MARKER.match(line)
    return line[marker.end() if marker else 0 :].strip()


def key_and_value(words: str) -> tuple[str, str] | None:
    """The two halves of `key: value` or `key = value`, the key in lower case; None for a remark."""
    for pattern in (EQUALS, COLON, TIGHT):
        found = pattern.match(words)
        if found:
            return " ".join(found[1].lower().split()), found[2].strip()
    return None


def header_and_remarks(lines: Iterable[str]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Every header line, either as an entry of the header or as a remark; rulers are dropped.

    A key that comes again with another value keeps both, joined by '; '.
    """
    header: dict[str, str] = {}
    remarks: list[str] = []
    for words in map(bare, lines):
        pair = key_and_value(words)
        if pair is None:
            if not RULER.match(words):
                remarks.append(words)
        elif header.get(pair[0]) not in (None, pair[1]):
            header[pair[0]] = f"{header[pair[0]]}; {pair[1]}"
        else:
            header[pair[0]] = pair[1]
    return header, tuple(remarks)
