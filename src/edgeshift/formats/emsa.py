"""EMSA/MAS spectra (ISO 22029): `#KEYWORD : value` lines, then x, y pairs or y values alone.

The standard has no field for how an energy axis was tied, so every table says so.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np

from edgeshift.errors import FileRefused, UnreadableFile
from edgeshift.formats.decoding import lines_of
from edgeshift.formats.number_rows import LARGEST, Style, blocks, is_number, style_of
from edgeshift.records.table import Column, RawTable

NAME = "emsa"
KEYWORD = re.compile(r"#\s*([A-Za-z][\w\-]*)[^:]*:\s*(.*?)\s*\Z")
LONGEST_LINE = 4000
UNDEFINED = ("", "<undefined>", "undefined")
LOSS = "Its header says electron loss (ELS), perhaps from habit; how its energies were tied it does not say."
UNTIED = "The file does not say how its energies were tied."


def claims(file: str, head: bytes) -> int:
    """90 for a file whose first field says EMSA/MAS."""
    start = head.lstrip(b"\xef\xbb\xbf \t\r\n")[:200].upper()
    return 90 if start.startswith(b"#FORMAT") and b"EMSA" in start else 0


def read(file: str, data: bytes) -> tuple[RawTable, ...]:
    """The one spectrum in the file, both data types. Raises UnreadableFile where no numbers follow."""
    lines = lines_of(file, data)
    start = next((k for k, line in enumerate(lines) if line.upper().startswith("#SPECTRUM")), None)
    if start is None:
        raise UnreadableFile(file, "a line '#SPECTRUM' before the data", "none", "Export the spectrum again.")
    end = next((k for k, line in enumerate(lines) if line.upper().startswith("#ENDOFDATA")), None)
    header, remarks = _header(lines[:start])
    rows = lines[start + 1 : end]
    complaints = [LOSS if header.get("signaltype", "").upper() == "ELS" else UNTIED]
    if end is None:
        complaints.append("The line that ends the data is missing; the file may be half written.")
    whole = end is not None or not lines[-1].strip()
    if header.get("datatype", "XY").upper() == "Y":
        x, y = _y_values(file, header, rows)
    else:
        x, y = _xy_values(file, rows, whole, start + 1, complaints)
    if header.get("npoints", "") and _number(header, "npoints", -1.0) != len(x):
        complaints.append(f"The header promises {header['npoints']} points, the file holds {len(x)}.")
    columns = (_column(header, "x", x), _column(header, "y", y))
    return (RawTable(file, NAME, columns, header, remarks, None, tuple(complaints)),)


def write(table: RawTable) -> bytes:
    """The first two columns as EMSA/MAS of type XY; other header fields are kept as they are.

    Raises FileRefused where a cell holds no number.
    """
    if len(table.columns) < 2 or not all(np.isfinite(c.values).all() for c in table.columns[:2]):
        raise FileRefused(
            table.file, "two full columns", "a gap or fewer columns", "Leave the gaps out first."
        )
    x, y = table.columns[:2]
    own = {
        "format": "EMSA/MAS Spectral Data File",
        "version": "1.0",
        "title": table.header.get("title", table.file),
        "npoints": str(len(x.values)),
        "ncolumns": "1",
        "xunits": x.unit or "<undefined>",
        "yunits": y.unit or "<undefined>",
        "datatype": "XY",
    }
    kept = {k: v for k, v in table.header.items() if k not in own and re.fullmatch(r"[\w\-]+", k)}
    lines = [f"#{key.upper():<12}: {_one_line(value)}" for key, value in {**own, **kept}.items()]
    lines += [f"#COMMENT     : {_one_line(remark)}" for remark in table.remarks]
    lines.append("#SPECTRUM    : Spectral Data Starts Here")
    lines += [f"{a!r}, {b!r}" for a, b in zip(x.values.tolist(), y.values.tolist(), strict=True)]
    return ("\r\n".join([*lines, "#ENDOFDATA   : "]) + "\r\n").encode()


def _one_line(value: str) -> str:
    return " ".join(value.split())


def _header(lines: Sequence[str]) -> tuple[dict[str, str], tuple[str, ...]]:
    header: dict[str, str] = {}
    remarks = []
    for line in lines:
        found = KEYWORD.match(line[:LONGEST_LINE])
        if found and found[1].lower() != "comment":
            header[found[1].lower()] = found[2]
        elif line.strip():
            remarks.append(found[2] if found else line.strip())
    return header, tuple(remarks)


def _column(header: Mapping[str, str], axis: str, values: np.ndarray) -> Column:
    """Named by the file's own label, else by what the unit says, else by the axis."""
    unit = header.get(f"{axis}units", "").strip()
    name = header.get(f"{axis}label", "").strip()
    if not name:
        name = "energy" if unit.lower() in ("ev", "kev") else "intensity" if axis == "y" else axis
    values.setflags(write=False)
    return Column(name, values, None if unit.lower() in UNDEFINED else unit)


def _xy_values(file: str, rows: Sequence[str], whole: bool, above: int, complaints: list[str]) -> tuple:
    # Blank lines in front keep the line numbers of complaints those of the file.
    found = blocks([""] * above + list(rows), style_of(rows), ended=whole)
    if not found:
        raise UnreadableFile(file, "pairs of numbers after '#SPECTRUM'", "none", "Export the spectrum again.")
    complaints += found[0].complaints
    values = found[0].values
    return values[:, 0].copy(), values[:, 1].copy()


def _y_values(file: str, header: Mapping[str, str], rows: Sequence[str]) -> tuple:
    """y in reading order; x from the first energy and the channel width that the header gives."""
    # An empty cell stays in place as a gap, for the energies are counted by place.
    words = [word for row in rows for cell in Style(",").words(row) for word in cell.split()]
    step, first = _number(header, "xperchan", 0.0), _number(header, "offset", np.nan)
    if not words or not all(map(is_number, words)) or not 0 < abs(step) < LARGEST or not abs(first) < LARGEST:
        needed = "numbers, an OFFSET and an XPERCHAN"
        raise UnreadableFile(file, needed, "a gap in these", "Export the spectrum again as pairs.")
    y = np.array([word.replace("D", "E") for word in words], dtype=float)
    y[~(np.abs(y) < LARGEST)] = np.nan
    return first + step * np.arange(len(y)), y


def _number(header: Mapping[str, str], key: str, otherwise: float) -> float:
    word = header.get(key, "").replace(",", " ").split()[:1]
    return float(word[0].lower().replace("d", "e")) if word and is_number(word[0]) else otherwise
