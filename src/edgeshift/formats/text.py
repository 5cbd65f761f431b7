"""Delimited text of any layout: comment styles, banners, tabs, commas, decimal commas, no header.

The reader names columns and keeps the header; what a column means is for a profile to say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from edgeshift.errors import UnreadableFile
from edgeshift.formats.column_labels import columns_of, labels_of
from edgeshift.formats.decoding import lines_of, looks_like_text
from edgeshift.formats.header_lines import header_and_remarks
from edgeshift.formats.number_rows import Block, Style, blocks, style_of
from edgeshift.records.table import RawTable

NAME = "text"
LONGEST_LINE = 4000
"""Characters of a header line that are looked at; no instrument writes more."""
NEEDED = "at least two columns of numbers"


def claims(file: str, head: bytes) -> int:
    """1 for anything that looks like text: any surer reader goes first."""
    return 1 if looks_like_text(head) else 0


def read(file: str, data: bytes) -> tuple[RawTable, ...]:
    """Every table of numbers in a text file, usually one.

    Raises UnreadableFile for binary bytes, empty files, descriptions (JSON, XML) and text without
    two columns of numbers.
    """
    lines = lines_of(file, data)
    _refuse_descriptions(file, lines)
    style = style_of(lines)
    found = blocks(lines, style, ended=not lines[-1].strip())
    if not found:
        raise UnreadableFile(file, NEEDED, "no such rows", "Check that this is the data file.")
    tables = []
    above = 0
    for number, block in enumerate(found, start=1):
        entry = f"block {number}" if len(found) > 1 else None
        tables.append(_table(file, lines[above : block.lines[0]], block, style, entry))
        above = block.lines[-1] + 1
    return (*tables[:-1], _with_footer(tables[-1], lines[above:]))


def _refuse_descriptions(file: str, lines: Sequence[str]) -> None:
    first = next(line.strip() for line in lines if line.strip())
    kinds = {"{": "JSON text", "[": "JSON text", "<": "XML or a web page"}
    if first[0] in kinds and not (
        first[0] == "[" and len(first) > 1 and first[-1] == "]" and first[1].isalpha()
    ):
        found = f"{kinds[first[0]]}, which describes a scan but is none"
        raise UnreadableFile(file, NEEDED, found, "Take the data file that it belongs to.")


def _table(file: str, above: Sequence[str], block: Block, style: Style, entry: str | None) -> RawTable:
    count = block.values.shape[1]
    above = [line[:LONGEST_LINE] for line in above]
    labels = labels_of(above, count, style.separator)
    complaints = list(block.complaints)
    if labels is None:
        labels = tuple((f"column {k + 1}", None) for k in range(count))
        complaints.insert(0, "No line names the columns.")
    header, remarks = header_and_remarks(above)
    return RawTable(
        file=file,
        format=NAME,
        columns=columns_of(block.values, labels),
        header=header,
        remarks=remarks,
        entry=entry,
        complaints=tuple(complaints),
    )


def _with_footer(table: RawTable, lines: Sequence[str]) -> RawTable:
    """The lines after the numbers, kept like those before; where the header has a key it stays."""
    header, remarks = header_and_remarks(line[:LONGEST_LINE] for line in lines)
    return replace(table, header={**header, **table.header}, remarks=table.remarks + remarks)
