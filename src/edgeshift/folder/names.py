"""Names that any disk can keep, made from whatever a file was called."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from itertools import count
from pathlib import PurePosixPath

LONGEST_BYTES = 200
"""Room for a suffix below the 255 bytes that common file systems allow."""

FORBIDDEN = '<>:"|?*'
"""Characters that one or another common file system cannot keep."""


def plain_name(name: str) -> str:
    """The last part of a path, with what some disks cannot keep replaced by `_`. Never empty or hidden."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    settled = unicodedata.normalize("NFC", last)
    kept = "".join("_" if c in FORBIDDEN or not c.isprintable() else c for c in settled)
    kept = kept.rstrip(". ").lstrip() or "unnamed"
    if kept.startswith("."):
        kept = "_" + kept[1:]
    return _shortened(kept).rstrip(". ")


def names_to_try(name: str) -> Iterator[str]:
    """`scan.dat`, then `scan~2.dat`, `scan~3.dat` and so on, without end."""
    yield name
    path = PurePosixPath(name)
    for number in count(2):
        yield f"{path.stem}~{number}{path.suffix}"


def _shortened(name: str) -> str:
    suffix = PurePosixPath(name).suffix
    stem = name[: len(name) - len(suffix)]
    while len((stem + suffix).encode("utf-8")) > LONGEST_BYTES:
        stem, suffix = (stem[:-1], suffix) if stem else ("", suffix[:-1])
    return stem + suffix
