"""XDI 1.0, the plain-text standard for one absorption scan: lenient reading, strict writing.

What the reader does not understand stays in the table: extension fields in `header`, comments and
lines that are no field in `remarks`, the version line under `xdi.version` and `xdi.extras`; the writer
puts all of it back. Names of fields are case-insensitive by the standard, so the header is lower case.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

import numpy as np

from edgeshift.errors import FileRefused, UnreadableFile
from edgeshift.formats.column_labels import Label, columns_of, labels_of, name_and_unit
from edgeshift.formats.decoding import lines_of
from edgeshift.formats.elements import EDGES, SYMBOLS
from edgeshift.formats.number_rows import Block, Style, blocks
from edgeshift.records.table import RawTable

NAME = "xdi"
FIRST_BYTES = re.compile(rb"(?:\xef\xbb\xbf)?#\s*XDI/", re.IGNORECASE)
FIRST_LINE = re.compile(r"#\s*XDI/(\S*)\s*(.*?)\s*\Z", re.IGNORECASE)
FIELD = re.compile(r"([A-Za-z_]\w*)\.(\w+)\s*:\s*(.*?)\s*\Z")
LONGEST_LINE = 4000
COMMENTS_BEGIN = re.compile(r"#\s*///")
HEADER_ENDS = re.compile(r"#\s*-{2,}")
KNOWN_ABSCISSAE = ("energy", "angle", "time", "k", "pixel", "steps")
"""Names the standard's dictionary gives for a column of independent values."""
NEEDS_UNIT = ("facility.energy", "scan.edge_energy")
UNITS = re.compile(r"[+-]?[\d.]+(?:[eE][+-]?\d+)?\s*(?:[munkMG]?eV|[A-Za-z°]{1,8})\Z")


def claims(file: str, head: bytes) -> int:
    """90 for a file whose first line says XDI."""
    return 90 if FIRST_BYTES.match(head) else 0


def read(file: str, data: bytes) -> tuple[RawTable, ...]:
    """The one scan in the file, with a complaint for all that departs from the standard.

    Raises UnreadableFile where no table of numbers follows the header.
    """
    lines = lines_of(file, data)
    start = next(
        (k for k, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")), None
    )
    if not start or not FIRST_LINE.match(lines[0]):
        raise UnreadableFile(
            file, "an XDI line, a header and numbers", "a part of these", "Export the scan again."
        )
    found = blocks([""] * start + lines[start:], Style(), ended=not lines[-1].strip())
    if not found:
        raise UnreadableFile(file, "rows of numbers after the header", "none", "Export the scan again.")
    header, remarks, complaints = _header(lines[: found[0].lines[0]])
    labels, more = _labels(header, lines[: found[0].lines[0]], found[0])
    columns = columns_of(found[0].values, labels)
    complaints += more + _departures(header, labels) + list(found[0].complaints)
    return (RawTable(file, NAME, columns, header, tuple(remarks), None, tuple(complaints)),)


def write(table: RawTable) -> bytes:
    """The table as an XDI 1.0 file, in full digits; reading it back gives the same table.

    Raises FileRefused where the standard forbids it: no element or edge, a first column without a
    unit, an angle without crystal spacing, a cell without a number, a clock time not in ISO 8601.
    """
    _refuse_what_the_standard_forbids(table)
    version, extras = table.header.get("xdi.version", "1.0"), table.header.get("xdi.extras", "")
    lines = [f"# XDI/{version} {extras}".rstrip()]
    for number, column in enumerate(table.columns, start=1):
        kept = table.header.get(f"column.{number}", "").partition("||")[2]
        unit = f" {column.unit}" if column.unit else ""
        lines.append(f"# Column.{number}: {_name(column.name)}{unit}" + (f" ||{kept}" if kept else ""))
    for key, value in table.header.items():
        family, _, tag = key.partition(".")
        if family == "column" and tag.isdecimal() and int(tag) > len(table.columns):
            lines.append(f"# Column.{tag}: {_one_line(value)}".rstrip())  # names a column that is not there
        if FIELD.match(f"{key}: x") and family not in ("xdi", "column"):
            lines.append(f"# {family.capitalize()}.{tag}: {_one_line(value)}".rstrip())
    if table.remarks:
        lines += ["# ///", *(f"# {_one_line(remark)}" for remark in table.remarks)]
    lines += ["#----", "# " + " ".join(_name(column.name) for column in table.columns)]
    rows = zip(*(column.values.tolist() for column in table.columns), strict=True)
    lines += ["  ".join(map(repr, row)) for row in rows]
    return ("\n".join(lines) + "\n").encode()


def _header(lines: Sequence[str]) -> tuple[dict[str, str], list[str], list[str]]:
    """Fields, comments and complaints. The last of several equal fields counts, as the standard says."""
    first = FIRST_LINE.match(lines[0])
    header = {"xdi.version": first[1] if first else ""}
    if first and first[2]:
        header["xdi.extras"] = first[2]
    remarks: list[str] = []
    complaints: list[str] = []
    in_comments = False
    for number, line in enumerate(lines[1:], start=2):
        words = line.lstrip()[1:].strip()
        if HEADER_ENDS.match(line.lstrip()):
            return header, remarks, complaints
        if COMMENTS_BEGIN.match(line.lstrip()):
            in_comments = True
        elif in_comments or not words:
            remarks += [words] if words else []
        elif field := FIELD.match(words):
            _take_field(header, field, number, complaints)
        else:
            remarks.append(words)
            complaints.append(f"Line {number} is no 'Family.name: value' field; it is kept as a remark.")
    complaints.append("The line of dashes that ends the header is missing.")
    return header, remarks[:-1] if remarks else remarks, complaints


def _take_field(header: dict[str, str], field: re.Match[str], number: int, complaints: list[str]) -> None:
    key = f"{field[1]}.{field[2]}".lower()
    if not field[3]:
        complaints.append(f"Line {number}: the field {field[1]}.{field[2]} is empty.")
    header.pop(key, None)
    header[key] = field[3]


def _labels(header: dict[str, str], above: Sequence[str], block: Block) -> tuple[list[Label], list[str]]:
    """Names and units by the Column fields; the label line fills what they leave open."""
    count = block.values.shape[1]
    line = labels_of([above[-1][:LONGEST_LINE]], count, None) if above[-1].lstrip().startswith("#") else None
    labels: list[Label] = []
    missing = []
    for number in range(1, count + 1):
        label = name_and_unit(header.get(f"column.{number}", ""))
        if not label[0]:
            missing.append(number)
            label = line[number - 1] if line else (f"column {number}", None)
        labels.append(label)
    complaints = [f"No field names column {number}." for number in missing]
    named = [int(key[7:]) for key in header if re.fullmatch(r"column\.\d{1,6}", key)]
    complaints += [f"A field names column {n}, but there are {count}." for n in named if n > count]
    if line and not missing and line[0][0].lower() != labels[0][0].lower():
        complaints.append(f"The first column is called both '{labels[0][0]}' and '{line[0][0]}'.")
    return labels, complaints


def _departures(header: dict[str, str], labels: Sequence[Label]) -> list[str]:
    """Everything else that the standard asks for and the file does not hold to."""
    said = []
    for key, words, known in (("element.symbol", "element", SYMBOLS), ("element.edge", "edge", EDGES)):
        value = header.get(key, "")
        if not value:
            said.append(f"The file does not name the {words}.")
        elif value.lower() not in known:
            said.append(f"'{value}' is no {words} that the standard knows.")
    name, unit = labels[0]
    if name.lower() not in KNOWN_ABSCISSAE:
        said.append(f"The first column is called '{name}', a name the standard does not know.")
    if unit is None:
        said.append("The first column has no unit.")
    if name.lower() in ("angle", "steps") and not header.get("mono.d_spacing"):
        said.append("The energy is given as an angle, but no crystal spacing is given.")
    for key in NEEDS_UNIT:
        if header.get(key) and not UNITS.match(header[key]):
            said.append(f"The field {key} gives no unit.")
    said += [f"'{header[key]}' ({key}) is no ISO 8601 time." for key in _bad_times(header)]
    if header["xdi.version"] not in ("1.0", "1.1"):
        said.append(f"The version '{header['xdi.version']}' is unknown; the file is read as 1.0.")
    return said


def _bad_times(header: dict[str, str]) -> list[str]:
    bad = []
    for key in ("scan.start_time", "scan.end_time"):
        try:
            if header.get(key):
                datetime.fromisoformat(header[key])
        except ValueError:
            bad.append(key)
    return bad


def _one_line(value: str) -> str:
    return value.replace("\r", " ").replace("\n", " ").strip()


def _name(name: str) -> str:
    """A column name in one word, as the standard wants it."""
    return "_".join(name.split()) or "unnamed"


def _refuse_what_the_standard_forbids(table: RawTable) -> None:
    def refuse(needed: str, found: str, act: str) -> None:
        raise FileRefused(table.file, needed, found, act)

    for key in ("element.symbol", "element.edge"):
        if not table.header.get(key):
            refuse(f"the field {key}", "none", "Name the element and the edge first.")
    if not table.columns or not table.columns[0].unit:
        refuse("a unit for the first column", "none", "Say in which unit the energies are.")
    if table.columns[0].name.lower() in ("angle", "steps") and not table.header.get("mono.d_spacing"):
        refuse("the field mono.d_spacing", "none", "Write the energies in eV instead.")
    if not all(np.isfinite(column.values).all() for column in table.columns):
        refuse("a number in every cell", "a gap", "Leave the gaps out, or mark them in a flag column.")
    for key in _bad_times(dict(table.header)):
        refuse(
            f"an ISO 8601 time for {key}", f"'{table.header[key]}'", "Write it as 2026-05-01T09:30:00+02:00."
        )
