"""Which reader understands these bytes: the one door for every raw file.

Readers are found by the entry point group `edgeshift.formats`. Each offers NAME,
`claims(file, head) -> int` (0: not mine; the highest is asked to read) and
`read(file, data) -> tuple[RawTable, ...]`.
"""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.metadata import entry_points
from types import ModuleType

from edgeshift.errors import UnreadableFile
from edgeshift.records.table import RawTable

GROUP = "edgeshift.formats"
HEAD_BYTES = 4096
MOST_BYTES = 256 * 1024 * 1024


@cache
def readers() -> tuple[ModuleType, ...]:
    """The installed readers, sorted by name, so that equal claims are settled the same way everywhere."""
    return tuple(point.load() for point in sorted(entry_points(group=GROUP), key=lambda point: point.name))


@lru_cache(maxsize=8)
def tables(file: str, data: bytes) -> tuple[RawTable, ...]:
    """Every entry of one raw file, by the reader that claims it most surely.

    `file` is the name for messages only; nothing is opened. Raises FileRefused (one of its kinds)
    when the bytes are no table of numbers. A file just taken is asked for again at once, so the last few
    are kept; tables are frozen.
    """
    if not data:
        raise UnreadableFile(
            file, "a table of numbers", "an empty file", "Copy it again from the instrument."
        )
    if len(data) > MOST_BYTES:
        found = f"{len(data) // 1024**2} MB"
        raise UnreadableFile(
            file, f"at most {MOST_BYTES // 1024**2} MB", found, "Take single scans out of it."
        )
    head = data[:HEAD_BYTES]
    claim, reader = max(
        ((reader.claims(file, head), reader) for reader in readers()), key=lambda pair: pair[0]
    )
    if claim == 0:
        raise UnreadableFile(
            file,
            "text, XDI, NeXus or EMSA/MAS",
            "binary bytes of another kind",
            "Export it as text or NeXus.",
        )
    return reader.read(file, data)
