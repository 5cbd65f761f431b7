"""Sizes of the letters on a page: a reader of just as much PDF (ISO 32000) as our layouts write."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator

_STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
_WITHOUT_FIGURES = re.compile(rb"/Span<</MCID \d+/Alt.*?>>\s*BDC.*?EMC", re.DOTALL)
_TOKEN = re.compile(rb"\((?:\\.|[^\\)])*\)|<[0-9A-Fa-f\s]*>|/?[^\s\[\]()<>/]+", re.DOTALL)
_NUMBER = re.compile(rb"-?\d*\.?\d+")


def sizes_pt(page: bytes) -> list[float]:
    """The height in points of every text that is shown, in order."""
    return [size for content in _contents(page) for size in _shown(content)]


def sizes_of_words(page: bytes) -> list[float]:
    """The same without what stands inside a picture, which is set as a figure of its own."""
    return [size for content in _contents(page) for size in _shown(_WITHOUT_FIGURES.sub(b"", content))]


def pages(page: bytes) -> int:
    """How many pages there are."""
    whole = page + b"".join(plain(page))
    return len(re.findall(rb"/Type\s*/Page(?![a-zA-Z])", whole))


def _contents(page: bytes) -> Iterator[bytes]:
    return (text for text in plain(page) if b" Tf" in text)


def plain(page: bytes) -> Iterator[bytes]:
    """Everything that is packed in it, unpacked."""
    for found in _STREAM.finditer(page):
        try:
            yield zlib.decompress(found[1])
        except zlib.error:
            continue


def _shown(content: bytes) -> Iterator[float]:
    scale, font, text, stack, numbers = 1.0, 0.0, 1.0, [], []
    for token in _TOKEN.findall(content):
        if _NUMBER.fullmatch(token):
            numbers.append(float(token))
            continue
        if token == b"q":
            stack.append(scale)
        elif token == b"Q":
            scale = stack.pop()
        elif token == b"cm":
            scale *= _stretch(numbers[-6:])
        elif token == b"BT":
            text = 1.0
        elif token == b"Tm":
            text = _stretch(numbers[-6:])
        elif token == b"Tf":
            font = numbers[-1]
        elif token in (b"Tj", b"TJ"):
            yield font * text * scale
        if not token.startswith((b"(", b"<", b"/")):
            numbers = []


def _stretch(matrix: list[float]) -> float:
    """How much a matrix [a b c d e f] lengthens what stands upright."""
    return abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]) ** 0.5
